"""What a new layout should hold: which prints compete for its room, in what order, and what they are worth."""

from collections.abc import Sequence

from plugins.group.chance import Chance

Rest = dict[int, int]
"""How many copies are missing of each print that is short."""


def list_wishes(
    first: int,
    crowd: list[int],
    quantity: int,
    rest: Rest,
    worths: Sequence[float],
    areas: Sequence[int],
    whole: int,
    by_size: bool,
    noise: float,
    rng: Chance,
) -> list[int]:
    """Return print `first`, then the others of the crowd in an order drawn by `rng`: the most appealing first.

    Each comes as often as `quantity` sheets need, but no more than find room on `whole` area. Appeal is what a print
    is worth (by area, if not `by_size`) with some `noise`, and less where the last copy would mostly be surplus.
    """
    queue = []
    for i in crowd:
        if i == first:
            continue
        appeal = worths[i] * (1 + noise * rng.random())
        if not by_size:
            appeal /= areas[i]
        full, part = divmod(rest[i], quantity)
        if part and full < 4:
            appeal *= rest[i] / (quantity * (full + 1))
        queue.append((appeal, i))
    queue.sort(reverse=True)
    wanted: list[int] = []
    for i in (first, *(i for _, i in queue)):
        wanted += [i] * min(-(-rest[i] // quantity), whole // areas[i])
    return wanted


def worth_of(counts: tuple[tuple[int, int], ...], quantity: int, rest: Rest, worths: Sequence[float]) -> float:
    """Return what so many sheets with these (print, copies) are worth: surplus copies count for nothing."""
    worth = 0.0
    for i, count in counts:
        if i in rest:
            copies, missing = count * quantity, rest[i]
            worth += worths[i] * (copies if copies < missing else missing)
    return worth
