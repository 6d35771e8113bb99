"""A referee of sheet plans: it recomputes everything from the figures and shares no code with the stage.

`faults_of_result` judges an answer of the solver on plain numbers, `faults_of_plan` a plan of the stage. Both
return sentences; an empty list means that nothing is wrong.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from pipeline.model.prints import PrintList
from pipeline.model.sheet import Layout, SheetPlan
from pipeline.shop import SheetSize, Shop
from plugins.group.problem import Placement, Problem, Result, Roll


class Rect(NamedTuple):
    """A print as it lies: lower left corner, width, height, and whose it is."""

    x: int
    y: int
    w: int
    h: int
    owner: object


class Line(NamedTuple):
    """A cut: its ends and its stage."""

    x1: int
    y1: int
    x2: int
    y2: int
    stage: int


def faults_of_result(problem: Problem, result: Result) -> list[str]:
    """Everything that is wrong with the solver's answer to `problem`."""
    return list(_judge_result(problem, result))


def faults_of_plan(shop: Shop, prints: PrintList, plan: SheetPlan) -> list[str]:
    """Everything that is wrong with the stage's plan for `prints`."""
    return list(_judge_plan(shop, prints, plan))


def _judge_result(problem: Problem, result: Result) -> Iterator[str]:
    made: Counter[int] = Counter()
    where: dict[int, set[int]] = {i: set() for i in range(len(problem.prints))}
    for number, layout in enumerate(result.layouts):
        name = f"layout {number}"
        sheet = problem.media[layout.medium].sheets[layout.sheet]
        rects = [Rect(p.x, p.y, p.width, p.height, p.print) for p in layout.placements]
        cuts = None if layout.cuts is None else [Line(c.x1, c.y1, c.x2, c.y2, c.stage) for c in layout.cuts]
        yield from _lie_well(name, rects, sheet.width, layout.height, sheet.margin, sheet.gap)
        yield from _fall_apart(name, rects, cuts, sheet.width, layout.height, must=problem.guillotine)
        yield from _same_prints(name, problem, layout.placements)
        if isinstance(sheet, Roll):
            if layout.height % sheet.step or not 0 < layout.height <= sheet.longest:
                yield f"{name}: a piece of {layout.height}, in steps of {sheet.step} to {sheet.longest}"
            bought, steps = layout.height * layout.quantity, layout.height // sheet.step
        else:
            if layout.height != sheet.height:
                yield f"{name}: another size than its sheet"
            bought, steps = layout.quantity, 1
        price = steps * _price(sheet.prices, bought)
        if layout.price != price or layout.cost != price * layout.quantity + sheet.set_up:
            yield f"{name}: price {layout.price}, cost {layout.cost}, by the table {price} for each sheet"
        if bought < sheet.minimum:
            yield f"{name}: {bought} bought, but {sheet.minimum} are the least"
        for p in layout.placements:
            made[p.print] += layout.quantity
            where[p.print].add(layout.medium)
    for i, item in enumerate(problem.prints):
        if made[i] < item.copies or made[i] - item.copies != result.surplus[i]:
            yield f"print {i}: {made[i]} of {item.copies} copies, surplus {result.surplus[i]}"
        if where[i] != {result.media[i]} or result.media[i] not in item.media:
            yield f"print {i}: on media {sorted(where[i])}, said {result.media[i]}, allowed {item.media}"
    yield from _sums(problem, result)


def _same_prints(name: str, problem: Problem, placements: Sequence[Placement]) -> Iterator[str]:
    """What lies on the sheet are the prints asked for, at their size, and they may meet."""
    if len({problem.prints[p.print].company for p in placements}) != 1:
        yield f"{name}: prints that must not meet"
    for p in placements:
        item = problem.prints[p.print]
        if ((p.height, p.width) if p.turned else (p.width, p.height)) != (item.width, item.height):
            yield f"{name}: print {p.print} has another size"
        if p.turned and not item.may_turn:
            yield f"{name}: print {p.print} may not turn"


def _sums(problem: Problem, result: Result) -> Iterator[str]:
    purchase = sum(layout.cost for layout in result.layouts)
    charges = sum(problem.media[m].order_charge for m in {layout.medium for layout in result.layouts})
    extras = sum(p.extras[p.media.index(m)] for p, m in zip(problem.prints, result.media, strict=True))
    if (purchase, charges, extras) != (result.purchase, result.order_charges, result.extras):
        yield f"cost parts are {(purchase, charges, extras)}"
    if result.bound > purchase + charges + extras:
        yield f"the bound {result.bound} is above the cost {purchase + charges + extras}"
    if problem.most_layouts is not None and len(result.layouts) > problem.most_layouts:
        yield f"{len(result.layouts)} layouts, {problem.most_layouts} allowed"


def _judge_plan(shop: Shop, prints: PrintList, plan: SheetPlan) -> Iterator[str]:
    made: Counter[str] = Counter()
    for layout in plan.layouts:
        yield from _judge_layout(shop, prints, plan, layout)
        for placed in layout.prints:
            made[placed.demand] += layout.sheets
    surplus = {item.demand: item.copies for item in plan.surplus}
    chosen = dict(plan.chosen)
    for demand in prints.demands:
        bought = made[demand.id]
        if bought < demand.to_buy or bought - demand.to_buy != surplus.get(demand.id, 0):
            yield f"{demand.id}: {bought} bought, {demand.to_buy} needed, surplus {surplus.get(demand.id)}"
        if chosen[demand.id] not in demand.transfers:
            yield f"{demand.id}: {chosen[demand.id]} may not be used"
    total = 0
    for order in plan.orders:
        own = [layout for layout in plan.layouts if layout.transfer == order.transfer]
        charge = shop.transfer(order.transfer).order_charge
        cost = charge + sum(layout.price * layout.sheets + layout.set_up for layout in own)
        total += cost
        said = (order.layouts, order.sheets, order.order_charge, order.cost)
        if said != (tuple(layout.id for layout in own), sum(layout.sheets for layout in own), charge, cost):
            yield f"the order of {order.transfer} does not add up"
    if {order.transfer for order in plan.orders} != {layout.transfer for layout in plan.layouts}:
        yield "orders and layouts are of different transfers"
    if plan.lower_bound > total + plan.extra_labour:
        yield f"the bound {plan.lower_bound} is above the cost {total + plan.extra_labour}"


