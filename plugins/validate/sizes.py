"""How large prints are and where they lie: on the placement, the platen, the sheet, a child, one another."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations, groupby

from pipeline.model.measure import Length
from pipeline.model.order import Order, Print
from pipeline.model.show import percent
from pipeline.problems import Origin, Problem
from pipeline.shop import Shop
from plugins.validate.cases import Case, sizes
from plugins.validate.fit import platens_of
from plugins.validate.found import error, warning
from plugins.validate.rooms import Room
from plugins.validate.words import Words, quoted


def check_sizes(orders: tuple[Order, ...], found: tuple[Case, ...], shop: Shop) -> Iterator[Problem]:
    """E413-E415 too large, E419 too small; W416 too large for children; E417, W418 on another print."""
    words = Words.of(shop)
    for order in orders:
        yield from _too_small(order, shop, words)
    for case in found:
        yield from _too_large(case, shop, words)
        yield from _on_children(case, shop, words)
    for _, same in groupby(found, lambda case: (case.ref.job, case.ref.line, id(case.line))):
        for first, second in combinations(same, 2):
            yield from _one_over_the_other(first, second, words)


def too_large(case: Case, shop: Shop) -> bool:
    """True when the placement, every platen for it or every sheet of the shop is too small for the print."""
    return any(rooms and not any(room.holds(case) for room in rooms) for _, rooms in _limits(case, shop))


_NAMES = {"E413": "its placement", "E414": "every platen for its placement", "E415": "every sheet of the shop"}


def _limits(case: Case, shop: Shop) -> tuple[tuple[str, list[Room]], ...]:
    """The rooms of which one must hold the print: of the placement, its platens, and all sheets of the shop."""
    return (
        ("E413", [Room.of_placement(case.placement)]),
        ("E414", [Room.of_platen(platen) for platen in platens_of(case, shop)]),
        ("E415", [Room.of_sheet(sheet) for transfer in shop.transfers for sheet in transfer.offers]),
    )


def _too_large(case: Case, shop: Shop, words: Words) -> Iterator[Problem]:
    if not too_large(case, shop):
        return
    largest = [
        (code, max(rooms, key=lambda room: room.factor(case))) for code, rooms in _limits(case, shop) if rooms
    ]
    # Said once, for the first limit that is passed, with the size that keeps to all of them.
    code, room = next((code, room) for code, room in largest if not room.holds(case))
    least = min(room.factor(case) for _, room in largest)
    yield error(
        case.order,
        code,
        f"the print is larger than {_NAMES[code]}: {words.size(case.width, case.height)}",
        size_origin(case.print),
        label=f"there is room for {words.size(room.width, room.height)}",
        hint=f"print it at most {at_most(case, least, words)}",
    )


def _too_small(order: Order, shop: Shop, words: Words) -> Iterator[Problem]:
    finest = min((transfer.thinnest_line for transfer in shop.transfers), default=Length(1))
    for line in order.lines:
        for print_ in line.prints:
            if print_.art is not None and min(map(min, sizes(line, print_))) < finest:
                message = f"nothing of this print would be left: {words.size(*min(sizes(line, print_)))}"
                hint = (
                    f"the finest line of a transfer here is {words.length(finest)}: write a larger size or scale"
                )
                yield error(order, "E419", message, size_origin(print_), hint=hint)


def _on_children(case: Case, shop: Shop, words: Words) -> Iterator[Problem]:
    ordered = [(item, case.garment.size(item.size)) for item in case.line.pieces]
    widths = {item.size: case.print.size_on(item.size)[0] for item, size in ordered if size and size.child}
    grown = [case.print.size_on(item.size)[0] for item, size in ordered if size and not size.child]
    scale = shop.options.validate.youth_scale
    if grown:
        large = [size for size, width in widths.items() if width >= max(grown)]
        message = f"one print size serves youth and adult: {words.length(max(grown))} wide on {quoted(large)} too"
    else:
        most = int(case.placement.max_width * scale)
        large = [size for size, width in widths.items() if width > most]
        message = f"the print is large for a child: {words.length(case.width)} wide on {quoted(large)}"
    if large and scale < 1:
        entries = ", ".join(f"{size}: {percent(scale).replace(' ', '')}" for size in large)
        hint = f"a child's print is about {percent(scale)} of a grown-up's: write `scale: {{{entries}}}`"
        yield warning(case.order, "W416", message, size_origin(case.print), hint=hint)


def _one_over_the_other(first: Case, second: Case, words: Words) -> Iterator[Problem]:
    same_place = first.placement.name == second.placement.name
    if same_place and first.print.artwork == second.print.artwork:
        message = f"`{second.print.artwork}` is printed twice on `{second.placement.name}`"
        yield error(
            second.order, "E417", message, second.print.at("placement"), hint="delete one of the two prints"
        )
        return
    if (first.placement.view, first.placement.anchor) != (second.placement.view, second.placement.anchor):
        return
    across = _overlap(_across(first), _across(second))
    down = _overlap(_down(first), _down(second))
    if across > 0 and down > 0:
        size = words.size(across, down)
        message = f"this print and the one on `{first.placement.name}` above lie over each other by {size}"
        hint = "right when one is meant to lie on the other; otherwise choose another placement or a smaller size"
        yield warning(second.order, "W418", message, second.print.at("placement"), hint=hint)


def _across(case: Case) -> tuple[int, int]:
    return case.placement.across - case.width // 2, case.placement.across + case.width // 2


def _down(case: Case) -> tuple[int, int]:
    return case.placement.down, case.placement.down + case.height


def _overlap(first: tuple[int, int], second: tuple[int, int]) -> int:
    """How far two spans lie over each other; not above 0 when they do not."""
    return min(first[1], second[1]) - max(first[0], second[0])


def size_origin(print_: Print) -> Origin:
    """Where the order gives the size of a print."""
    return print_.at("height" if print_.width is None else "width")


def at_most(case: Case, factor: Fraction, words: Words) -> str:
    """The size that the order gives, times `factor`, as it is to be written; rounded down."""
    name, given = ("height", case.print.height) if case.print.width is None else ("width", case.print.width)
    return f"`{name}: {words.written(int((given or 0) * factor))}`"
