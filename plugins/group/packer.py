"""Can these prints lie on one sheet, and where?

Every print is grown by the gap and the sheet by the gap less its margins; then prints may touch. A free
rectangle that receives a print is cut in two by a straight cut (guillotine sheets), or overlapping maximal
free rectangles are kept (free sheets). Heuristics: a "no" means not found. Every answer is remembered.
"""

from collections.abc import Callable
from typing import NamedTuple

from plugins.group.problem import Placement, Print, Sheet

Free = tuple[int, int, int, int]
"""A free rectangle: x, y, width, height."""
Key = tuple[int, ...]
"""The prints on a sheet, by index, in ascending order, repeated for every copy."""
Spot = tuple[int, int, int, int, int]
"""What lies where: x, y, width, height (grown, as placed), index of the print."""


class Packing(NamedTuple):
    """Prints laid on a sheet, and the room that is left."""

    spots: tuple[Spot, ...]
    free: tuple[Free, ...]
    room: int

    def key(self, *more: int) -> Key:
        """Return which prints lie here, with `more` added."""
        return tuple(sorted([*(spot[4] for spot in self.spots), *more]))


class Packer:
    """Lays prints on one sheet size."""

    def __init__(self, sheet: Sheet, prints: tuple[Print, ...], *, guillotine: bool = True) -> None:
        self.sheet = sheet
        self.width = sheet.width - 2 * sheet.margin + sheet.gap
        self.height = sheet.height - 2 * sheet.margin + sheet.gap
        self.prints = prints
        self.sizes = [_ways(p, sheet.gap) for p in prints]
        self.areas = [ways[0][0] * ways[0][1] for ways in self.sizes]
        self.empty = Packing((), ((0, 0, self.width, self.height),), self.width * self.height)
        self._split_up = _cut_off if guillotine else _carve_out
        self._known: dict[Key, Packing | None] = {(): self.empty}

    def fits_alone(self, index: int) -> bool:
        """Return whether print `index` fits on an empty sheet."""
        return any(w <= self.width and h <= self.height for w, h in self.sizes[index])

    def extend(self, packing: Packing, index: int, *, thorough: bool = True) -> Packing | None:
        """Return `packing` with one more copy of print `index`, or None if no way was found.

        The copy goes into room that is left, else (if `thorough`) everything is laid anew.
        """
        if self.areas[index] > packing.room:
            return None
        added = self._drop_in(packing, index, _closest_side, 0)
        if added is not None or not thorough:
            return added
        return self.pack(packing.key(index))

    def pack(self, key: Key) -> Packing | None:
        """Return a packing of the prints in `key`, or None if none was found."""
        if key not in self._known:
            self._known[key] = self._search(key)
        return self._known[key]

    def placements(self, packing: Packing) -> tuple[Placement, ...]:
        """Return where the prints lie on the sheet, margin and gap taken off again."""
        gap, margin = self.sheet.gap, self.sheet.margin
        return tuple(
            sorted(
                Placement(
                    x=x + margin,
                    y=y + margin,
                    width=w - gap,
                    height=h - gap,
                    print=i,
                    turned=(w - gap, h - gap) != (self.prints[i].width, self.prints[i].height),
                )
                for x, y, w, h, i in packing.spots
            )
        )

    def _search(self, key: Key) -> Packing | None:
        """Try several orders, choices of room and ways to cut, the most promising first."""
        if sum(self.areas[i] for i in key) > self.width * self.height:
            return None
        for order in _ORDERS:
            queue = sorted(key, key=lambda i: (order(self.sizes[i][0]), i), reverse=True)
            for choose in _CHOICES:
                for rule in range(4):
                    found = self._lay(queue, choose, rule)
                    if found is not None:
                        return found
        return None

    def _lay(self, queue: list[int], choose: "Choice", rule: int) -> Packing | None:
        packing: Packing | None = self.empty
        for index in queue:
            packing = self._drop_in(packing, index, choose, rule)
            if packing is None:
                return None
        return packing

    def _drop_in(self, packing: Packing, index: int, choose: "Choice", rule: int) -> Packing | None:
        """Lay one copy into the free rectangle that suits it best; None if there is none."""
        best: tuple[int, int] | None = None
        chosen: Free = (0, 0, 0, 0)
        for slot, (x, y, w, h) in enumerate(packing.free):
            for pw, ph in self.sizes[index]:
                if pw <= w and ph <= h:
                    score = (choose(w - pw, h - ph, w * h), slot)
                    if best is None or score < best:
                        best, chosen = score, (x, y, pw, ph)
        if best is None:
            return None
        return Packing(
            (*packing.spots, (*chosen, index)),
            self._split_up(packing.free, best[1], chosen, rule),
            packing.room - self.areas[index],
        )


