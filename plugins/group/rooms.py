"""Free rectangles on a sheet, and what a print leaves of them.

Two ways to keep them, with one signature. `cut_room` keeps rectangles that do not overlap: the one that gets a
print is parted by straight cuts, so the sheet can be cut apart with a guillotine. `carve_room` keeps all
maximal rectangles, which overlap: denser, but not always to be cut apart by straight cuts.
"""

from collections.abc import Callable

Free = tuple[int, int, int, int]
"""A free rectangle: x, y, width, height."""
Way = tuple[int, int]
"""Width and height in which a print may be laid."""
CHOICES = 3
"""Ways to choose among rooms: closest side, smallest room, closest far side."""
Drop = Callable[[list[Free], tuple[Way, ...], int, int, int], Free | None]
"""Lay a print: (free rectangles, changed in place; ways to lie; choice; rule; least useful side) -> spot."""


def _choose(free: list[Free], ways: tuple[Way, ...], choice: int) -> tuple[int, Way] | None:
    """Return the free rectangle, by its place in the list, and the way of lying that suit a print best."""
    least = -1
    slot, chosen = -1, ways[0]
    for k, (_, _, w, h) in enumerate(free):
        for way in ways:
            beside = w - way[0]
            above = h - way[1]
            if beside < 0 or above < 0:
                continue
            if choice == 0:
                score = beside if beside < above else above
            elif choice == 1:
                score = w * h
            else:
                score = above if beside < above else beside
            if score < least or slot < 0:
                least, slot, chosen = score, k, way
    return None if slot < 0 else (slot, chosen)


def cut_room(free: list[Free], ways: tuple[Way, ...], choice: int, rule: int, least: int) -> Free | None:
    """Lay a print in the corner of one room and part the rest by straight cuts; None if none is large enough."""
    found = _choose(free, ways, choice)
    if found is None:
        return None
    slot, (pw, ph) = found
    x, y, w, h = free.pop(slot)
    beside, above = w - pw, h - ph
    if rule < 2:
        across = w * above if w * above > beside * ph else beside * ph
        upright = beside * h if beside * h > pw * above else pw * above
        first_across = (across >= upright) == (rule == 0)
    else:
        first_across = (w < h) == (rule == 2)
    if first_across:
        if beside >= least:
            free.append((x + pw, y, beside, ph))
        if above >= least:
            free.append((x, y + ph, w, above))
    else:
        if beside >= least:
            free.append((x + pw, y, beside, h))
        if above >= least:
            free.append((x, y + ph, pw, above))
    return (x, y, pw, ph)


def carve_room(free: list[Free], ways: tuple[Way, ...], choice: int, _rule: int, least: int) -> Free | None:
    """Lay a print in the corner of one room and carve it out of every other; None if none is large enough."""
    found = _choose(free, ways, choice)
    if found is None:
        return None
    slot, (pw, ph) = found
    px, py = free[slot][:2]
    right, top = px + pw, py + ph
    pieces: list[Free] = []
    kept: list[Free] = []
    for room in free:
        x, y, w, h = room
        if px >= x + w or right <= x or py >= y + h or top <= y:
            kept.append(room)
            continue
        if px - x >= least:
            pieces.append((x, y, px - x, h))
        if x + w - right >= least:
            pieces.append((right, y, x + w - right, h))
        if py - y >= least:
            pieces.append((x, y, w, py - y))
        if y + h - top >= least:
            pieces.append((x, top, w, y + h - top))
    pieces.sort(key=_by_area)
    for piece in pieces:
        if not any(_holds(other, piece) for other in kept):
            kept.append(piece)
    free[:] = kept
    return (px, py, pw, ph)


def _by_area(room: Free) -> tuple[int, Free]:
    return (-room[2] * room[3], room)


def _holds(outer: Free, inner: Free) -> bool:
    x, y, w, h = inner
    return outer[0] <= x and outer[1] <= y and outer[0] + outer[2] >= x + w and outer[1] + outer[3] >= y + h
