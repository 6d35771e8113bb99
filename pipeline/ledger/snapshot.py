"""What the ledger knew at one moment: all that a run is planned on."""

from datetime import date
from fractions import Fraction
from functools import cached_property

from attrs import field, frozen

from pipeline.model.account import AccountItem
from pipeline.model.cost import Prepayment
from pipeline.model.money import Money, rounded
from pipeline.model.prints import StockLot


@frozen(kw_only=True)
class Recorded:
    """An order that was invoiced: once and for all, under this number."""

    job: str
    #: SHA-256 of the job file as it was accepted.
    sha256: str
    #: Label of the run that took it.
    run: str
    invoice: str
    issued: date


@frozen(kw_only=True)
class Snapshot:
    """What the ledger knew. With the defaults: a ledger in which nothing was ever recorded."""

    #: The day for which it was taken: it decides the numbering year and which stock is still good.
    on: date
    #: Grows with everything that is recorded; `Ledger.record` compares it.
    version: int = 0
    #: Those of the jobs asked for that are recorded.
    recorded: tuple[Recorded, ...] = ()
    #: Lots with copies left whose last day is not past, the oldest first.
    stock: tuple[StockLot, ...] = ()
    #: The next numbers of the year of `on`.
    next_invoice: int = 1
    next_purchase: int = 1
    next_credit: int = 1
    next_deposit: int = 1
    #: The serial of the next carton, whatever the year.
    next_carton: int = 1
    #: The latest day of issue in each series; None before the first.
    last_issue: date | None = None
    last_credit: date | None = None
    last_deposit: date | None = None
    #: The deposits of the jobs asked for.
    deposits: tuple[AccountItem, ...] = ()
    #: Labels of all runs.
    labels: frozenset[str] = field(default=frozenset(), repr=False)

    def of(self, job: str) -> Recorded | None:
        """How this job was recorded, if it was."""
        return self._by_job.get(job)

    @cached_property
    def _by_job(self) -> dict[str, Recorded]:
        return {known.job: known for known in self.recorded}

    def deposit_of(self, job: str) -> AccountItem | None:
        """The deposit that was asked for a job, unless all of it was credited."""
        return next((i for i in self.deposits if i.bill.job == job and i.bill.total != i.credited), None)

    def prepaid(self) -> tuple[Prepayment, ...]:
        """What was paid of the deposits, of each one that was paid at all; what came in beyond one is owed back."""
        found = []
        for item in self.deposits:
            amount = min(item.paid, Money(item.bill.total - item.credited))
            if amount > 0:
                tax = rounded(Fraction(item.bill.tax * amount, item.bill.total))
                paid = max(payment.paid for payment in item.payments)
                found.append(Prepayment(job=item.bill.job, number=item.number, paid=paid, amount=amount, tax=tax))
        return tuple(found)

    def free_label(self, wanted: str) -> str:
        """`wanted`, or the first of `wanted-2`, `wanted-3`, ... that no run has, whatever its capitals."""
        taken = {label.casefold() for label in self.labels}
        label, number = wanted, 1
        while label.casefold() in taken:
            number += 1
            label = f"{wanted}-{number}"
        return label
