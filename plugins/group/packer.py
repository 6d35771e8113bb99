"""Whether some prints can lie on one sheet, and where.

Every print is grown by the gap and the sheet by the gap less its margins; then prints may touch. The prints
are laid one after the other, each where it suits best, in several orders and by several rules. That is a
heuristic: a "no" means not found. Every answer is remembered.
"""

from bisect import bisect
from collections.abc import Callable, Iterable
from typing import NamedTuple

from plugins.group.chance import Chance
from plugins.group.inner import fill_rooms, lay_anew
from plugins.group.problem import Placement, Print, Sheet
from plugins.group.rooms import ROUNDING, Free, Left, Limits, Spot, Try, Way

Key = tuple[int, ...]
"""The prints on a sheet, by index, in ascending order, repeated for every copy."""
ORDERS: tuple[Callable[[Way], int], ...] = (
    lambda size: size[0] * size[1],
    lambda size: max(size),
    lambda size: min(size),
)
"""What is laid first: the largest by area, by longer side, by shorter side."""
MEMORY = 1_000_000
"""Prints on layouts that are remembered; then all are forgotten."""
STRIP_WORK = 400
"""Prints laid, about, to find the lowest way on a strip: of many prints fewer ways are tried."""


def without(key: Key, gone: Iterable[int]) -> Key:
    """Return `key` with one copy less for each print in `gone`."""
    left = list(key)
    for i in gone:
        left.remove(i)
    return tuple(left)


class Packing(NamedTuple):
    """Prints laid on a sheet, the room that is left, and how much may still come by weight (of 1)."""

    key: Key
    spots: tuple[Spot, ...]
    free: tuple[Free, ...]
    room: int
    spare: float


Laid = tuple[tuple[Spot, ...], tuple[Free, ...], int, float]
"""A packing but for its key, which its spots tell."""


