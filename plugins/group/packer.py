"""Whether some prints can lie on one sheet, and where.

Every print is grown by the gap and the sheet by the gap less its margins; then prints may touch. The prints
are laid one after the other, each where it suits best, in several orders and by several rules. That is a
heuristic: a "no" means not found. Every answer is remembered.
"""

from collections.abc import Callable, Iterable
from random import Random
from typing import NamedTuple

from plugins.group.problem import Placement, Print, Sheet
from plugins.group.rooms import CHOICES, Free, Way, carve_room, cut_room

Key = tuple[int, ...]
"""The prints on a sheet, by index, in ascending order, repeated for every copy."""
Spot = tuple[Free, int]
"""What lies where: the rectangle (grown, as placed) and the index of the print."""
ORDERS: tuple[Callable[[Way], int], ...] = (
    lambda size: size[0] * size[1],
    lambda size: max(size),
    lambda size: min(size),
)
"""What is laid first: the largest by area, by longer side, by shorter side."""


ROUNDING = 1e-9
"""What sums of weights may be off by."""


class Packing(NamedTuple):
    """Prints laid on a sheet, the room that is left, and how much may still come by weight (of 1)."""

    spots: tuple[Spot, ...]
    free: tuple[Free, ...]
    room: int
    spare: float

    def key(self, *more: int) -> Key:
        """Return which prints lie here, with `more` added."""
        return tuple(sorted([*(spot[1] for spot in self.spots), *more]))


class Packer:
    """Lays prints on one sheet size; on a `strip`, which is cut off where the prints end, as low as it can."""

    def __init__(
        self, sheet: Sheet, prints: tuple[Print, ...], *, guillotine: bool = True, strip: bool = False
    ) -> None:
        self.sheet = sheet
        self.strip = strip
        self.width = sheet.width - 2 * sheet.margin + sheet.gap
        self.height = sheet.height - 2 * sheet.margin + sheet.gap
        self.prints = prints
        self.ways = [_ways(p, sheet.gap) for p in prints]
        self.areas = [ways[0][0] * ways[0][1] for ways in self.ways]
        self.empty = Packing((), ((0, 0, self.width, self.height),), self.width * self.height, 1.0)
        self.weights = [area / self.empty.room for area in self.areas]
        self._least = min(min(ways[0]) for ways in self.ways)
        self._drop = cut_room if guillotine else carve_room
        self._known: dict[Key, Packing | None] = {(): self.empty}
        self._ranks = [[(order(ways[0]), i) for i, ways in enumerate(self.ways)] for order in ORDERS]
        self._tries = _TRIES if guillotine else _FREE_TRIES

    def fits_alone(self, index: int) -> bool:
        """Return whether print `index` fits on an empty sheet."""
        return any(w <= self.width and h <= self.height for w, h in self.ways[index])

    def extend(self, packing: Packing, index: int, *, thorough: bool = True) -> Packing | None:
        """Return `packing` with one more copy of print `index`, or None if no way was found.

        The copy goes into room that is left, else (if `thorough`) everything is laid anew.
        """
        if self.areas[index] > packing.room or self.weights[index] > packing.spare + ROUNDING:
            return None
        free = list(packing.free)
        spot = self._drop(free, self.ways[index], 0, 0, self._least)
        if spot is not None:
            room, spare = packing.room - self.areas[index], packing.spare - self.weights[index]
            return Packing((*packing.spots, (spot, index)), tuple(free), room, spare)
        return self.pack(packing.key(index)) if thorough else None

    def pack(self, key: Key) -> Packing | None:
        """Return a packing of the prints in `key`, or None if none was found."""
        if key not in self._known:
            self._known[key] = self._search(key)
        return self._known[key]

    def draw(self, key: Key, rng: Random) -> Packing | None:
        """Return the prints in `key` laid in one way picked at random, or None if they do not fit so."""
        left = self._left(key)
        if left[0] < 0:
            return None
        order, choice, rule = rng.choice(self._tries)
        queue = sorted(key, key=self._ranks[order].__getitem__, reverse=True)
        return self._lay(queue, choice, rule, left)

    def used_height(self, packing: Packing) -> int:
        """Return how high a sheet must be for these prints and its margins."""
        top = max((y + h for (_, y, _, h), _ in packing.spots), default=0)
        return top + 2 * self.sheet.margin - self.sheet.gap

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
                for (x, y, w, h), i in packing.spots
            )
        )

    def recall(self, placements: tuple[Placement, ...]) -> Packing:
        """Return the packing with these placements, all its room taken as used up."""
        gap, margin = self.sheet.gap, self.sheet.margin
        spots = tuple(((p.x - margin, p.y - margin, p.width + gap, p.height + gap), p.print) for p in placements)
        return Packing(spots, (), *self._left([p.print for p in placements]))

    def _left(self, key: Iterable[int]) -> tuple[int, float]:
        """Return the room and the weight that prints leave."""
        room, spare = self.empty.room, 1.0
        for i in key:
            room -= self.areas[i]
            spare -= self.weights[i]
        return room, spare

    def _search(self, key: Key) -> Packing | None:
        """Lay everything in several orders and by several rules, the most promising first."""
        left = self._left(key)
        if left[0] < 0 or left[1] < -ROUNDING:
            return None
        queues: dict[int, list[int]] = {}
        lowest: Packing | None = None
        for order, choice, rule in self._tries:
            if order not in queues:
                queues[order] = sorted(key, key=self._ranks[order].__getitem__, reverse=True)
            found = self._lay(queues[order], choice, rule, left)
            if found is not None and not self.strip:
                return found
            if found is not None and (lowest is None or self.used_height(found) < self.used_height(lowest)):
                lowest = found
        return lowest

    def _lay(self, queue: list[int], choice: int, rule: int, left: tuple[int, float]) -> Packing | None:
        free: list[Free] = [self.empty.free[0]]
        spots: list[Spot] = []
        drop, ways, least = self._drop, self.ways, self._least
        for index in queue:
            spot = drop(free, ways[index], choice, rule, least)
            if spot is None:
                return None
            spots.append((spot, index))
        return Packing(tuple(spots), tuple(free), *left)


_TRIES = (
    *((0, 0, 0), (0, 0, 1), (0, 1, 0), (1, 0, 0), (0, 1, 1), (0, 1, 2), (2, 0, 1)),
    *((1, 0, 1), (0, 2, 0), (0, 2, 1), (2, 0, 0), (1, 1, 2), (0, 2, 2), (2, 1, 2)),
)
"""Order, choice and rule, most often successful first: of all 36 these found 97 % of what any of them found."""
_FREE_TRIES = tuple((o, c, 0) for o in range(len(ORDERS)) for c in range(CHOICES))


def _ways(p: Print, gap: int) -> tuple[Way, ...]:
    """Return the grown sizes in which a print may lie."""
    w, h = p.width + gap, p.height + gap
    return ((w, h), (h, w)) if p.may_turn and w != h else ((w, h),)
