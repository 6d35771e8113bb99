"""A ledger that is open: its transactions, and nothing else."""

from collections.abc import Iterator
from contextlib import contextmanager
from types import TracebackType
from typing import Self

from sqlalchemy import Connection

from pipeline.failpoints import reach
from pipeline.ledger import reading
from pipeline.ledger.database import Database, Place, database_at, errors_of, nowhere, set_up, transaction
from pipeline.ledger.errors import LedgerMoved
from pipeline.ledger.place import place_of
from pipeline.ledger.snapshot import Snapshot
from pipeline.problems import Problem, StopRun
from pipeline.shop import Shop

PATIENCE = 10.0
"""Seconds for which another program's lock is waited for."""


class OpenLedger:
    """One shop's ledger, open. Use it as a context manager.

    Every method raises LedgerBusy when another program keeps it locked, LedgerAway when the server does not answer,
    LedgerUnwritable when the disk refuses, and StopRun (E606) when it is damaged.
    """

    def __init__(self, database: Database) -> None:
        self._database = database
        with self._transaction(writing=True) as connection:
            set_up(connection, database.name)

    @classmethod
    def open(cls, place: Place, create: bool = True, patience: float = PATIENCE) -> Self:
        """The ledger at this place. Where there is none: a new one, or with `create` false one that nobody keeps.

        Raises StopRun when what is there is no ledger (E606) or a later program's (E605), or the driver is missing
        (E616).
        """
        database = database_at(place, patience)
        with errors_of(database):
            return cls(database if create or database.exists() else nowhere())

    @classmethod
    def of(cls, shop: Shop, create: bool = True) -> Self:
        """The ledger of a shop, as `open` does.

        Raises StopRun for a setting that cannot be (E616) and for amounts in another currency than the shop's (E618).
        """
        ledger = cls.open(place_of(shop), create)
        ledger.insist_on_currency(shop)
        return ledger

    def insist_on_currency(self, shop: Shop) -> None:
        """Raises StopRun (E618) when amounts are recorded in another currency than the shop's."""
        with self._transaction() as connection:
            others = sorted(reading.currencies(connection) - {shop.currency})
        if others:
            message = f"the ledger's amounts are in {others[0]}, and the shop's currency is {shop.currency}"
            hint = f"write `currency: {others[0]}`; for another currency make a shop folder of its own"
            raise StopRun([Problem(code="E618", message=message, hint=hint, origin=shop.at("currency"))])

    @classmethod
    def is_there(cls, shop: Shop) -> bool:
        """True when the shop has a ledger already. Raises what `of` raises."""
        database = database_at(place_of(shop), PATIENCE)
        with errors_of(database):
            return database.exists()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._database.engine.dispose()

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
        with transaction(self._database, writing) as connection:
            yield connection