def packing_of(laid: Laid) -> Packing:
    """Return the packing of which all but the key is given."""
    return Packing(tuple(sorted([i for _, i in laid[0]])), *laid)


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
        self.empty = Packing((), (), ((0, 0, self.width, self.height),), self.width * self.height, 1.0)
        self.weights = [area / self.empty.room for area in self.areas]
        self._sides = [min(ways[0]) for ways in self.ways]
        self._least = min(self._sides)
        self.carving = not guillotine
        self.elsewhere: Callable[[int], list[Laid]] = lambda _most: []
        """Gives the fullest layouts, so many, that are remembered where the search is compiled."""
        self._known: dict[Key, Packing | None] = {}
        self._held = 0
        self.ranks = tuple([_ranks([order(ways[0]) for ways in self.ways]) for order in ORDERS])
        self.tries = _TRIES if guillotine else _FREE_TRIES

    def fits_alone(self, index: int) -> bool:
        """Return whether print `index` fits on an empty sheet."""
        return any(w <= self.width and h <= self.height for w, h in self.ways[index])

    def extend(self, packing: Packing, index: int, *, thorough: bool = True) -> Packing | None:
        """Return `packing` with one more copy of print `index`, or None if no way was found.

        The copy goes into room that is left, else (if `thorough`) everything is laid anew.
        """
        room, spare = packing.room - self.areas[index], packing.spare - self.weights[index]
        if room < 0 or spare < -ROUNDING:
            return None
        key = packing.key
        at = bisect(key, index)
        key = (*key[:at], index, *key[at:])
        known = self._known.get(key, self.empty)
        if known is not self.empty:
            return known
        free = list(packing.free)
        spots, _, _ = self._fill(free, [index], 0, (packing.room, packing.spare), patient=True)
        if spots:
            more = Packing(key, (*packing.spots, *spots), tuple(free), room, spare)
            return more if self.strip else self._remember(key, more)
        return self._remember(key, self._search(key, room, spare)) if thorough else None

    def fill(self, wanted: list[int]) -> Packing:
        """Return as many of the prints `wanted`, in turn, as there is room for on an empty sheet.

        What finds no room is laid anew with all that is there, until that fails; from then on it is left out.
        """
        free, spots = [self.empty.free[0]], []
        left = (self.empty.room, self.empty.spare)
        at, patient = 0, False
        while at < len(wanted):
            more, at, left = self._fill(free, wanted, at, left, patient=patient)
            spots += more
            if at < len(wanted):
                missed = wanted[at]
                packing = self.pack(tuple(sorted([missed, *(i for _, i in spots)])))
                if packing is None:
                    patient = True
                else:
                    at += 1
                    free, spots = list(packing.free), list(packing.spots)
                    left = (packing.room, packing.spare)
        key = tuple(sorted([i for _, i in spots]))
        known = self._known.get(key)
        if known is None:
            known = Packing(key, tuple(spots), tuple(free), *left)
            self._remember(key, known)
        return known

    def _fill(
        self, free: list[Free], wanted: list[int], at: int, left: Left, *, patient: bool
    ) -> tuple[list[Spot], int, Left]:
        return fill_rooms(
            self.carving, free, wanted, at, self.ways, self.areas, self.weights, left, self._least, patient
        )

    def pack(self, key: Key) -> Packing | None:
        """Return a packing of the prints in `key`, or None if none was found."""
        if not key:
            return self.empty
        if key not in self._known:
            self._remember(key, self._search(key, *self._left(key)))
        return self._known[key]

    def laid(self, key: Key) -> Packing:
        """Return a packing of prints of which one is known to be found."""
        packing = self.pack(key)
        if packing is None:
            raise AssertionError("what was laid once can be laid again")
        return packing

    def _remember(self, key: Key, packing: Packing | None) -> Packing | None:
        if self._held >= MEMORY:
            self.forget()
        if key not in self._known:
            self._held += len(key)
        self._known[key] = packing
        return packing

    def forget(self) -> None:
        """Begin anew, so that what is found does not hang on what was asked before."""
        self._known.clear()
        self._held = 0

    def remembered(self, most: int) -> list[Key]:
        """Return the prints of layouts that are remembered, the fullest first, `most` of them."""
        for packing in map(packing_of, self.elsewhere(most)):
            self._remember(packing.key, packing)
        found = sorted((packing.room, key) for key, packing in self._known.items() if packing and key)
        return [key for _, key in found[:most]]

    def draw(self, key: Key, rng: Chance) -> Packing | None:
        """Return the prints in `key` laid in one way picked at random, or None if they do not fit so."""
        room, spare = self._left(key)
        laid = self._lay(self._queues(key), (rng.choice(self.tries),), (self._least, 0, 0))
        return Packing(tuple(sorted(key)), tuple(laid[0]), tuple(laid[1]), room, spare) if laid else None

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
        """Return the packing with these placements."""
        gap, margin = self.sheet.gap, self.sheet.margin
        return self.used_up(
            [((p.x - margin, p.y - margin, p.width + gap, p.height + gap), p.print) for p in placements]
        )

    def used_up(self, spots: list[Spot]) -> Packing:
        """Return the packing with these spots, all its room taken as used up."""
        key = tuple(sorted([i for _, i in spots]))
        return Packing(key, tuple(spots), (), *self._left(key))

    def _left(self, key: Iterable[int]) -> tuple[int, float]:
        """Return the room and the weight that prints leave."""
        room, spare = self.empty.room, 1.0
        for i in key:
            room -= self.areas[i]
            spare -= self.weights[i]
        return room, spare

    def _search(self, key: Key, room: int, spare: float) -> Packing | None:
        """Lay everything in several orders and by several rules, the most promising first."""
        if room < 0 or spare < -ROUNDING:
            return None
        limits = (self._least, min([self._sides[i] for i in key]), room)
        queues = self._queues(key)
        if self.strip:
            tries = self.tries[: 2 + STRIP_WORK // len(key)]
            found = [laid for one in tries if (laid := self._lay(queues, (one,), limits))]
            packings = [Packing(key, tuple(spots), tuple(free), room, spare) for spots, free in found]
            return min(packings, key=self.used_height, default=None)
        few = self.carving and len(key) <= FEW
        laid = self._lay(queues, self.tries[:FEW_TRIES] if few else self.tries, limits)
        return Packing(key, tuple(laid[0]), tuple(laid[1]), room, spare) if laid else None

    def _queues(self, key: Key) -> tuple[list[int], ...]:
        """Return the prints in each of the ORDERS."""
        return tuple([sorted(key, key=ranks.__getitem__) for ranks in self.ranks])

    def _lay(
        self, queues: tuple[list[int], ...], tries: tuple[Try, ...], limits: Limits
    ) -> tuple[list[Spot], list[Free]] | None:
        return lay_anew(self.carving, (self.width, self.height), queues, self.ways, tries, limits)


_TRIES: tuple[Try, ...] = (
    *((0, (0, 0)), (0, (0, 1)), (0, (1, 0)), (1, (0, 0)), (0, (1, 1)), (0, (1, 2)), (2, (0, 1))),
    *((1, (0, 1)), (0, (2, 0)), (0, (2, 1)), (2, (0, 0)), (1, (1, 2)), (0, (2, 2)), (2, (1, 2))),
)
"""Order and rule, most often successful first: of all 36 these found 97 % of what any of them found."""
_FREE_TRIES: tuple[Try, ...] = (
    *((0, (1, 0)), (2, (1, 0)), (1, (0, 0)), (0, (0, 0)), (2, (0, 0)), (0, (2, 0))),
    *((2, (2, 0)), (1, (1, 0)), (1, (2, 0))),
)
"""The same for maximal rectangles. Of up to ten prints the first three found 94 to 99 % of what all nine did."""
FEW, FEW_TRIES = 10, 3
"""So many prints are laid in so many ways only, where maximal rectangles are kept."""


def _ranks(sizes: list[int]) -> list[int]:
    """Return the place of each print in a queue, the largest first."""
    queue = sorted(range(len(sizes)), key=lambda i: (sizes[i], i), reverse=True)
    return sorted(range(len(sizes)), key=queue.__getitem__)


def _ways(p: Print, gap: int) -> tuple[Way, ...]:
    """Return the grown sizes in which a print may lie."""
    w, h = p.width + gap, p.height + gap
    return ((w, h), (h, w)) if p.may_turn and w != h else ((w, h),)
