"""What suppliers get: a purchase order each, and the print-ready sheets that go with it."""

from collections.abc import Iterator
from datetime import date
from functools import partial

from attrs import frozen

from pipeline.artwork import read_artwork
from pipeline.model.document import Audience, Document
from pipeline.model.measure import Length
from pipeline.model.money import Money
from pipeline.model.order import Artwork, Blanks
from pipeline.model.sheet import Layout
from pipeline.model.workdays import Workdays
from plugins.documents.art_page import art_page
from plugins.documents.desk import Desk, WholeWork, Work, slug
from plugins.documents.gang import Item, Mark, gang_sheet
from plugins.documents.gang_png import sheet_png
from plugins.documents.kept import Kept

_KEPT = 64_000_000
"""Bytes of artwork made ready that are kept."""


@frozen(kw_only=True)
class SheetRow:
    """A layout to buy. Of a roll: the length of all pieces, and how long and how dear a step is."""

    layout: str
    transfer: str
    sheet: str
    size: tuple[Length, Length]
    sheets: int
    price: Money
    set_up: Money
    cost: Money
    file: str
    length: Length
    step: Length
    step_price: Money


@frozen(kw_only=True)
class BlankRow:
    """Garments of one style, colour and size to buy, for all orders together."""

    garment: str
    colour: str
    size: str
    count: int
    price: Money
    cost: Money


@frozen(kw_only=True)
class Purchase:
    """All that is bought from one supplier."""

    supplier: str
    sheets: tuple[SheetRow, ...]
    order_charges: tuple[tuple[str, Money], ...]
    blanks: tuple[BlankRow, ...]
    total: Money
    pieces: int
    #: The day on which the first of it is needed: ordered on the run's date, after its lead time.
    needed: date


def works(desk: Desk) -> Iterator[Work]:
    """A purchase order for each supplier, and each layout as a file to print."""
    yield WholeWork(_orders, desk)
    pages = Kept[bytes](_KEPT)
    for layout in desk.run.plan.sheets.layouts:
        yield partial(_sheet, desk, layout, pages)


def _orders(desk: Desk) -> Iterator[Document]:
    _ = desk.language.gettext
    for purchase in purchases(desk):
        number = desk.run.purchase_number(purchase.supplier)
        yield desk.paper(
            "purchase_order",
            f"suppliers/{slug(purchase.supplier)}/purchase-order.pdf",
            _("Purchase order %(number)s", number=number)
            if number
            else _("Purchase for %(supplier)s (quote)", supplier=purchase.supplier),
            Audience.SUPPLIER,
            purchase=purchase,
            number=number,
        )


def _sheet(desk: Desk, layout: Layout, pages: Kept[bytes]) -> Iterator[Document]:
    _ = desk.language.gettext
    path, content = sheet_file(desk, layout), _print_ready(desk, layout, pages)
    title = _("Sheet %(id)s to print", id=layout.id)
    yield Document(path=path, title=title, content=content, audience=Audience.SUPPLIER)
    if desk.shop.transfer(layout.transfer).png:
        path, content = path.removesuffix("pdf") + "png", sheet_png(content, layout.width)
        title = _("Sheet %(id)s as a picture", id=layout.id)
        yield Document(path=path, title=title, content=content, audience=Audience.SUPPLIER)


def sheet_file(desk: Desk, layout: Layout) -> str:
    """Where the print-ready file of a layout lies."""
    return f"suppliers/{slug(desk.shop.transfer(layout.transfer).supplier)}/sheet-{slug(layout.id)}.pdf"


