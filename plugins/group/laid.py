"""Columns that can be laid: what the pricing step finds when every sheet is looked into.

Shares of a sheet let many sets of prints pass that no sheet holds. Here the best set is laid; if that fails, all ways
to cut it are tried (misfits.py), and what proves not to fit together is forbidden from then on (choice.py). What
the search has laid is looked through first. Where it takes too long to tell, a set counts as one that can be laid.
"""

from math import prod

import numpy as np

from plugins.group.choice import Item, Misfit
from plugins.group.inner import choose, misfits
from plugins.group.patterns import UNIT, Patterns, Wish
from plugins.group.pricing import CELLS, Numbers, Pricer, Prices

POOL = 8000
"""Most layouts of the search that are looked at again, the fullest."""
BEST = 6
"""Columns taken from there at a time, for each quantity."""
SETS = 1024
"""Most sets, those within it counted, of a set of which all ways to cut are tried."""
STEPS = 500_000
"""Steps of one branch and bound."""
TRIES = 60
"""Sets tried for one quantity and key."""
LOOKS = 1000
"""Most sets tried in all."""
WORK = 200_000
"""Sets tried times the square of the number of prints, at most: the more prints, the longer each takes."""
WILD = 20.0
"""Times that a column may be worth its cost for patterns to be looked for: their worths are numbers of 32 bits."""


class Laid:
    """Finds columns that can be laid for one pricer, with the layouts that its packer remembers."""

    def __init__(self, pricer: Pricer) -> None:
        self.pricer = pricer
        self._patterns = Patterns(pricer.packer, pricer.prints)
        self._place = {i: k for k, i in enumerate(pricer.prints)}
        keys = [key for key in pricer.packer.remembered(POOL) if set(key) <= self._place.keys()]
        self._pool = np.zeros((len(keys), len(pricer.prints)), dtype=np.int64)
        for row, key in enumerate(keys):
            for i in key:
                self._pool[row, self._place[i]] += 1
        self._ranks = np.array([int(pricer.rank[row > 0].min()) for row in self._pool], dtype=np.int64)
        self._misfits: dict[Misfit, int] = {}
        self.looks = min(LOOKS, WORK // max(len(pricer.prints), 1) ** 2)

    def remembered(self, prices: Prices, rows: Numbers, more: float) -> list[tuple[int, Numbers]]:
        """Return the best columns with a layout of the search, by the position of the quantity."""
        pricer, found = self.pricer, []
        unit = prices.value / pricer.need
        for at in rows.tolist() if len(self._pool) else ():
            worths = np.minimum(self._pool * pricer.quantities[at], pricer.need) @ unit
            costs = (pricer.cost[at] + prices.toll[at])[self._ranks]
            ratios = (worths + prices.bonus[at][self._ranks]) / costs
            best = np.argsort(-ratios, kind="stable")[:BEST]
            found += [(at, self._pool[row]) for row in best.tolist() if ratios[row] > more]
        return found

    def patterns(self, prices: Prices, places: list[tuple[int, int]]) -> list[tuple[float, Numbers]]:
        """Return for each quantity and key what no column is worth more than for its cost, and a pattern's column."""
        pricer, wishes = self.pricer, []
        costs = [float(pricer.cost[at] + prices.toll[at, j]) for at, j in places]
        for (at, j), cost in zip(places, costs, strict=True):
            quantity, key = int(pricer.quantities[at]), pricer.keys[j]
            worth = np.minimum(quantity, pricer.need) * prices.value / pricer.need
            worth = np.where(pricer.rank >= j, np.minimum(worth / cost, WILD), 0.0)
            once = key >= 0 and bool(pricer.need[key] <= quantity)
            wishes.append(Wish(np.ceil(worth * UNIT).astype(np.int64), None if key < 0 else key, once))
        return [
            (pattern.worth / UNIT + float(prices.bonus[at, j]) / cost, pattern.counts)
            for (at, j), cost, pattern in zip(places, costs, self._patterns.best(wishes), strict=True)
        ]

    def best(self, prices: Prices, at: int, j: int, least: float) -> tuple[float, Numbers | None]:
        """Return what no column of one quantity and key is worth more than for its cost, and the best column.

        A column is looked for that is worth more than `least` times its cost; None is returned where there is none.
        """
        pricer = self.pricer
        quantity, key = int(pricer.quantities[at]), pricer.keys[j]
        cost = float(pricer.cost[at] + prices.toll[at, j])
        sure, room = float(prices.bonus[at, j]), CELLS
        counts = [0] * len(pricer.prints)
        if key >= 0:
            counts[key] = 1
            sure += min(quantity, int(pricer.need[key])) * float(prices.value[key] / pricer.need[key])
            room -= int(pricer.cells[j][key])
        items = sorted(pricer.items(prices, at, j), key=_by_density)
        floor = least * cost - sure
        if key < 0 and floor < 0:
            # What is added for each column pays it alone: the best one holds a print at least.
            ratio, single = pricer.best(prices, at, j)
            return ratio, None if self._forbid(single) else single
        absent = ~sum(1 << k for k in {key, *(item[0] for item in items)} if k >= 0)
        against = [misfit for misfit, prints in self._misfits.items() if not prints & absent]
        bound = float("inf")
        for _ in range(min(TRIES, self.looks)):
            self.looks -= 1
            bound, _, chosen = choose(items, counts, max(room, 0), against, floor, STEPS)
            if chosen is None:
                break
            found = np.array(chosen, dtype=np.int64)
            misfits = self._forbid(found)
            if not misfits:
                return (bound + sure) / cost, found
            against += misfits
        return (bound + sure) / cost, None

    def _forbid(self, counts: Numbers) -> list[Misfit]:
        """Return what does not fit together of these prints, and forbid it from now on."""
        pricer = self.pricer
        if pricer.can_be_laid(counts):
            return []
        kinds = np.nonzero(counts)[0].tolist()
        copies = tuple(int(counts[k]) for k in kinds)
        if prod(n + 1 for n in copies) > SETS:
            return []
        packer = pricer.packer
        ways = [packer.ways[pricer.prints[k]] for k in kinds]
        found = []
        for few in misfits(ways, copies, (packer.width, packer.height)):
            misfit = tuple((k, n) for k, n in zip(kinds, few, strict=True) if n)
            self._misfits[misfit] = sum(1 << k for k, _ in misfit)
            found.append(misfit)
        return found


def _by_density(item: Item) -> tuple[float, int, int]:
    k, cells, gain, before = item
    return -gain / max(cells, 0.5), k, before
