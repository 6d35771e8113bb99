"""The ledger's part about money beside the runs: what customers owe, and the prints that are left."""

from collections.abc import Sequence
from datetime import date

from attrs import evolve
from sqlalchemy import select, update

from pipeline.failpoints import reach
from pipeline.ledger import reading
from pipeline.ledger.acts import Act, act_refusals, counted, payment_fault, write_act, write_payment
from pipeline.ledger.counts import Counts
from pipeline.ledger.opened import OpenLedger
from pipeline.ledger.snapshot import Snapshot
from pipeline.ledger.tables import invoices, lots, runs
from pipeline.ledger.writing import given_before
from pipeline.model.account import AccountItem, Payment
from pipeline.model.prints import StockLot
from pipeline.problems import StopRun
from pipeline.shop import Shop


class Accounts(OpenLedger):
    """Deposits, credit notes, payments, counts and leftover prints."""

    def give(self, act: Act, snapshot: Snapshot, shop: Shop, backdate: bool = False) -> None:
        """Record numbered deposit invoices and credit notes, and what was counted with them, all or nothing.

        Raises LedgerMoved and StopRun as `record` does; StopRun (E610) for a credit that takes back more than was
        invoiced, and (E638) for more prints used than there were.
        """
        corrected = {voucher.corrects.number for voucher in act.vouchers if voucher.corrects}
        with self._unmoved(snapshot) as connection:
            items = {item.number: item for item in reading.items(connection, invoices.c.printed.in_(corrected))}
            numbers = [voucher.number for voucher in act.vouchers]
            problems = (
                *act_refusals(act, snapshot, items, shop, backdate),
                *given_before(connection, shop.numbering, numbers),
            )
            if problems:
                raise StopRun(problems)
            write_act(connection, act, snapshot, shop.currency)
            reach("ledger.given")
        reach("ledger.recorded")

    def item(self, number: str) -> AccountItem:
        """An invoice or deposit invoice with all that belongs to it. Raises KeyError."""
        with self._transaction() as connection:
            for item in reading.items(connection, invoices.c.printed == number):
                return item
        raise KeyError(number)

    def items(self) -> tuple[AccountItem, ...]:
        """All invoices and deposit invoices, the oldest first."""
        with self._transaction() as connection:
            return tuple(reading.items(connection))

    def label_of(self, number: str) -> str:
        """The label under which a voucher's papers lie. Raises KeyError."""
        query = (
            select(runs.c.label).join(invoices, invoices.c.run == runs.c.id).where(invoices.c.printed == number)
        )
        with self._transaction() as connection:
            found: str | None = connection.execute(query).scalar_one_or_none()
        if found is None:
            raise KeyError(number)
        return found

    def pay(self, number: str, payment: Payment, currency: str) -> AccountItem:
        """Record a payment of an invoice or deposit invoice; the item then. Raises KeyError; StopRun (E634)."""
        with self._transaction(writing=True) as connection:
            item = next(reading.items(connection, invoices.c.printed == number), None)
            if item is None:
                raise KeyError(number)
            if problem := payment_fault(item, payment, currency):
                raise StopRun([problem])
            write_payment(connection, number, payment)
            reach("ledger.paid")
            return evolve(item, payments=(*item.payments, payment))

    def stock(self, on: date) -> tuple[StockLot, ...]:
        """Leftover prints that are good on this day, the oldest first."""
        with self._transaction() as connection:
            return tuple(reading.stock(connection, on))

    def put(self, lot: int, place: str) -> None:
        """Note where a lot lies. Raises KeyError."""
        with self._transaction(writing=True) as connection:
            if not connection.execute(update(lots).where(lots.c.id == lot).values(place=place)).rowcount:
                raise KeyError(lot)

    def counted(self, names: Sequence[str]) -> dict[str, Counts]:
        """What was counted of those of these jobs that were."""
        with self._transaction() as connection:
            return counted(connection, names)
