"""What a customer gets, in the customer's language: the packing list and the invoice (or the quote).

Nothing here names another customer.
"""

from collections.abc import Iterator
from datetime import timedelta
from fractions import Fraction

from attrs import frozen

from pipeline.model.cost import Bill, BillLine
from pipeline.model.document import Audience, Document
from pipeline.model.measure import Length
from pipeline.model.order import Delivery, Line, Order
from pipeline.shop import Shop
from plugins.documents.desk import Desk, slug


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


@frozen(kw_only=True)
class PackedLine:
    """One order line with its sizes."""

    number: int
    garment: str
    colour: str
    own_blanks: bool
    sizes: tuple[tuple[str, int], ...]
    total: int
    prints: tuple[PrintRow, ...]


@frozen(kw_only=True)
class CartonRow:
    """One line of one size in one carton."""

    line: int
    garment: str
    colour: str
    size: str
    count: int


@frozen(kw_only=True)
class CartonTable:
    """A carton with its contents; weight in grams."""

    number: int
    of: int
    pieces: int
    weight: str
    rows: tuple[CartonRow, ...]


def documents(desk: Desk) -> Iterator[Document]:
    """Packing list and invoice or quote of every order, in the order of the jobs."""
    for order in desk.run.orders:
        own = desk.speaking(desk.shop.customer(order.customer).language)
        yield _packing_list(own, order)
        yield _bill(own, order)


def _packing_list(desk: Desk, order: Order) -> Document:
    customer = desk.shop.customer(order.customer)
    return desk.paper(
        "packing_list",
        f"orders/{slug(order.job)}/packing-list.pdf",
        desk.language.gettext("Packing list %(job)s", job=order.job),
        Audience.CUSTOMER,
        order.job,
        order=order,
        customer=customer,
        shop_address=desk.address(desk.shop.address, customer.address.country),
        ship_to=desk.address(customer.ship_to or customer.address, desk.shop.address.country),
        pick_up=order.delivery is Delivery.PICK_UP,
        lines=packed_lines(desk.shop, order),
        cartons=_cartons(desk, order),
        carton_count=len(desk.run.plan.packing.of(order.job)),
        pieces=order.quantity,
    )


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


def packed_lines(shop: Shop, order: Order) -> tuple[PackedLine, ...]:
    """The order's lines with their sizes, numbered from 1."""
    return tuple(
        PackedLine(
            number=number,
            garment=shop.garment(line.garment).title,
            colour=line.colour,
            own_blanks=line.blanks == "customer",
            sizes=tuple((item.size, item.count) for item in line.pieces),
            total=line.quantity,
            prints=print_rows(shop, line),
        )
        for number, line in enumerate(order.lines, 1)
    )


def _cartons(desk: Desk, order: Order) -> tuple[CartonTable, ...]:
    cartons = desk.run.plan.packing.of(order.job)
    tables = []
    for carton in cartons:
        rows = tuple(
            CartonRow(
                line=item.line + 1,
                garment=desk.shop.garment(order.lines[item.line].garment).title,
                colour=order.lines[item.line].colour,
                size=item.size,
                count=item.count,
            )
            for item in carton.contents
        )
        tables.append(
            CartonTable(
                number=carton.number,
                of=len(cartons),
                pieces=carton.pieces,
                weight=desk.display.weight(carton.weight),
                rows=rows,
            )
        )
    return tuple(tables)
