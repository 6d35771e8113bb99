"""Free rectangles on a sheet, and what prints leave of them.

Two ways to keep them, with one signature. `cut_rooms` keeps rectangles that do not overlap: the one that gets a
print is parted by straight cuts, so the sheet can be cut apart with a guillotine. `carve_rooms` keeps all
maximal rectangles, which overlap: denser, but not always to be cut apart by straight cuts.
"""

from collections.abc import Callable, Iterable, Sequence

Free = tuple[int, int, int, int]
"""A free rectangle: x, y, width, height."""
Way = tuple[int, int]
"""Width and height in which a print may be laid."""
Spot = tuple[Free, int]
"""What lies where: the rectangle (grown, as placed) and the index of the print."""
Rule = tuple[int, int]
"""How to choose among rooms (0 closest side, 1 smallest room, 2 closest far side), and how to part that."""
Try = tuple[int, Rule]
"""In which of some queues to lay, and by which rule."""
Limits = tuple[int, int, int]
"""Sides that make a room worth keeping and worth something to this queue; area that may be lost."""
Left = tuple[int, float]
"""Area and weight that are left."""
ROUNDING = 1e-9
"""What sums of weights may be off by."""
Lay = Callable[[list[Free], Iterable[int], Sequence[tuple[Way, ...]], Rule, Limits], list[Spot] | None]
"""Lay prints: (free rectangles, changed in place; prints in turn; ways each may lie; rule; limits) -> spots."""


def _choose(free: list[Free], ways: tuple[Way, ...], choice: int) -> tuple[int, Way]:
    """Return which free rectangle suits a print best (-1: none), and the way of lying there."""
    slot, lowest, chosen = -1, 0, ways[0]
    for k, (_, _, w, h) in enumerate(free):
        for way in ways:
            pw, ph = way
            if pw > w or ph > h:
                continue
            if choice == 1:
                score = w * h
            else:
                score, above = w - pw, h - ph
                if (above < score) == (choice == 0):
                    score = above
            if score < lowest or slot < 0:
                lowest, slot, chosen = score, k, way
    return slot, chosen


def cut_rooms(
    free: list[Free], queue: Iterable[int], ways: Sequence[tuple[Way, ...]], rule: Rule, limits: Limits
) -> list[Spot] | None:
    """Lay each print in the corner of one room and part the rest by straight cuts; None if one has no room."""
    choice, split = rule
    least, useful, slack = limits
    spots: list[Spot] = []
    for index in queue:
        slot, (pw, ph) = _choose(free, ways[index], choice)
        if slot < 0:
            return None
        x, y, w, h = free.pop(slot)
        spots.append(((x, y, pw, ph), index))
        beside, above = w - pw, h - ph
        if not beside and not above:
            continue
        if split < 2:
            across = w * above if w * above > beside * ph else beside * ph
            upright = beside * h if beside * h > pw * above else pw * above
            first_across = (across >= upright) == (split == 0)
        else:
            first_across = w < h
        tall, wide = (ph, w) if first_across else (h, pw)
        if beside >= least:
            free.append((x + pw, y, beside, tall))
        if above >= least:
            free.append((x, y + ph, wide, above))
        if beside < useful:
            slack -= beside * tall
        if above < useful:
            slack -= wide * above
        if slack < 0:
            return None
    return spots


def carve_rooms(
    free: list[Free], queue: Iterable[int], ways: Sequence[tuple[Way, ...]], rule: Rule, limits: Limits
) -> list[Spot] | None:
    """Lay each print in the corner of one room and carve it out of every other; None if one has no room."""
    choice, least = rule[0], limits[0]
    spots: list[Spot] = []
    for index in queue:
        slot, (pw, ph) = _choose(free, ways[index], choice)
        if slot < 0:
            return None
        spot = (*free[slot][:2], pw, ph)
        spots.append((spot, index))
        free[:] = _carved(free, spot, least)
    return spots


def _carved(free: list[Free], spot: Free, least: int) -> list[Free]:
    """Return the maximal rectangles that are left when `spot` is taken."""
    px, py, pw, ph = spot
    right, top = px + pw, py + ph
    pieces: list[tuple[int, int, int, int, int]] = []
    kept: list[Free] = []
    for room in free:
        x, y, w, h = room
        far, high = x + w, y + h
        if px >= far or right <= x or py >= high or top <= y:
            kept.append(room)
            continue
        if px - x >= least:
            pieces.append(((x - px) * h, x, y, px - x, h))
        if far - right >= least:
            pieces.append(((right - far) * h, right, y, far - right, h))
        if py - y >= least:
            pieces.append(((y - py) * w, x, y, w, py - y))
        if high - top >= least:
            pieces.append(((top - high) * w, x, top, w, high - top))
    pieces.sort()
    for _, x, y, w, h in pieces:
        far, high = x + w, y + h
        for left, low, width, height in kept:
            if left <= x and low <= y and left + width >= far and low + height >= high:
                break
        else:
            kept.append((x, y, w, h))
    return kept


def lay_anew(
    carving: bool,
    size: Way,
    queues: tuple[list[int], ...],
    ways: Sequence[tuple[Way, ...]],
    tries: tuple[Try, ...],
    limits: Limits,
) -> tuple[list[Spot], list[Free]] | None:
    """Lay the prints on an empty sheet of this size by one try after the other, until one succeeds.

    Returns the spots and the rooms that are left; None if no try succeeds.
    """
    lay = carve_rooms if carving else cut_rooms
    for order, rule in tries:
        free = [(0, 0, *size)]
        spots = lay(free, queues[order], ways, rule, limits)
        if spots is not None:
            return spots, free
    return None


def fill_rooms(
    carving: bool,
    free: list[Free],
    wanted: Sequence[int],
    at: int,
    ways: Sequence[tuple[Way, ...]],
    areas: Sequence[int],
    weights: Sequence[float],
    left: Left,
    least: int,
    patient: bool,
) -> tuple[list[Spot], int, Left]:
    """Lay the prints `wanted` from position `at` on, each in the room that it leaves least of, while there is room.

    `areas` and `weights` are those of all prints, `left` what is left of both on the sheet; prints of more are left
    out. At a print that finds no room it ends, if not `patient`; else that print is left out until another comes.
    Returns the spots, where it ended, and what is left. `free` is changed in place.
    """
    lay = carve_rooms if carving else cut_rooms
    room, spare = left
    spots: list[Spot] = []
    missed = -1
    while at < len(wanted):
        index = wanted[at]
        area, weight = areas[index], weights[index]
        if index != missed and area <= room and spare - weight >= -ROUNDING:
            laid = lay(free, (index,), ways, (0, 0), (least, 0, 0))
            if laid is not None:
                spots += laid
                room, spare = room - area, spare - weight
            elif patient:
                missed = index
            else:
                break
        at += 1
    return spots, at, (room, spare)
