"""The acknowledgement of an order: `out/received/JOB.txt`, which names no other customer's."""

from collections.abc import Iterator
from zoneinfo import ZoneInfo

from pipeline.ledger import Drop
from pipeline.model.cost import Bill
from pipeline.model.order import Order
from pipeline.model.show import count, money
from pipeline.report import printable, render
from pipeline.run import Report


def acknowledgement(order: Order, drop: Drop, bill: Bill | None, report: Report, zone: ZoneInfo) -> bytes:
    """What was received, and what it costs planned by itself; then what the sender should know."""
    lines = "\n".join(_lines(order, drop, bill, report, zone))
    notes = render([problem for problem in report.problems if problem.job == order.job], report.sources)
    return (f"{lines}\n\n{notes}" if notes else f"{lines}\n").encode()


def _lines(order: Order, drop: Drop, bill: Bill | None, report: Report, zone: ZoneInfo) -> Iterator[str]:
    number = f" (their number {printable(order.customer_order)})" if order.customer_order else ""
    yield f"Order {order.job} of {order.customer}{number} was received."
    yield ""
    yield f"received  {drop.received.astimezone(zone):%Y-%m-%d %H:%M:%S}"
    yield f"file      {printable(drop.name)}"
    yield f"sha256    {drop.sha256}"
    yield f"due       {order.due}"
    yield f"pieces    {count(order.quantity, 'piece')}"
    if bill is None:
        yield "quote     none: the order cannot go on as it is"
    else:
        net, total = (money(amount, report.shop.currency) for amount in (bill.net, bill.total))
        yield f"quote     {net} net, {total} with tax, planned by itself"
    yield ""
    yield "No number was given and nothing was bought yet: that is done when the week is closed."
