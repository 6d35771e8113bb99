"""Orders and their sheets -> what has to be pressed: one task per print of an order line and transfer."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from attrs import frozen

from pipeline.model.measure import Length
from pipeline.model.order import Blanks, Delivery, Line, Order, SizeCount
from pipeline.model.press import PieceTime, PressTask, PressTaskList
from pipeline.model.prints import PrintDemand, PrintList, PrintRef
from pipeline.model.sheet import SheetPlan
from pipeline.model.workdays import WEEKDAYS, Workdays, ready_by
from pipeline.shop import Peel, Placement, Platen, Press, Recipe, Shop


def press_tasks(
    orders: tuple[Order, ...], shop: Shop, prints: PrintList, sheets: SheetPlan, date: date, start: datetime
) -> PressTaskList:
    """Everything to press, in the order of the jobs, numbered `R01`, `R02`, ...

    Prints of one line follow one another, since they go on the same garments. A print of which sizes are printed
    by different transfers (each size is bought where it is cheapest) is a task for each transfer.
    """
    by_ref = _prints_by_ref(prints, sheets)
    tasks: list[PressTask] = []
    for order in orders:
        for at, line in enumerate(order.lines):
            before: tuple[str, ...] = ()
            for index in range(len(line.prints)):
                ref = PrintRef(job=order.job, line=at, print=index)
                made = [
                    _task(f"R{len(tasks) + number:02}", order, ref, parts, shop, date, start, before)
                    for number, parts in enumerate(by_ref.get(ref, ()), 1)
                ]
                tasks += made
                before = tuple(task.id for task in made) or before
    return PressTaskList(tasks=tuple(tasks))


@frozen(kw_only=True)
class _Parts:
    """What one transfer prints of one print: demands, and pieces by size."""

    transfer: str
    demands: tuple[PrintDemand, ...]
    pieces: tuple[SizeCount, ...]


def _prints_by_ref(prints: PrintList, sheets: SheetPlan) -> dict[PrintRef, tuple[_Parts, ...]]:
    """For each print the demands that serve it, put together by transfer."""
    chosen = dict(sheets.chosen)
    found: dict[PrintRef, dict[str, list[tuple[PrintDemand, SizeCount]]]] = {}
    for demand in prints.demands:
        for use in demand.uses:
            by_transfer = found.setdefault(use.ref, {})
            by_transfer.setdefault(chosen[demand.id], []).append(
                (demand, SizeCount(size=use.size, count=use.pieces))
            )
    return {
        ref: tuple(
            _Parts(
                transfer=transfer,
                demands=tuple({demand.id: demand for demand, _ in uses}.values()),
                pieces=tuple(count for _, count in uses),
            )
            for transfer, uses in by_transfer.items()
        )
        for ref, by_transfer in found.items()
    }


def _task(
    name: str,
    order: Order,
    ref: PrintRef,
    parts: _Parts,
    shop: Shop,
    date: date,
    start: datetime,
    before: tuple[str, ...],
) -> PressTask:
    line = order.lines[ref.line]
    item = line.prints[ref.print]
    garment, recipe = shop.garment(line.garment), shop.transfer(parts.transfer).recipe
    placement = garment.placement(item.placement)
    if placement is None:
        raise AssertionError(f"the placement {item.placement} passed the door and is unknown")
    platens = _platens(placement, parts.demands, shop)
    cold, last = recipe.peel is Peel.COLD, ref.print == len(line.prints) - 1
    return PressTask(
        id=name,
        ref=ref,
        demands=tuple(demand.id for demand in parts.demands),
        pieces=parts.pieces,
        transfer=parts.transfer,
        presses=tuple(press.name for press in shop.presses if can_press(press, recipe, platens)),
        platens=platens,
        pad=placement.pad,
        piece_time=_piece_time(recipe, shop),
        set_up=shop.times.job_set_up,
        cool=garment.cool if cold or not last else timedelta(0),
        release=_release(line, parts, shop, date, start),
        due=_due(order, shop),
        weight=shop.customer(order.customer).weight * (shop.options.schedule.rush_weight if order.rush else 1),
        spares=sum(demand.spares for demand in parts.demands),
        after=before,
    )


def can_press(press: Press, recipe: Recipe, platens: tuple[str, ...]) -> bool:
    """True when the press reaches the recipe's temperature and pressure and takes one of the platens."""
    return (
        press.lowest <= recipe.temperature <= press.highest
        and recipe.pressure in press.pressure_settings
        and not set(platens).isdisjoint(press.platens)
    )


def _platens(placement: Placement, demands: tuple[PrintDemand, ...], shop: Shop) -> tuple[str, ...]:
    """The placement's platens, the preferred first, on which every size of the print lies within the edge."""
    width = max(demand.width for demand in demands)
    height = max(demand.height for demand in demands)
    known = (name for name in placement.platens if shop.knows("platen", name))
    return tuple(name for name in known if _holds(shop.platen(name), width, height))


def _holds(platen: Platen, width: Length, height: Length) -> bool:
    return width <= platen.width - 2 * platen.edge and height <= platen.height - 2 * platen.edge


def _piece_time(recipe: Recipe, shop: Shop) -> PieceTime:
    times, cold = shop.times, recipe.peel is Peel.COLD
    return PieceTime(
        load=times.load,
        closed=recipe.pre_press + recipe.dwell + recipe.post_press,
        unload=times.unload if cold else times.unload + times.peel,
        peel=times.peel if cold else timedelta(0),
    )


def _release(line: Line, parts: _Parts, shop: Shop, date: date, start: datetime) -> datetime:
    """When transfers and blanks are in the shop; a customer's own blanks and prints in stock are there."""
    workdays = Workdays.of(shop.calendar)
    days = [date]
    if any(demand.to_buy for demand in parts.demands):
        days.append(workdays.after(date, shop.transfer(parts.transfer).lead_days))
    if line.blanks is Blanks.OURS:
        days.append(workdays.after(date, shop.garment(line.garment).lead_days))
    return max(start, datetime.combine(max(days), time(0), tzinfo=ZoneInfo(shop.time_zone)))


def _due(order: Order, shop: Shop) -> datetime:
    """What is shipped is due when the carrier comes, what is picked up when the shop closes on that day."""
    day = ready_by(order, shop)
    closing = [shift.end for shift in shop.calendar.shifts if WEEKDAYS[day.weekday()] in shift.days]
    at = max(closing) if order.delivery is Delivery.PICK_UP else shop.calendar.carrier
    return datetime.combine(day, at, tzinfo=ZoneInfo(shop.time_zone))
