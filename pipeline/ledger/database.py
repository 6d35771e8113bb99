"""How the ledger's database is opened, and how its errors become ours. Here, and only here, it is SQLite."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, event, inspect, select
from sqlalchemy.engine import URL
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool, StaticPool

from pipeline.ledger.errors import LedgerBusy, LedgerUnwritable
from pipeline.ledger.tables import SCHEMA, metadata, state
from pipeline.ledger.upgrade import upgrade
from pipeline.problems import Origin, Problem, StopRun

_BUSY = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_DISK = {
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_PERM,
}
_DAMAGED = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}


def open_file(path: Path, patience: float) -> Engine:
    """The database in this file; waits `patience` seconds for another program's lock."""
    engine = create_engine(URL.create("sqlite", database=str(path)), poolclass=NullPool)
    _prepare(engine, patience)
    return engine


def open_nothing() -> Engine:
    """A database in memory that ends with the process: an empty ledger for those who record nothing."""
    engine = create_engine("sqlite://", poolclass=StaticPool)
    _prepare(engine, patience=0)
    return engine


def _prepare(engine: Engine, patience: float) -> None:
    # Not WAL: SQLite before 3.51.3 can damage a file when it resets one. FULL: a committed number outlives a
    # power cut. fullfsync: the same on macOS, where fsync alone does not reach the disk.
    settings = (
        f"busy_timeout = {round(patience * 1000)}",
        "foreign_keys = ON",
        "journal_mode = TRUNCATE",
        "synchronous = FULL",
        "fullfsync = ON",
    )

    @event.listens_for(engine, "connect")
    def on_connect(connection: sqlite3.Connection, _: object) -> None:
        # The driver would begin transactions by itself, and too late.
        connection.isolation_level = None
        for setting in settings:
            connection.execute(f"PRAGMA {setting}")

    @event.listens_for(engine, "begin")
    def on_begin(connection: Connection) -> None:
        writing = connection.get_execution_options().get("writing", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")


@contextmanager
def transaction(engine: Engine, path: Path | None, writing: bool = False) -> Iterator[Connection]:
    """One transaction, committed at the end and undone when something is raised.

    A writing one has the lock from its beginning. Raises LedgerBusy, LedgerUnwritable, and StopRun (E606) for a
    file that is damaged or no ledger.
    """
    try:
        with engine.connect() as connection:
            connection = connection.execution_options(writing=writing)
            with connection.begin():
                yield connection
    except DBAPIError as error:
        raise _translated(error, path) from error


def copy(connection: Connection, path: Path) -> None:
    """A copy of the whole database at one moment in the new file `path`. Raises FileExistsError, OSError."""
    with path.open("xb"):
        pass  # ours from here on: a backup never overwrites anything
    source = connection.connection.driver_connection
    if source is None:
        raise AssertionError("a connection in use has its driver's")
    target = sqlite3.connect(path)
    try:
        source.backup(target)
    except BaseException as error:
        target.close()
        path.unlink()  # half a backup is worse than none
        if isinstance(error, sqlite3.Error):
            raise OSError(f"`{path}`: {error}") from error
        raise
    target.close()


def set_up(connection: Connection, path: Path | None) -> None:
    """Make the tables in an empty database, or bring older ones up to date.

    Raises StopRun for a database that is no ledger (E606), or a later program's (E605).
    """
    tables = inspect(connection).get_table_names()
    if not tables:
        metadata.create_all(connection)
        connection.execute(state.insert().values(id=1, schema=SCHEMA, version=0, head=""))
        return
    if state.name not in tables:
        raise StopRun([_unfit(path, "E606", f"`{path}` is a database, but not a ledger")])
    found = connection.execute(select(state.c.schema)).scalar_one()
    if found > SCHEMA:
        message = (
            f"the ledger `{path}` was written by a later peelwright (tables of version {found}, known: {SCHEMA})"
        )
        raise StopRun([_unfit(path, "E605", message, "install that version, or a later one")])
    if found < SCHEMA:
        upgrade(connection, found)


def _translated(error: DBAPIError, path: Path | None) -> Exception:
    """Our error for the database's; the database's own where it is a fault of ours."""
    cause = error.orig
    code = getattr(cause, "sqlite_errorcode", 0) & 0xFF  # the rest tells cases of one kind apart
    if code in _BUSY:
        return LedgerBusy(f"`{path}` is locked by another program")
    if code in _DISK:
        return LedgerUnwritable(f"ledger `{path}`: {cause}")
    if code in _DAMAGED:
        return StopRun([_unfit(path, "E606", f"`{path}` is damaged or not a ledger: {cause}")])
    return error


def _unfit(path: Path | None, code: str, message: str, hint: str = "restore the ledger from a backup") -> Problem:
    return Problem(code=code, message=message, hint=hint, origin=Origin(file=str(path or "")))
