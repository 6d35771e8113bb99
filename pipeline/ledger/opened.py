"""A ledger that is open: its transactions, and nothing else."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Self

from sqlalchemy import Connection, Engine

from pipeline.failpoints import reach
from pipeline.ledger import database, reading
from pipeline.ledger.errors import LedgerMoved
from pipeline.ledger.snapshot import Snapshot

PATIENCE = 10.0
"""Seconds for which another program's lock is waited for."""


class OpenLedger:
    """One shop's ledger, open. Use it as a context manager.

    Every method raises LedgerBusy when another program keeps it locked, LedgerUnwritable when the disk refuses,
    and StopRun (E606) when the file is damaged.
    """

    def __init__(self, engine: Engine, path: Path | None) -> None:
        self._engine = engine
        self._path = path
        with self._transaction(writing=True) as connection:
            database.set_up(connection, path)

    @classmethod
    def open(cls, path: Path, create: bool = True, patience: float = PATIENCE) -> Self:
        """The ledger in this file. Where there is none: a new one, or with `create` false one that nobody keeps.

        Raises StopRun when the file is no ledger (E606) or a later program's (E605).
        """
        if create or path.exists():
            return cls(database.open_file(path, patience), path)
        return cls(database.open_nothing(), None)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._engine.dispose()

    @contextmanager
    def _unmoved(self, snapshot: Snapshot) -> Iterator[Connection]:
        """A writing transaction, if nothing was recorded since the snapshot (LedgerMoved)."""
        reach("ledger.begin")
        with self._transaction(writing=True) as connection:
            reach("ledger.locked")
            if reading.version(connection) != snapshot.version:
                raise LedgerMoved
            yield connection

    @contextmanager
    def _transaction(self, writing: bool = False) -> Iterator[Connection]:
        with database.transaction(self._engine, self._path, writing) as connection:
            yield connection
