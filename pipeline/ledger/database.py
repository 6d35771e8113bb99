"""The ledger's database, whichever it is: its transactions, its tables, and copies of it."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Protocol

from sqlalchemy import Connection, Engine, inspect, select
from sqlalchemy.engine import URL
from sqlalchemy.exc import DBAPIError

from pipeline.ledger.tables import SCHEMA, metadata, state
from pipeline.ledger.upgrade import upgrade
from pipeline.problems import Origin, Problem, StopRun

Place = Path | URL
"""Where a ledger lies: a file of SQLite, or a PostgreSQL database."""

ROWS = 200
"""So many are copied at a time; papers may be large."""


class Database(Protocol):
    """What differs between databases."""

    @property
    def engine(self) -> Engine:
        """Its connections. A transaction with the option `writing` has the lock from its beginning."""

    @property
    def name(self) -> str:
        """How messages call it: never with a password."""

    def exists(self) -> bool:
        """True when something is there already. Raises what its driver raises."""

    def translated(self, error: DBAPIError) -> Exception:
        """Our error for the database's; the database's own where it is a fault of ours."""

    def faults(self, connection: Connection) -> Iterator[str]:
        """What its own checks find."""

    def copy(self, connection: Connection, path: Path) -> None:
        """All of it at one moment, as a ledger in the new file `path`. Raises FileExistsError, OSError."""


def database_at(place: Place, patience: float) -> Database:
    """The database at this place; it waits `patience` seconds for another program's lock. Raises StopRun (E616)."""
    if isinstance(place, Path):
        from pipeline.ledger.sqlite import File

        return File(place, patience)
    from pipeline.ledger.postgresql import Server

    return Server(place, patience)


def nowhere() -> Database:
    """A database in memory that ends with the process: an empty ledger for those who record nothing."""
    from pipeline.ledger.sqlite import File

    return File(None, patience=0)


@contextmanager
def transaction(database: Database, writing: bool = False) -> Iterator[Connection]:
    """One transaction, committed at the end and undone when something is raised.

    Raises LedgerAway, LedgerBusy, LedgerUnwritable, and StopRun (E606) for a database that is damaged or no ledger.
    """
    with errors_of(database), database.engine.connect() as connection:
        connection = connection.execution_options(writing=writing)
        with connection.begin():
            yield connection


@contextmanager
def errors_of(database: Database) -> Iterator[None]:
    """Within it the database's errors become ours."""
    try:
        yield
    except DBAPIError as error:
        raise database.translated(error) from error


def set_up(connection: Connection, name: str) -> None:
    """Make the tables in an empty database, or bring older ones up to date.

    Raises StopRun for a database that is no ledger (E606), or a later program's (E605).
    """
    tables = inspect(connection).get_table_names()
    if not tables:
        metadata.create_all(connection)
        connection.execute(state.insert().values(id=1, schema=SCHEMA, version=0, head=""))
        return
    if state.name not in tables:
        raise StopRun([unfit(name, "E606", f"`{name}` is a database, but not a ledger")])
    found = connection.execute(select(state.c.schema)).scalar_one()
    if found > SCHEMA:
        message = (
            f"the ledger `{name}` was written by a later peelwright (tables of version {found}, known: {SCHEMA})"
        )
        raise StopRun([unfit(name, "E605", message, "install that version, or a later one")])
    if found < SCHEMA:
        upgrade(connection, found)


def is_empty(connection: Connection) -> bool:
    """True for a ledger in which nothing was ever recorded."""
    tables = (table for table in metadata.sorted_tables if table is not state)
    return not any(connection.execute(select(table).limit(1)).first() for table in tables)


def copy_rows(source: Connection, target: Connection) -> None:
    """Every row of a ledger into tables that are empty but for the one of `state`."""
    target.execute(state.delete())
    for table in metadata.sorted_tables:
        # In the order of the keys: a credit note stands behind the invoice that it refers to.
        query = select(table).order_by(*table.primary_key.columns)
        for rows in source.execute(query).mappings().partitions(ROWS):
            target.execute(table.insert(), [dict(row) for row in rows])


def unfit(name: str, code: str, message: str, hint: str = "restore the ledger from a backup") -> Problem:
    """A ledger that cannot be used."""
    return Problem(code=code, message=message, hint=hint, origin=Origin(file=name))
