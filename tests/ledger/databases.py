"""The databases that a ledger is tested on: a file, and a schema of its own on a PostgreSQL server.

`PEELWRIGHT_TEST_POSTGRES` names the server, as `.ci/run` starts one. Without it the tests on PostgreSQL are skipped.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import Engine, create_engine, select, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.pool import NullPool

from pipeline.ledger.database import Place
from pipeline.ledger.postgresql import DRIVER
from pipeline.ledger.tables import metadata

SERVER = os.environ.get("PEELWRIGHT_TEST_POSTGRES", "")

needs_server = pytest.mark.skipif(not SERVER, reason="PEELWRIGHT_TEST_POSTGRES names no PostgreSQL server")

KINDS = ("sqlite", pytest.param("postgresql", marks=needs_server))


_NUMBERS = count(1)


@contextmanager
def schema() -> Iterator[URL]:
    """An empty schema on the server, and the address of a ledger in it; in the end it is gone."""
    # Workers of one test run share the server.
    name = f"test_{os.getpid()}_{next(_NUMBERS)}"
    url = make_url(SERVER)
    server = engine_of(url)
    with server.begin() as connection:
        connection.execute(text(f"DROP SCHEMA IF EXISTS {name} CASCADE"))
        connection.execute(text(f"CREATE SCHEMA {name}"))
    try:
        yield url.update_query_dict({"options": f"-csearch_path={name}"})
    finally:
        with server.begin() as connection:
            connection.execute(text(f"DROP SCHEMA {name} CASCADE"))


@contextmanager
def place_for(kind: str, folder: Path) -> Iterator[Place]:
    """Where a test's ledger lies."""
    if kind == "sqlite":
        yield folder / "ledger.sqlite"
        return
    with schema() as url:
        yield url


def engine_of(place: Place) -> Engine:
    """A way to the database beside the ledger's own."""
    url = URL.create("sqlite", database=str(place)) if isinstance(place, Path) else place.set(drivername=DRIVER)
    return create_engine(url, poolclass=NullPool)


def dump(place: Place) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table; the same for the same ledger on any database."""
    with engine_of(place).connect() as connection:
        return {
            table.name: [
                tuple(row) for row in connection.execute(select(table).order_by(*table.primary_key.columns))
            ]
            for table in metadata.sorted_tables
        }


def change(place: Place, *statements: str) -> None:
    """Change the ledger by other means."""
    with engine_of(place).begin() as connection:
        for statement in statements:
            connection.exec_driver_sql(statement)