def _judge_layout(shop: Shop, prints: PrintList, plan: SheetPlan, layout: Layout) -> Iterator[str]:
    demands = {demand.id: demand for demand in prints.demands}
    chosen = dict(plan.chosen)
    transfer = shop.transfer(layout.transfer)
    size = next(size for size in (*transfer.sheets, *transfer.rolls) if size.name == layout.sheet_size)
    if isinstance(size, SheetSize):
        fits = (size.width, size.height) == (layout.width, layout.height) and not layout.steps
        price = _price([(step.from_sheets, step.price) for step in size.prices], layout.sheets)
        enough = layout.sheets >= transfer.minimum_sheets
    else:
        fits = (size.width, layout.steps * size.step) == (layout.width, layout.height)
        fits = fits and 0 < layout.height <= size.longest
        bought = layout.sheets * layout.height
        price = layout.steps * _price([(step.from_length, step.price) for step in size.prices], bought)
        enough = bought >= size.minimum
    if not fits:
        yield f"{layout.id}: another size than {size.name}"
    rects = [Rect(p.x, p.y, p.width, p.height, p.demand) for p in layout.prints]
    guillotine = shop.options.group.guillotine
    cuts = [Line(c.x1, c.y1, c.x2, c.y2, c.stage) for c in layout.cuts]
    yield from _lie_well(layout.id, rects, layout.width, layout.height, size.margin, size.gap)
    yield from _fall_apart(
        layout.id, rects, cuts if guillotine or cuts else None, layout.width, layout.height, must=guillotine
    )
    if (layout.price, layout.set_up) != (price, transfer.set_up) or not enough:
        yield f"{layout.id}: price, set-up or minimum not by the shop's table"
    if len({demands[p.demand].customer if demands[p.demand].alone else None for p in layout.prints}) != 1:
        yield f"{layout.id}: prints that must not meet"
    for p in layout.prints:
        demand = demands[p.demand]
        if ((p.height, p.width) if p.turned else (p.width, p.height)) != (demand.width, demand.height):
            yield f"{layout.id}: {p.demand} has another size"
        if p.turned and not demand.may_turn:
            yield f"{layout.id}: {p.demand} may not turn"
        if chosen[p.demand] != layout.transfer:
            yield f"{layout.id}: {p.demand} is on a transfer that was not chosen"


def _price(steps: Sequence[tuple[int, int]], quantity: int) -> int:
    """The price of the highest step reached."""
    return max((start, price) for start, price in steps if start <= quantity)[1]


def _lie_well(name: str, rects: list[Rect], width: int, height: int, margin: int, gap: int) -> Iterator[str]:
    """Inside the margin, and a gap between any two."""
    for k, a in enumerate(rects):
        if a.x < margin or a.y < margin or a.x + a.w > width - margin or a.y + a.h > height - margin:
            yield f"{name}: {a} is over the margin"
        for b in rects[k + 1 :]:
            apart_x = max(a.x - b.x - b.w, b.x - a.x - a.w)
            apart_y = max(a.y - b.y - b.h, b.y - a.y - a.h)
            if max(apart_x, apart_y) < gap:
                yield f"{name}: {a} and {b} are too close"


def _fall_apart(
    name: str, rects: list[Rect], cuts: list[Line] | None, width: int, height: int, *, must: bool
) -> Iterator[str]:
    """Make the cuts one after the other, each through one whole piece; in the end every print is by itself."""
    if cuts is None:
        if must:
            yield f"{name}: no cutting sequence"
        return
    pieces = [(0, 0, width, height)]
    if [cut.stage for cut in cuts] != sorted(cut.stage for cut in cuts):
        yield f"{name}: stages out of order"
    for cut in cuts:
        for k, (left, bottom, right, top) in enumerate(pieces):
            if (cut.y1, cut.y2) == (bottom, top) and left < cut.x1 == cut.x2 < right:
                pieces[k : k + 1] = [(left, bottom, cut.x1, top), (cut.x1, bottom, right, top)]
                break
            if (cut.x1, cut.x2) == (left, right) and bottom < cut.y1 == cut.y2 < top:
                pieces[k : k + 1] = [(left, bottom, right, cut.y1), (left, cut.y1, right, top)]
                break
        else:
            yield f"{name}: {cut} does not go through a whole piece"
    homes: Counter[int] = Counter()
    for rect in rects:
        inside = [
            k
            for k, (left, bottom, right, top) in enumerate(pieces)
            if left <= rect.x and bottom <= rect.y and rect.x + rect.w <= right and rect.y + rect.h <= top
        ]
        if not inside:
            yield f"{name}: a cut goes through {rect}"
        homes.update(inside[:1])
    if any(count > 1 for count in homes.values()):
        yield f"{name}: two prints are left on one piece"
