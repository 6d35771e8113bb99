"""What stays in the office: the week with its margins, and the blanks that must come in."""

from collections.abc import Iterator
from fractions import Fraction

from attrs import frozen

from pipeline.model.cost import CostKind, Margin, MarginLevel
from pipeline.model.document import Audience, Document
from pipeline.model.measure import Length
from pipeline.model.money import Money
from pipeline.model.order import Blanks
from plugins.documents.desk import Desk, WholeWork, Work
from plugins.documents.timetable import press_titles, schedule_drawings
from plugins.documents.words import COST_WORDS


@frozen(kw_only=True)
class SheetLine:
    """A layout with what a print on it costs."""

    layout: str
    transfer: str
    sheets: int
    prints: int
    cost: Money
    #: Per print, exact: people quote it to a tenth of a cent.
    unit: Fraction
    jobs: str


@frozen(kw_only=True)
class OrderLine:
    """An order's money in one line."""

    job: str
    customer: str
    pieces: int
    margin: Margin
    #: What its transfers cost with the others and alone, and what is saved by that.
    sheets: Money
    sheets_alone: Money
    sheet_saving: Money
    late: bool


@frozen(kw_only=True)
class BlankLine:
    """Blanks of one garment and colour for one order."""

    garment: str
    colour: str
    sizes: tuple[tuple[str, int], ...]
    total: int
    job: str
    own: bool


@frozen(kw_only=True)
class StockLine:
    """Prints that go to the shelf."""

    artwork: str
    size: tuple[Length, Length]
    customer: str
    copies: int
    transfer: str


@frozen(kw_only=True)
class TakenLine:
    """Prints that come from the shelf, and for whom."""

    lot: int
    place: str
    artwork: str
    size: tuple[Length, Length]
    copies: int
    jobs: str


@frozen(kw_only=True)
class Week:
    """The week in figures."""

    batch: Margin
    tax: Money
    pieces: int
    customers: tuple[tuple[str, Margin], ...]
    orders: tuple[OrderLine, ...]
    kinds: tuple[tuple[str, Money], ...]
    sheets: tuple[SheetLine, ...]
    sheet_cost: Money
    #: Against one layout per order, and as a share of that.
    saving: Money
    saving_share: Fraction | None
    #: What the orders together save against each of them bought alone: the sum of their own savings.
    shared: Money
    gap: Fraction | None
    stock: tuple[StockLine, ...]
    taken: tuple[TakenLine, ...]


def works(desk: Desk) -> Iterator[Work]:
    """The week's summary and the list of blanks."""
    yield WholeWork(_summary, desk)
    yield WholeWork(_blanks_paper, desk)


def _summary(desk: Desk) -> Iterator[Document]:
    _ = desk.language.gettext
    title = _("The week %(week)s", week=desk.week)
    yield desk.paper(
        "week",
        "office/week.pdf",
        title,
        Audience.OFFICE,
        drawings=schedule_drawings(desk),
        week=the_week(desk),
        days=bool(desk.run.schedule.runs),
        titles=press_titles(desk),
    )


def _blanks_paper(desk: Desk) -> Iterator[Document]:
    yield desk.paper(
        "blanks",
        "office/blanks.pdf",
        desk.language.gettext("Blanks %(week)s", week=desk.week),
        Audience.OFFICE,
        lines=tuple(_blanks(desk)),
    )


def the_week(desk: Desk) -> Week:
    """What the week's paper and the page both show."""
    plan, _ = desk.run.plan, desk.language.gettext
    sheets = plan.sheets
    saved = sheets.simple_cost - sheets.cost
    return Week(
        batch=plan.bills.margin(MarginLevel.BATCH),
        tax=Money(sum(bill.tax for bill in plan.bills.bills)),
        pieces=sum(order.quantity for order in plan.orders),
        customers=tuple(
            (desk.shop.customer(margin.name).title, margin)
            for margin in plan.bills.margins
            if margin.level is MarginLevel.CUSTOMER
        ),
        orders=tuple(_orders(desk)),
        kinds=tuple(
            (_(COST_WORDS[kind]), Money(sum(line.part(kind) for line in plan.costs.lines))) for kind in CostKind
        ),
        sheets=tuple(_sheets(desk)),
        sheet_cost=sheets.cost,
        saving=Money(saved),
        saving_share=Fraction(saved, sheets.simple_cost) if sheets.simple_cost else None,
        shared=Money(sum(share.saving for share in plan.costs.orders)),
        gap=sheets.gap,
        stock=tuple(_stock(desk)),
        taken=tuple(_taken(desk)),
    )


def _orders(desk: Desk) -> Iterator[OrderLine]:
    plan = desk.run.plan
    shares = {share.job: share for share in plan.costs.orders}
    late = {order.job for order in plan.schedule.late}
    for order in plan.orders:
        yield OrderLine(
            job=order.job,
            customer=desk.shop.customer(order.customer).title,
            pieces=order.quantity,
            margin=plan.bills.margin(MarginLevel.ORDER, order.job),
            sheets=shares[order.job].shared,
            sheets_alone=shares[order.job].alone,
            sheet_saving=shares[order.job].saving,
            late=order.job in late,
        )


def _sheets(desk: Desk) -> Iterator[SheetLine]:
    plan = desk.run.plan
    for layout in plan.sheets.layouts:
        jobs = dict.fromkeys(job for item in layout.prints for job in plan.prints.demand(item.demand).jobs)
        prints = layout.sheets * len(layout.prints)
        yield SheetLine(
            layout=layout.id,
            transfer=desk.shop.transfer(layout.transfer).title,
            sheets=layout.sheets,
            prints=prints,
            cost=layout.cost,
            unit=Fraction(layout.cost, prints),
            jobs=", ".join(jobs),
        )


def _taken(desk: Desk) -> Iterator[TakenLine]:
    prints = desk.run.plan.prints
    for use in prints.stock_uses:
        demand = prints.demand(use.demand)
        yield TakenLine(
            lot=use.lot,
            place=use.place or "–",
            artwork=demand.artwork.path.rsplit("/", 1)[-1],
            size=(demand.width, demand.height),
            copies=use.copies,
            jobs=", ".join(demand.jobs),
        )


def _stock(desk: Desk) -> Iterator[StockLine]:
    plan = desk.run.plan
    for surplus in plan.sheets.surplus:
        demand = plan.prints.demand(surplus.demand)
        yield StockLine(
            artwork=demand.artwork.path.rsplit("/", 1)[-1],
            size=(demand.width, demand.height),
            customer=desk.shop.customer(demand.customer).title,
            copies=surplus.copies,
            transfer=desk.shop.transfer(surplus.transfer).title,
        )


def _blanks(desk: Desk) -> Iterator[BlankLine]:
    for order in desk.run.orders:
        for line in order.lines:
            yield BlankLine(
                garment=desk.shop.garment(line.garment).title,
                colour=line.colour,
                sizes=tuple((item.size, item.count) for item in line.pieces),
                total=line.quantity,
                job=order.job,
                own=line.blanks is Blanks.CUSTOMER,
            )
