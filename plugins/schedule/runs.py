"""Orders and their sheets -> what has to be pressed: a task per print of an order line and transfer, or its parts."""

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from string import ascii_lowercase
from zoneinfo import ZoneInfo

from pipeline.model.measure import Length
from pipeline.model.order import Blanks, Delivery, Line, Order
from pipeline.model.press import PieceTime, PressTask, PressTaskList
from pipeline.model.prints import PrintDemand, PrintList, PrintRef
from pipeline.model.sheet import SheetPlan
from pipeline.model.workdays import WEEKDAYS, Workdays, ready_by
from pipeline.shop import Peel, Placement, Platen, Press, Recipe, Shop
from plugins.schedule.parts import Part, cut, parts_by_ref


def press_tasks(
    orders: tuple[Order, ...], shop: Shop, prints: PrintList, sheets: SheetPlan, date: date, start: datetime
) -> PressTaskList:
    """Everything to press, in the order of the jobs, numbered `R01`, `R02`, ...

    Prints of one line follow one another, since they go on the same garments. A print of which sizes are printed
    by different transfers (each size is bought where it is cheapest) is a task for each transfer. The parts of a
    long run are `R03a`, `R03b`, ...; the next print of their garments waits for those parts that hold its own.
    """
    by_ref = parts_by_ref(prints, sheets)
    tasks: list[PressTask] = []
    number = 0
    for order in orders:
        for at, line in enumerate(order.lines):
            before: list[tuple[str, Part]] = []
            for index in range(len(line.prints)):
                ref = PrintRef(job=order.job, line=at, print=index)
                made: list[tuple[str, Part]] = []
                for whole in by_ref.get(ref, ()):
                    number += 1
                    for letter, part in _parts(whole, line, ref, shop):
                        name = f"R{number:02}{letter}"
                        after = tuple(task for task, other in before if part.shares_pieces_with(other))
                        tasks.append(_task(name, order, ref, part, shop, date, start, after))
                        made.append((name, part))
                before = made or before
    return PressTaskList(tasks=tuple(tasks))


def _parts(whole: Part, line: Line, ref: PrintRef, shop: Shop) -> Iterator[tuple[str, Part]]:
    """The run as it is or, where the shop splits runs as long as this, its parts with a letter each.

    No part is larger than `split_from`, but there are no more of them than presses that can do it.
    """
    split_from = shop.options.schedule.split_from
    if not split_from or whole.quantity < split_from:
        yield "", whole
        return
    presses = _presses(shop, whole, _platens(_placement(line, ref, shop), whole.demands, shop))
    number = min(whole.quantity // split_from + 1, len(presses), whole.quantity, len(ascii_lowercase))
    yield from zip(ascii_lowercase if number > 1 else ("",), cut(whole, number), strict=False)


def _task(
    name: str,
    order: Order,
    ref: PrintRef,
    part: Part,
    shop: Shop,
    date: date,
    start: datetime,
    after: tuple[str, ...],
) -> PressTask:
    line = order.lines[ref.line]
    garment, recipe = shop.garment(line.garment), shop.transfer(part.transfer).recipe
    placement = _placement(line, ref, shop)
    platens = _platens(placement, part.demands, shop)
    cold, last = recipe.peel is Peel.COLD, ref.print == len(line.prints) - 1
    return PressTask(
        id=name,
        ref=ref,
        demands=tuple(demand.id for demand in part.demands),
        pieces=part.pieces,
        transfer=part.transfer,
        presses=_presses(shop, part, platens),
        platens=platens,
        pad=placement.pad,
        piece_time=_piece_time(recipe, shop),
        set_up=shop.times.job_set_up,
        cool=garment.cool if cold or not last else timedelta(0),
        release=_release(line, part, shop, date, start),
        due=_due(order, shop),
        weight=shop.customer(order.customer).weight * (shop.options.schedule.rush_weight if order.rush else 1),
        spares=part.spares,
        after=after,
    )


def _placement(line: Line, ref: PrintRef, shop: Shop) -> Placement:
    name = line.prints[ref.print].placement
    placement = shop.garment(line.garment).placement(name)
    if placement is None:
        raise AssertionError(f"the placement {name} passed the door and is unknown")
    return placement


def _presses(shop: Shop, part: Part, platens: tuple[str, ...]) -> tuple[str, ...]:
    recipe = shop.transfer(part.transfer).recipe
    return tuple(press.name for press in shop.presses if can_press(press, recipe, platens))


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


def _release(line: Line, part: Part, shop: Shop, date: date, start: datetime) -> datetime:
    """When transfers and blanks are in the shop; a customer's own blanks and prints in stock are there."""
    workdays = Workdays.of(shop.calendar)
    days = [date]
    if any(demand.to_buy for demand in part.demands):
        days.append(workdays.after(date, shop.transfer(part.transfer).lead_days))
    if line.blanks is Blanks.OURS:
        days.append(workdays.after(date, shop.garment(line.garment).lead_days))
    return max(start, datetime.combine(max(days), time(0), tzinfo=ZoneInfo(shop.time_zone)))


def _due(order: Order, shop: Shop) -> datetime:
    """What is shipped is due when the carrier comes, what is picked up when the shop closes on that day."""
    day = ready_by(order, shop)
    closing = [shift.end for shift in shop.calendar.shifts if WEEKDAYS[day.weekday()] in shift.days]
    at = max(closing) if order.delivery is Delivery.PICK_UP else shop.calendar.carrier
    return datetime.combine(day, at, tzinfo=ZoneInfo(shop.time_zone))
