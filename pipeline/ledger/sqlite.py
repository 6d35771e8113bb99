"""The ledger in a file of SQLite."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import Connection, create_engine, event
from sqlalchemy.engine import URL
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool, StaticPool

from pipeline.ledger.database import unfit
from pipeline.ledger.errors import LedgerBusy, LedgerUnwritable
from pipeline.problems import StopRun

_BUSY = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_DISK = {
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_PERM,
}
_DAMAGED = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}


class File:
    """One file, or, where there is none, the memory."""

    def __init__(self, path: Path | None, patience: float) -> None:
        self._path = path
        self.name = str(path or "")
        if path is None:
            self.engine = create_engine("sqlite://", poolclass=StaticPool)
        else:
            self.engine = create_engine(URL.create("sqlite", database=str(path)), poolclass=NullPool)
        # Not WAL: SQLite before 3.51.3 can damage a file when it resets one. FULL: a committed number outlives a
        # power cut. fullfsync: the same on macOS, where fsync alone does not reach the disk.
        settings = (
            f"busy_timeout = {round(patience * 1000)}",
            "foreign_keys = ON",
            "journal_mode = TRUNCATE",
            "synchronous = FULL",
            "fullfsync = ON",
        )

        @event.listens_for(self.engine, "connect")
        def on_connect(connection: sqlite3.Connection, _: object) -> None:
            # The driver would begin transactions by itself, and too late.
            connection.isolation_level = None
            for setting in settings:
                connection.execute(f"PRAGMA {setting}")

        @event.listens_for(self.engine, "begin")
        def on_begin(connection: Connection) -> None:
            writing = connection.get_execution_options().get("writing", False)
            connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    def exists(self) -> bool:
        """See `Database`, as for the following."""
        return self._path is None or self._path.exists()

    def translated(self, error: DBAPIError) -> Exception:
        """By SQLite's code."""
        cause = error.orig
        code = getattr(cause, "sqlite_errorcode", 0) & 0xFF  # the rest tells cases of one kind apart
        if code in _BUSY:
            return LedgerBusy(f"`{self.name}` is locked by another program")
        if code in _DISK:
            return LedgerUnwritable(f"ledger `{self.name}`: {cause}")
        if code in _DAMAGED:
            return StopRun([unfit(self.name, "E606", f"`{self.name}` is damaged or not a ledger: {cause}")])
        return error

    def faults(self, connection: Connection) -> Iterator[str]:
        """Damaged pages, and rows that refer to nothing."""
        for (line,) in connection.exec_driver_sql("PRAGMA integrity_check"):
            if line != "ok":
                yield f"the ledger's file is damaged: {line}"
        for table, row, parent, _ in connection.exec_driver_sql("PRAGMA foreign_key_check"):
            yield f"row {row} of {table} refers to something missing in {parent}"

    def copy(self, connection: Connection, path: Path) -> None:
        """Through SQLite's own backup."""
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
