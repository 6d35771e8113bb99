"""What the work costs, what is asked for it, and what stands on the bill."""

from collections.abc import Iterable
from datetime import date
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from attrs import evolve, frozen

from pipeline.model.index import grouped
from pipeline.model.measure import Percent
from pipeline.model.money import ZERO, Money
from pipeline.problems import Problem


class CostKind(StrEnum):
    """The parts of a line's cost, in the order in which they are shown."""

    BLANKS = "blanks"
    TRANSFERS = "transfers"
    LABOUR = "press labour"
    SET_UP = "set-up"
    PACKAGING = "packaging"
    OVERHEAD = "overhead"


@frozen(kw_only=True)
class CostPart:
    """One part of a line's cost, rounded once."""

    kind: CostKind
    amount: Money


@frozen(kw_only=True)
class LineCost:
    """What one order line costs the shop. `line` counts from 0."""

    job: str
    line: int
    parts: tuple[CostPart, ...]

    @property
    def total(self) -> Money:
        """All parts."""
        return Money(sum(part.amount for part in self.parts))

    def part(self, kind: CostKind) -> Money:
        """The amount of one kind, 0 when it does not occur."""
        return Money(sum(part.amount for part in self.parts if part.kind is kind))


@frozen(kw_only=True)
class SheetShare:
    """One demand's part of the purchase of transfers for one order line. All shares sum to the purchase.

    `spares` is how much of `amount` pays for spare copies.
    """

    job: str
    line: int
    demand: str
    amount: Money
    spares: Money


@frozen(kw_only=True)
class OrderShare:
    """What an order pays for transfers with the others, and what it would pay alone."""

    job: str
    shared: Money
    alone: Money

    @property
    def saving(self) -> Money:
        """What sharing saves this order; below zero when it would be cheaper alone."""
        return Money(self.alone - self.shared)


@frozen(kw_only=True)
class CostBook:
    """What the batch costs, line by line. `notes` says what a person should know about it."""

    lines: tuple[LineCost, ...]
    shares: tuple[SheetShare, ...]
    orders: tuple[OrderShare, ...]
    notes: tuple[Problem, ...] = ()

    def line(self, job: str, line: int) -> LineCost:
        """One line's cost. Raises KeyError."""
        return self._by_line[job, line]

    def of_order(self, job: str) -> Money:
        """The cost of one order."""
        return Money(sum(cost.total for cost in self._by_job.get(job, ())))

    @cached_property
    def _by_line(self) -> dict[tuple[str, int], LineCost]:
        return {(cost.job, cost.line): cost for cost in self.lines}

    @cached_property
    def _by_job(self) -> dict[str, list[LineCost]]:
        return grouped(self.lines, lambda cost: cost.job)


class PriceBasis(StrEnum):
    """Where a price comes from."""

    AGREED_ORDER = "agreed in the order"
    AGREED_CUSTOMER = "agreed with the customer"
    PRICE_LIST = "price list"
    MARK_UP = "mark-up on cost"
    TARGET_MARGIN = "target margin"


@frozen(kw_only=True)
class LinePrice:
    """Net price of one piece of one order line, in minor units, exact (up to four decimals are shown)."""

    job: str
    line: int
    unit_price: Fraction
    basis: PriceBasis


class ChargeKind(StrEnum):
    """What is added to or taken off an order beside its lines."""

    RUSH = "rush"
    OVERSIZE = "oversize"
    MINIMUM = "minimum"
    DISCOUNT = "discount"
    FREIGHT = "freight"
    OTHER = "other"


@frozen(kw_only=True)
class Charge:
    """An amount on one order beside its lines; below zero for a discount.

    `tax` names one of the shop's tax rates; "" means the rate of the goods.
    """

    job: str
    kind: ChargeKind
    label: str
    amount: Money
    tax: str = ""


@frozen(kw_only=True)
class PriceBook:
    """What is asked: a price for each line and the charges of each order. A shop's plugin may change it."""

    lines: tuple[LinePrice, ...]
    charges: tuple[Charge, ...] = ()

    def with_charges(self, charges: Iterable[Charge]) -> "PriceBook":
        """The same prices with further charges after those already there."""
        return evolve(self, charges=(*self.charges, *charges))

    def line(self, job: str, line: int) -> LinePrice:
        """One line's price. Raises KeyError."""
        return self._by_line[job, line]

    def charges_of(self, job: str) -> tuple[Charge, ...]:
        """The charges of one order, in the order in which they were made."""
        return tuple(self._by_job.get(job, ()))

    @cached_property
    def _by_line(self) -> dict[tuple[str, int], LinePrice]:
        return {(price.job, price.line): price for price in self.lines}

    @cached_property
    def _by_job(self) -> dict[str, list[Charge]]:
        return grouped(self.charges, lambda charge: charge.job)


