"""Prints that change places between sheets, until some that are out have found room."""

from bisect import insort
from collections.abc import Iterator
from math import log

from plugins.group.chance import Chance
from plugins.group.rooms import Limits, Try, Way, lay_anew

OUT = 0.4
"""How often it is a print without a sheet whose turn it is."""
PAIRS = 10
"""Most prints on a sheet of which two are changed for one."""


def change_places(
    carving: bool,
    size: Way,
    ways: list[tuple[Way, ...]],
    ranks: tuple[list[int], ...],
    tries: tuple[Try, ...],
    sheets: list[list[int]],
    out: list[int],
    warmth: float,
    work: int,
    seed: int,
) -> None:
    """Change the prints on `sheets` and those that are `out` (by index, ascending), in place, until none is out.

    One goes to another sheet for none, one or two that come back. A change is judged by the sum of the squares of
    all fillings, each from 0 to 1; by about `warmth` it may become worse. `ways`, `ranks` (the place of each print
    in each queue) and `tries` say how prints are laid. It ends when `work` is done: 1 for each change, and 1 for
    each print of the sheets that it asks for.
    """
    table = _Table(carving, size, ways, ranks, tries)
    chance = Chance(seed)
    piles = [*sheets, out]
    while out and work > 0:
        work -= 1
        to = int(chance.random() * len(sheets))
        source = len(sheets) if chance.random() < OUT else int(chance.random() * len(sheets))
        if source == to or not piles[source]:
            continue
        come = piles[source][int(chance.random() * len(piles[source]))]
        spare = table.whole if source == len(sheets) else table.room(piles[source])
        least = warmth * log(1 - chance.random())
        backs = list(_backs(table, come, piles[to], spare, 1 if source == len(sheets) else 2, least))
        if not backs:
            continue
        back = backs[int(chance.random() * len(backs))]
        fuller, emptier = _changed(piles[to], back, (come,)), _changed(piles[source], (come,), back)
        work -= len(fuller)
        if not table.lie_together(fuller):
            continue
        if source < len(sheets):
            work -= len(emptier)
            if not table.lie_together(emptier):
                continue
        piles[to][:], piles[source][:] = fuller, emptier


class _Table:
    """How prints are laid; answers are remembered."""

    def __init__(
        self,
        carving: bool,
        size: Way,
        ways: list[tuple[Way, ...]],
        ranks: tuple[list[int], ...],
        tries: tuple[Try, ...],
    ) -> None:
        self.carving, self.size, self.ways, self.ranks, self.tries = carving, size, ways, ranks, tries
        self.whole = size[0] * size[1]
        self.areas = [own[0][0] * own[0][1] for own in ways]
        self.sides = [min(own[0]) for own in ways]
        self.least = min(self.sides)
        self.known: dict[tuple[int, ...], bool] = {}

    def room(self, pile: list[int]) -> int:
        return self.whole - sum([self.areas[i] for i in pile])

    def lie_together(self, pile: list[int]) -> bool:
        """Return whether these prints were laid on one sheet."""
        key = tuple(pile)
        if len(key) < 2:
            return True
        if key not in self.known:
            limits: Limits = (self.least, min([self.sides[i] for i in key]), self.room(pile))
            queues = tuple([sorted(key, key=rank.__getitem__) for rank in self.ranks])
            self.known[key] = lay_anew(self.carving, self.size, queues, self.ways, self.tries, limits) is not None
        return self.known[key]


def _backs(
    table: _Table, come: int, pile: list[int], spare: int, bend: int, least: float
) -> Iterator[tuple[int, ...]]:
    """Yield what may come back for `come` by area, if the sum of squares gains at `least` so much by it."""
    areas, whole, room = table.areas, table.whole, table.room(pile)
    slope = 2 * ((spare - room) / whole)

    def pays(more: int) -> bool:
        part = more / whole
        return -spare <= more <= room and part * (slope + bend * part) >= least

    area = areas[come]
    if pays(area):
        yield ()
        return
    for at, i in enumerate(pile):
        more = area - areas[i]
        if i != come and pays(more):
            yield (i,)
        if len(pile) <= PAIRS:
            for j in pile[at + 1 :]:
                if pays(more - areas[j]):
                    yield (i, j)


def _changed(pile: list[int], gone: tuple[int, ...], come: tuple[int, ...]) -> list[int]:
    changed = list(pile)
    for i in gone:
        changed.remove(i)
    for i in come:
        insort(changed, i)
    return changed
