"""The job traveller: one paper that goes with an order through the shop, from the goods' arrival to the carrier.

It lists each step in its order with a box to tick. How a run is pressed stands on its own instruction.
"""

from collections.abc import Iterator
from datetime import date
from functools import partial

from attrs import frozen

from pipeline.model.document import Audience, Document
from pipeline.model.measure import Length
from pipeline.model.order import Blanks, Delivery, Order
from pipeline.model.press import PressTask
from pipeline.model.prints import PrintDemand
from pipeline.model.schedule import PressRun
from plugins.documents.desk import Desk, Work, slug
from plugins.documents.timetable import what_is_pressed


@frozen(kw_only=True)
class GoodsRow:
    """Garments that must come in; `supplier` is "" for those that the customer brings."""

    garment: str
    colour: str
    sizes: tuple[tuple[str, int], ...]
    total: int
    supplier: str


@frozen(kw_only=True)
class PrintsRow:
    """Prints that must lie ready: on which sheets, how many in all, and how many of them come from the shelf.

    `others` are orders that use the same prints.
    """

    artwork: str
    size: tuple[Length, Length]
    transfer: str
    sheets: str
    copies: int
    from_stock: int
    others: str


@frozen(kw_only=True)
class PressRow:
    """A press run of the order."""

    run: PressRun
    task: PressTask
    what: str
    press: str


def works(desk: Desk) -> Iterator[Work]:
    """A traveller for every order, in the order of the jobs; none for a quote, of which nothing is made."""
    if not desk.quote:
        for order in desk.run.orders:
            yield partial(_traveller, desk, order)


def _traveller(desk: Desk, order: Order) -> Iterator[Document]:
    plan, shop = desk.run.plan, desk.shop
    runs = tuple(_press_rows(desk, order))
    late = next((late for late in plan.schedule.late if late.job == order.job), None)
    yield desk.paper(
        "traveller",
        f"floor/traveller-{slug(order.job)}.pdf",
        desk.language.gettext("Job traveller %(job)s", job=order.job),
        Audience.FLOOR,
        order.job,
        order=order,
        customer=shop.customer(order.customer),
        week=desk.run.label,
        goods=tuple(_goods(desk, order)),
        prints=tuple(_prints(desk, order)),
        runs=runs,
        days=_days(runs),
        late=late,
        pieces=order.quantity,
        cartons=len(plan.packing.of(order.job)),
        pick_up=order.delivery is Delivery.PICK_UP,
    )


def _goods(desk: Desk, order: Order) -> Iterator[GoodsRow]:
    for line in order.lines:
        garment = desk.shop.garment(line.garment)
        yield GoodsRow(
            garment=garment.title,
            colour=line.colour,
            sizes=tuple((item.size, item.count) for item in line.pieces),
            total=line.quantity,
            supplier=garment.supplier if line.blanks is Blanks.OURS else "",
        )


def _prints(desk: Desk, order: Order) -> Iterator[PrintsRow]:
    sheets = desk.run.plan.sheets
    for demand in desk.run.plan.prints.demands:
        if order.job in demand.jobs:
            lie_on = [
                layout.id for layout in sheets.layouts if any(item.demand == demand.id for item in layout.prints)
            ]
            yield PrintsRow(
                artwork=demand.artwork.path.rsplit("/", 1)[-1],
                size=(demand.width, demand.height),
                transfer=desk.shop.transfer(sheets.transfer_of(demand.id)).title,
                sheets=", ".join(lie_on),
                copies=_copies(demand, order.job),
                from_stock=demand.from_stock,
                others=", ".join(job for job in demand.jobs if job != order.job),
            )


def _copies(demand: PrintDemand, job: str) -> int:
    """Good prints for this order; spares lie with them and are nobody's alone."""
    return sum(use.pieces for use in demand.uses if use.ref.job == job)


def _press_rows(desk: Desk, order: Order) -> Iterator[PressRow]:
    for run in desk.run.plan.schedule.runs:
        task = desk.run.plan.tasks.task(run.task)
        if task.ref.job == order.job:
            yield PressRow(
                run=run,
                task=task,
                what=what_is_pressed(desk, task),
                press=desk.shop.press(run.press).title,
            )


def _days(rows: tuple[PressRow, ...]) -> tuple[tuple[date, tuple[PressRow, ...]], ...]:
    days = dict.fromkeys(row.run.start.date() for row in rows)
    return tuple((day, tuple(row for row in rows if row.run.start.date() == day)) for day in days)
