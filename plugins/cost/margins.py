"""What the shop earns: per line, order, customer and batch. All amounts are before tax.

A charge or a discount counts to its order, not to a line: a line's margin is that of its own price, and an
order's is what is left after its discounts. Freight counts nowhere, since it passes through to the carrier: the
costs know no freight, and taken in as a price it would look like profit.
"""

from collections.abc import Iterable

from pipeline.model.cost import Bill, ChargeKind, CostBook, Margin, MarginLevel, PriceBook
from pipeline.model.index import grouped
from pipeline.model.money import Money


def margins_of(bills: tuple[Bill, ...], costs: CostBook, prices: PriceBook) -> tuple[Margin, ...]:
    """Margins of every line, then of the orders, the customers (as they first appear) and the batch."""
    lines = [
        Margin(
            level=MarginLevel.LINE,
            name=f"{bill.job}/{line.line + 1}",
            net=line.net,
            cost=costs.line(bill.job, line.line).total,
        )
        for bill in bills
        for line in bill.lines
        if line.line is not None
    ]
    orders = [
        Margin(
            level=MarginLevel.ORDER,
            name=bill.job,
            net=Money(bill.net - _freight(bill.job, prices)),
            cost=costs.of_order(bill.job),
        )
        for bill in bills
    ]
    by_customer = grouped(zip(orders, bills, strict=True), lambda pair: pair[1].customer)
    customers = [
        _sum(MarginLevel.CUSTOMER, customer, (order for order, _ in own)) for customer, own in by_customer.items()
    ]
    return (*lines, *orders, *customers, _sum(MarginLevel.BATCH, "", orders))


def _freight(job: str, prices: PriceBook) -> int:
    return sum(charge.amount for charge in prices.charges_of(job) if charge.kind is ChargeKind.FREIGHT)


def _sum(level: MarginLevel, name: str, margins: Iterable[Margin]) -> Margin:
    parts = tuple(margins)
    return Margin(
        level=level,
        name=name,
        net=Money(sum(part.net for part in parts)),
        cost=Money(sum(part.cost for part in parts)),
    )