def purchases(desk: Desk) -> Iterator[Purchase]:
    """What is bought, supplier by supplier, printers of transfers first."""
    plan, shop = desk.run.plan, desk.shop
    blanks = _blanks(desk)
    names = [shop.transfer(order.transfer).supplier for order in plan.sheets.orders if order.sheets]
    names += [supplier for supplier, _ in blanks]
    for supplier in dict.fromkeys(names):
        sheets = tuple(
            SheetRow(
                layout=layout.id,
                transfer=shop.transfer(layout.transfer).title,
                sheet=layout.sheet_size,
                size=(layout.width, layout.height),
                sheets=layout.sheets,
                price=layout.price,
                set_up=layout.set_up,
                cost=layout.cost,
                file=sheet_file(desk, layout).rsplit("/", 1)[-1],
                length=layout.length,
                step=Length(layout.height // layout.steps if layout.steps else 0),
                step_price=Money(layout.price // layout.steps if layout.steps else 0),
            )
            for layout in plan.sheets.layouts
            if shop.transfer(layout.transfer).supplier == supplier
        )
        charges = tuple(
            (shop.transfer(order.transfer).title, order.order_charge)
            for order in plan.sheets.orders
            if order.order_charge and shop.transfer(order.transfer).supplier == supplier
        )
        own = tuple(row for name, row in blanks if name == supplier)
        costs = [row.cost for row in sheets] + [row.cost for row in own] + [amount for _, amount in charges]
        yield Purchase(
            supplier=supplier,
            sheets=sheets,
            order_charges=charges,
            blanks=own,
            total=Money(sum(costs)),
            pieces=sum(row.count for row in own),
            needed=_needed(desk, supplier),
        )


def _needed(desk: Desk, supplier: str) -> date:
    plan, shop = desk.run.plan, desk.shop
    leads = [
        shop.transfer(order.transfer).lead_days
        for order in plan.sheets.orders
        if order.sheets and shop.transfer(order.transfer).supplier == supplier
    ]
    leads += [
        shop.garment(line.garment).lead_days
        for order in plan.orders
        for line in order.lines
        if line.blanks is Blanks.OURS and shop.garment(line.garment).supplier == supplier
    ]
    return Workdays.of(shop.calendar).after(desk.run.date, min(leads))


def _blanks(desk: Desk) -> list[tuple[str, BlankRow]]:
    """(supplier, row) for every garment, colour and size that the shop must buy, in the shop's order."""
    wanted: dict[tuple[str, str, str], int] = {}
    for order in desk.run.orders:
        for line in order.lines:
            if line.blanks is Blanks.OURS:
                for item in line.pieces:
                    key = (line.garment, line.colour, item.size)
                    wanted[key] = wanted.get(key, 0) + item.count
    rows = []
    for garment in desk.shop.garments:
        for colour in garment.colours:
            for size in garment.sizes:
                if count := wanted.get((garment.name, colour, size.name), 0):
                    row = BlankRow(
                        garment=garment.title,
                        colour=colour,
                        size=size.name,
                        count=count,
                        price=size.cost,
                        cost=Money(count * size.cost),
                    )
                    rows.append((garment.supplier, row))
    return rows


def _print_ready(desk: Desk, layout: Layout, pages: Kept[bytes]) -> bytes:
    def page(artwork: Artwork) -> bytes:
        # An artwork that lies on several sheets is read and made ready once.
        return pages.get(artwork.sha256, lambda: art_page(read_artwork(desk.shop.root, artwork), artwork.kind))

    items = tuple(
        Item(
            page=page(demand.artwork),
            x=placed.x,
            y=placed.y,
            width=placed.width,
            height=placed.height,
            turned=placed.turned,
        )
        for placed in layout.prints
        for demand in (desk.run.plan.prints.demand(placed.demand),)
    )
    label = f"{desk.run.label} {layout.id}"
    transfer = desk.shop.transfer(layout.transfer)
    cuts = layout.cuts if transfer.cut_marks else ()
    return gang_sheet(
        width=layout.width,
        height=layout.height,
        items=items,
        label=label,
        marks=tuple(Mark(x1=cut.x1, y1=cut.y1, x2=cut.x2, y2=cut.y2) for cut in cuts),
        mirrored=transfer.mirrored,
    )
