"""What a customer gets to pay by, in the customer's language: the invoice (or the quote).

Nothing here names another customer. What goes with the goods: shipping.py.
"""

from collections.abc import Iterator
from datetime import timedelta
from fractions import Fraction
from functools import partial

from attrs import frozen

from pipeline.model.cost import Bill, BillLine, Prepayment
from pipeline.model.document import Audience, Document
from pipeline.model.measure import Length
from pipeline.model.order import Delivery, Line, Order
from pipeline.shop import Shop
from plugins.documents.desk import Desk, Work, slug
from plugins.documents.einvoice import with_einvoice
from plugins.documents.einvoice.terms import INVOICE, Invoiced


@frozen(kw_only=True)
class PrintRow:
    """One print of a line in words: where, how large."""

    placement: str
    size: tuple[Length, Length]
    artwork: str


@frozen(kw_only=True)
class BilledRow:
    """A line of the bill as printed."""

    bill: BillLine
    places: int
    prints: tuple[PrintRow, ...]


def works(desk: Desk) -> Iterator[Work]:
    """Invoice or quote of every order, in the order of the jobs."""
    for order in desk.run.orders:
        yield partial(_documents, desk, order)


def _documents(desk: Desk, order: Order) -> Iterator[Document]:
    own = desk.speaking(desk.shop.customer(order.customer).language)
    paper = _bill(own, order)
    if own.quote:
        yield paper
    else:
        yield from with_einvoice(paper, _invoiced(own, order), own.language)


def _bill(desk: Desk, order: Order) -> Document:
    customer = desk.shop.customer(order.customer)
    bill = desk.run.plan.bills.bill(order.job)
    number = desk.run.invoice_number(order.job)
    _ = desk.language.gettext
    title = _("Quote %(job)s", job=order.job) if desk.quote else _("Invoice %(number)s", number=number)
    name = "quote" if desk.quote else f"invoice-{slug(number)}"
    return desk.paper(
        "invoice",
        f"orders/{slug(order.job)}/{name}.pdf",
        title,
        Audience.CUSTOMER,
        order.job,
        order=order,
        customer=customer,
        shop_address=desk.address(desk.shop.address, customer.address.country),
        customer_address=desk.address(customer.address, desk.shop.address.country),
        ship_to=desk.address(customer.ship_to, desk.shop.address.country) if customer.ship_to else "",
        pick_up=order.delivery is Delivery.PICK_UP,
        number=number,
        bill=bill,
        rows=tuple(_billed_rows(desk, order, bill)),
        pay_day=bill.pay_by,
        valid_until=desk.run.date + timedelta(days=desk.shop.pricing.quote_days),
    )


def _invoiced(desk: Desk, order: Order) -> Invoiced:
    customer, bill = desk.shop.customer(order.customer), desk.run.plan.bills.bill(order.job)
    return Invoiced(
        kind=INVOICE,
        number=desk.run.invoice_number(order.job),
        issued=desk.run.date,
        bill=bill,
        shop=desk.shop,
        customer=customer,
        terms=bill.terms,
        customer_order=order.customer_order,
        delivered=order.due,
        pick_up=order.delivery is Delivery.PICK_UP,
        notes=tuple(_paid_before(desk, paid) for paid in bill.prepaid),
    )


def _paid_before(desk: Desk, paid: Prepayment) -> str:
    """A deposit that is taken off, as the paper tells it."""
    _, display = desk.language.gettext, desk.display
    said = [
        _("Paid on account, %(number)s", number=paid.number),
        display.day(paid.paid),
        display.money(paid.amount),
    ]
    if paid.tax:
        said.append(_("%(amount)s tax in it", amount=display.money(paid.tax)))
    return ", ".join(said)


def _billed_rows(desk: Desk, order: Order, bill: Bill) -> Iterator[BilledRow]:
    for line in bill.lines:
        prints = print_rows(desk.shop, order.lines[line.line]) if line.line is not None else ()
        yield BilledRow(bill=line, places=desk.places(Fraction(line.unit_price)), prints=prints)


def print_rows(shop: Shop, line: Line) -> tuple[PrintRow, ...]:
    """The prints of a line: placement, size on most garments, artwork's file name."""
    garment = shop.garment(line.garment)
    rows = []
    for item in line.prints:
        placement = garment.placement(item.placement)
        rows.append(
            PrintRow(
                placement=placement.title if placement else item.placement,
                size=item.size_on(line.pieces[0].size),
                artwork=item.artwork.rsplit("/", 1)[-1],
            )
        )
    return tuple(rows)