Choice = Callable[[int, int, int], int]
"""Score of a free rectangle by what stays free beside and above the print, and its area; least is best."""


def _closest_side(beside: int, above: int, _area: int) -> int:
    return min(beside, above)


def _smallest_room(_beside: int, _above: int, area: int) -> int:
    return area


def _closest_far_side(beside: int, above: int, _area: int) -> int:
    return max(beside, above)


_CHOICES: tuple[Choice, ...] = (_closest_side, _smallest_room, _closest_far_side)
_ORDERS: tuple[Callable[[tuple[int, int]], int], ...] = (
    lambda size: size[0] * size[1],
    lambda size: max(size),
    lambda size: size[0] + size[1],
    lambda size: min(size),
)


def _ways(p: Print, gap: int) -> tuple[tuple[int, int], ...]:
    """Return the grown sizes in which a print may lie."""
    w, h = p.width + gap, p.height + gap
    return ((w, h), (h, w)) if p.may_turn and w != h else ((w, h),)


def _cut_off(free: tuple[Free, ...], slot: int, spot: Free, rule: int) -> tuple[Free, ...]:
    """Cut what is left of a free rectangle in two, beside and above the print in its lower left corner."""
    x, y, w, h = free[slot]
    pw, ph = spot[2:]
    beside, above = w - pw, h - ph
    across = (  # whether the first cut runs across the whole width
        max(w * above, beside * ph) >= max(beside * h, pw * above),
        max(w * above, beside * ph) < max(beside * h, pw * above),
        w < h,
        w >= h,
    )[rule]
    rest = list(free)
    del rest[slot]
    if beside:
        rest.append((x + pw, y, beside, ph if across else h))
    if above:
        rest.append((x, y + ph, w if across else pw, above))
    return tuple(rest)


def _carve_out(free: tuple[Free, ...], _slot: int, spot: Free, _rule: int) -> tuple[Free, ...]:
    """Take a print out of all maximal free rectangles and keep the maximal ones of what is left."""
    px, py, pw, ph = spot
    right, top = px + pw, py + ph
    kept: list[Free] = []
    pieces: list[Free] = []
    for rect in free:
        x, y, w, h = rect
        if px >= x + w or right <= x or py >= y + h or top <= y:
            kept.append(rect)
            continue
        if px > x:
            pieces.append((x, y, px - x, h))
        if right < x + w:
            pieces.append((right, y, x + w - right, h))
        if py > y:
            pieces.append((x, y, w, py - y))
        if top < y + h:
            pieces.append((x, top, w, y + h - top))
    for piece in sorted(set(pieces), key=lambda r: (-r[2] * r[3], r)):
        if not any(_holds(other, piece) for other in kept):
            kept.append(piece)
    return tuple(kept)


def _holds(outer: Free, inner: Free) -> bool:
    return (
        outer[0] <= inner[0]
        and outer[1] <= inner[1]
        and outer[0] + outer[2] >= inner[0] + inner[2]
        and outer[1] + outer[3] >= inner[1] + inner[3]
    )
