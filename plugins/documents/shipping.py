"""What goes with the goods, in the customer's language: packing list, delivery note, carton labels.

Nothing here names another customer, and nothing a price.
"""

from collections.abc import Iterator
from functools import partial

from attrs import frozen

from pipeline.model.document import Audience, Document
from pipeline.model.index import grouped
from pipeline.model.order import Delivery, Order
from pipeline.model.packing import Carton
from pipeline.shop import Paper
from plugins.documents.customer import PrintRow, print_rows
from plugins.documents.desk import Desk, Work, slug

LABELS = {Paper.LETTER: "4in 6in", Paper.A4: "105mm 148mm"}
"""Labels by the shop's paper: the usual roll of each part of the world (common practice, no source), and A6."""

_LABEL_LINES = 5
"""As many lines of contents as a label has room for; the packing list has all."""


@frozen(kw_only=True)
class PackedLine:
    """One order line with its sizes: (size, ordered), and those of which pieces lie in no carton: (size, missing)."""

    number: int
    garment: str
    colour: str
    own_blanks: bool
    sizes: tuple[tuple[str, int], ...]
    total: int
    prints: tuple[PrintRow, ...]
    packed: int
    to_follow: tuple[tuple[str, int], ...]


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
    """A carton with its contents; weight in grams, carton included. `sscc` is "" without a code of its own.

    `contents` is what a label has room for: (garment and colour, its sizes); `more` counts the lines left out.
    """

    number: int
    of: int
    pieces: int
    weight: int
    sscc: str
    rows: tuple[CartonRow, ...]
    contents: tuple[tuple[str, tuple[tuple[str, int], ...]], ...]
    more: int


def works(desk: Desk) -> Iterator[Work]:
    """Packing list, delivery note and labels of every order, in the order of the jobs; a quote has the list alone."""
    for order in desk.run.orders:
        yield partial(_documents, desk, order)


def _documents(desk: Desk, order: Order) -> Iterator[Document]:
    own = desk.speaking(desk.shop.customer(order.customer).language)
    _ = own.language.gettext
    yield _paper(own, order, "packing-list", _("Packing list %(job)s", job=order.job))
    if not desk.quote:
        yield _paper(own, order, "delivery-note", _("Delivery note %(job)s", job=order.job))
        yield _paper(own, order, "carton-labels", _("Carton labels %(job)s", job=order.job))


def _paper(desk: Desk, order: Order, name: str, title: str) -> Document:
    customer = desk.shop.customer(order.customer)
    cartons = desk.run.plan.packing.of(order.job)
    lines = tuple(_lines(desk, order, cartons))
    return desk.paper(
        name.replace("-", "_"),
        f"orders/{slug(order.job)}/{name}.pdf",
        title,
        Audience.CUSTOMER,
        order.job,
        order=order,
        customer=customer,
        shop_address=desk.address(desk.shop.address, customer.address.country),
        ship_to=desk.address(customer.ship_to or customer.address, desk.shop.address.country),
        pick_up=order.delivery is Delivery.PICK_UP,
        label_size=LABELS[desk.shop.paper],
        lines=lines,
        cartons=tuple(_carton(desk, order, carton, len(cartons)) for carton in cartons),
        ordered=order.quantity,
        packed=sum(carton.pieces for carton in cartons),
        weight=sum(carton.weight for carton in cartons),
        to_follow=tuple(line for line in lines if line.to_follow),
    )


def _lines(desk: Desk, order: Order, cartons: tuple[Carton, ...]) -> Iterator[PackedLine]:
    """The order's lines, numbered from 1."""
    packed: dict[tuple[int, str], int] = {}
    for item in (item for carton in cartons for item in carton.contents):
        packed[item.line, item.size] = packed.get((item.line, item.size), 0) + item.count
    for index, line in enumerate(order.lines):
        missing = ((item.size, item.count - packed.get((index, item.size), 0)) for item in line.pieces)
        to_follow = tuple((size, count) for size, count in missing if count > 0)
        yield PackedLine(
            number=index + 1,
            garment=desk.shop.garment(line.garment).title,
            colour=line.colour,
            own_blanks=line.blanks == "customer",
            sizes=tuple((item.size, item.count) for item in line.pieces),
            total=line.quantity,
            prints=print_rows(desk.shop, line),
            packed=line.quantity - sum(count for _, count in to_follow),
            to_follow=to_follow,
        )


def _carton(desk: Desk, order: Order, carton: Carton, of: int) -> CartonTable:
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
    by_line = grouped(rows, lambda row: f"{row.garment}, {row.colour}")
    contents = tuple((what, tuple((row.size, row.count) for row in same)) for what, same in by_line.items())
    shown = contents if len(contents) <= _LABEL_LINES else contents[: _LABEL_LINES - 1]
    return CartonTable(
        number=carton.number,
        of=of,
        pieces=carton.pieces,
        weight=carton.weight,
        sscc=desk.run.sscc(order.job, carton.number),
        rows=rows,
        contents=shown,
        more=len(contents) - len(shown),
    )