@frozen(kw_only=True)
class BillLine:
    """A line of the bill: an order line or a charge. `net` = quantity x unit price, rounded here once."""

    #: Counts from 1 on each bill.
    number: int
    #: The order line (from 0); None for a charge.
    line: int | None
    description: str
    quantity: int
    unit_price: Fraction
    net: Money
    #: Name of the tax rate.
    tax: str
    #: A charge that grows with the goods, as a rush fee does: when pieces are credited, so is its part.
    with_goods: bool = False


@frozen(kw_only=True)
class TaxLine:
    """The tax of one rate: what it is taken of, and how much it is. `reason` says why nothing is due.

    Of VAT, `category` is its letter (EN 16931, BT-118) and `reason_code` the code of the reason (BT-121), if any.
    `rounding` is what a credit note gives back besides, so that all notes together come to the invoice (in BT-114).
    """

    tax: str
    title: str
    percent: Percent
    base: Money
    amount: Money
    reason: str = ""
    category: str = ""
    reason_code: str = ""
    rounding: Money = ZERO


@frozen(kw_only=True)
class Prepayment:
    """What was paid of a deposit invoice before the order's own invoice (EN 16931, part of BT-113).

    `tax` is what of the amount the deposit invoice showed as tax, in proportion where not all of it was paid.
    """

    job: str
    #: The deposit invoice's number, and the day of its last payment.
    number: str
    paid: date
    amount: Money
    tax: Money = ZERO


@frozen(kw_only=True)
class Bill:
    """Everything that is asked for one order; an invoice once it has a number."""

    job: str
    customer: str
    lines: tuple[BillLine, ...]
    taxes: tuple[TaxLine, ...]
    net: Money
    tax: Money
    total: Money
    #: To be paid before work starts, out of `total`.
    deposit: Money
    #: The day by which the rest is to be paid.
    pay_by: date
    terms: str
    #: Deposits that were paid.
    prepaid: tuple[Prepayment, ...] = ()

    @property
    def rounding(self) -> Money:
        """What the total has besides net and tax: cents, on credit notes with VAT only."""
        return Money(sum(tax.rounding for tax in self.taxes))

    @property
    def due(self) -> Money:
        """What is left of the total after what was paid before (BT-115); below zero when that was more."""
        return Money(self.total - sum(payment.amount for payment in self.prepaid))

    @property
    def balance(self) -> Money:
        """What remains after the deposit."""
        return Money(self.total - self.deposit)


class MarginLevel(StrEnum):
    """Of what a margin is told."""

    LINE = "line"
    ORDER = "order"
    CUSTOMER = "customer"
    BATCH = "batch"


@frozen(kw_only=True)
class Margin:
    """Net price, cost and what is left, for a line, an order, a customer or the whole batch."""

    level: MarginLevel
    #: `JOB/1` for a line (counted from 1), the job, the customer, or "".
    name: str
    net: Money
    cost: Money

    @property
    def amount(self) -> Money:
        """What is left of the price."""
        return Money(self.net - self.cost)

    @property
    def share(self) -> Fraction | None:
        """The margin as a share of the price; None when nothing is asked."""
        return Fraction(self.amount, self.net) if self.net else None


@frozen(kw_only=True)
class BillBook:
    """The bills of the batch, in the order of the jobs, and what the shop earns by them."""

    bills: tuple[Bill, ...]
    margins: tuple[Margin, ...]

    def bill(self, job: str) -> Bill:
        """The bill of one order. Raises KeyError."""
        return self._by_job[job]

    def margin(self, level: MarginLevel, name: str = "") -> Margin:
        """One margin. Raises KeyError."""
        return self._by_name[level, name]

    @cached_property
    def _by_job(self) -> dict[str, Bill]:
        return {bill.job: bill for bill in self.bills}

    @cached_property
    def _by_name(self) -> dict[tuple[MarginLevel, str], Margin]:
        return {(margin.level, margin.name): margin for margin in self.margins}
