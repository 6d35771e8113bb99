"""What a customer owes and why: invoices and deposits with the credits and payments that belong to each."""

from collections.abc import Iterator
from datetime import date
from enum import StrEnum

from attrs import evolve, frozen

from pipeline.model.cost import Bill
from pipeline.model.money import ZERO, Money


class VoucherKind(StrEnum):
    """The numbered papers about money, each in a series of its own."""

    INVOICE = "invoice"
    DEPOSIT = "deposit"
    CREDIT = "credit"


@frozen(kw_only=True)
class Correction:
    """What a credit note takes back: the invoice's number (EN 16931, BT-25), its day (BT-26), and why."""

    number: str
    issued: date
    reason: str


@frozen(kw_only=True)
class Voucher:
    """A deposit invoice or a credit note, as it is numbered and printed.

    A credit note's amounts are above zero for what is given back, and each of its lines has the number of the
    invoice's line.
    """

    kind: VoucherKind
    number: str
    issued: date
    bill: Bill
    #: The customer's own order number, "" without one.
    customer_order: str = ""
    #: The customer fetches the goods.
    pick_up: bool = False
    #: Of a credit note, what it takes back.
    corrects: Correction | None = None


@frozen(kw_only=True)
class CreditedLine:
    """What is asked to be credited of one line of an invoice, counted from 1: so many pieces, or all of it."""

    number: int
    pieces: int | None = None


@frozen(kw_only=True)
class CreditRequest:
    """What is asked to be credited: lines, or a net amount over all lines; with neither, all that is left."""

    lines: tuple[CreditedLine, ...] = ()
    amount: Money | None = None


@frozen(kw_only=True)
class Payment:
    """Money that came in on a day; below zero for what was paid back, or came back from the bank."""

    paid: date
    amount: Money
    note: str = ""


@frozen(kw_only=True)
class AccountItem:
    """An invoice or a deposit invoice, with the credit notes and the payments that belong to it."""

    kind: VoucherKind
    number: str
    issued: date
    bill: Bill
    credits: tuple[Voucher, ...] = ()
    payments: tuple[Payment, ...] = ()

    @property
    def credited(self) -> Money:
        """All credit notes."""
        return Money(sum(credit.bill.total for credit in self.credits))

    @property
    def paid(self) -> Money:
        """All payments."""
        return Money(sum(payment.amount for payment in self.payments))

    @property
    def received(self) -> Money:
        """All that came in for it: its payments, and the deposits that it took off."""
        return Money(self.paid + self.bill.total - self.bill.due)

    @property
    def open(self) -> Money:
        """What is still to be paid; below zero for what is to be paid back."""
        return Money(self.bill.due - self.credited - self.paid)

    def as_of(self, day: date) -> "AccountItem":
        """The item without what happened to it after this day."""
        return evolve(
            self,
            credits=tuple(credit for credit in self.credits if credit.issued <= day),
            payments=tuple(payment for payment in self.payments if payment.paid <= day),
        )


AGES = (0, 30, 60, 90)
"""Days overdue at which a statement's columns end (common practice, no source); the last column has no end."""


@frozen(kw_only=True)
class Statement:
    """What one customer owes at the end of a day. `items` are those that are not settled, the oldest first."""

    customer: str
    as_of: date
    items: tuple[AccountItem, ...]

    @property
    def total(self) -> Money:
        """All that is open."""
        return Money(sum(item.open for item in self.items))

    @property
    def ageing(self) -> tuple[Money, ...]:
        """What is open by how long it is overdue: not yet, then 1 to 30 days, to 60, to 90, and longer."""
        sums = [ZERO] * (len(AGES) + 1)
        for item in self.items:
            overdue = (self.as_of - item.bill.pay_by).days
            column = sum(overdue > age for age in AGES)
            sums[column] = Money(sums[column] + item.open)
        return tuple(sums)


def statements(items: tuple[AccountItem, ...], as_of: date) -> Iterator[Statement]:
    """A statement for each customer who owes something, or is owed, at the end of a day, by name."""
    known = [item.as_of(as_of) for item in items if item.issued <= as_of]
    for customer in sorted({item.bill.customer for item in known}):
        own = tuple(item for item in known if item.bill.customer == customer and item.open)
        if own:
            yield Statement(customer=customer, as_of=as_of, items=own)
