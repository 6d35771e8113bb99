"""Which sheets would pay, given what it is worth to cover each print: the pricing step of the bound.

A *column* is a multiset of prints on one sheet size, bought in some quantity. True layouts are hard to tell from
multisets that cannot be laid; so columns are what some shares of the sheet allow (weigh.py), which is more than
all true layouts. Columns are parted by their *key*, the largest print on them: shares made for sheets with
that very print tell best what else has room beside it. For one key and quantity the best column is a bounded
knapsack.
"""

from bisect import bisect_right
from itertools import pairwise
from typing import Any

import numpy as np

from plugins.group.choice import Item
from plugins.group.inner import knapsack
from plugins.group.plan import Board
from plugins.group.weigh import Scales

Numbers = np.ndarray[Any, Any]

CELLS = 1000
"""Steps into which a sheet is divided for the knapsack; shares are rounded down to them."""
EDGE = 0.001
"""Added to a share in steps before it is rounded down, so that a share that is a whole number of steps stays
one. Sound below 1,000 prints on a sheet: their steps are whole, so together they cannot rise by one."""
KEYS = 6
"""Most keys of one sheet size."""
LARGE = 0.12
"""Least share of the sheet's area that makes a print a key."""
FLOOR = 0.9
"""Least share of its area that a print wanted beside a key weighs: any number of what weighs nothing would fit."""
EXACT = 200
"""Most prints for which knapsacks are solved; beyond, their linear relaxation is as good."""


class Prices:
    """What covering is worth: to `value` all of each print; and what is taken off or added.

    By price step and key, `fine` is taken off for each copy of a print on a sheet and `credit` is added for
    each column. By quantity and key, `bonus` is added for each column and `toll` to what it costs.
    """

    def __init__(self, pricer: "Pricer", value: Numbers) -> None:
        self.value = value
        self.fine = np.zeros((len(pricer.steps), len(pricer.keys), len(value)))
        self.credit = np.zeros((len(pricer.steps), len(pricer.keys)))
        self.bonus = np.zeros((len(pricer.quantities), len(pricer.keys)))
        self.toll = np.zeros_like(self.bonus)
        self._quantities = pricer.quantities

    def counted(self, start: int, key: int | None) -> Numbers:
        """Return 1 for each quantity of at least `start` and each key, or the one given; 0 for the others."""
        keys = [key in (None, j) for j in range(self.bonus.shape[1])]
        return np.outer(self._quantities >= start, keys).astype(float)


class Pricer:
    """The columns of one sheet size for the prints of one company; prints are known by their position in `prints`."""

    def __init__(self, board: Board, stock: int, company: int) -> None:
        self.table = board.stocks[stock].table
        self.medium = board.stocks[stock].medium
        self.prints = [i for i, on in enumerate(board.stocks_of) if stock in on and board.company[i] == company]
        self.packer = packer = board.stocks[stock].packer
        self.scales = Scales(packer, self.prints)
        self.need = np.array([board.need[i] for i in self.prints], dtype=np.int64)
        share = np.array([packer.weights[i] for i in self.prints])
        self.most = np.minimum(np.floor(1 / np.maximum(share, 1e-6)).astype(np.int64), self.need)
        self.steps = self.table.steps()
        self._started: set[int] = set()
        self.quantities = self._quantities()
        self._measure()
        self._choose_keys(share)

    def _quantities(self) -> Numbers:
        """Return the quantities that can be best for some multiset.

        Between them the worth of a multiset and its cost are linear in the quantity.
        """
        found = set()
        for need, most in zip(self.need.tolist(), self.most.tolist(), strict=True):
            for copies in range(1, most + 1):
                found |= {need // copies, -(-need // copies)}
        # The last quantity below a price step counts too: what is taken off or added changes there.
        found |= {*self.steps, *(step - 1 for step in self.steps), self.table.minimum, int(self.need.max())}
        # The last quantity before it costs less to buy up: from there the cost stays as it is.
        found |= {
            (self.table.best(later)[1] - self.table.set_up - 1) // self.table.price(start)
            for start, later in pairwise(self.steps)
            if self.table.price(start)
        }
        # What is bought after buying up: the cheaper quantities in between can never be best.
        return np.array(sorted({self.table.best(max(q, 1))[0] for q in found}), dtype=np.int64)

    def _measure(self) -> None:
        self.cost = np.array([max(self.table.best(int(q))[1], 1e-9) for q in self.quantities])
        self.tier = np.array([self.tier_of(int(q)) for q in self.quantities])
        firsts = {self.table.best(max(step, self.table.minimum))[0] for step in self.steps} | self._started
        self._first = np.isin(self.quantities, sorted(firsts))
        self._full = np.minimum(self.need // self.quantities[:, None], self.most)
        rest = self.need - self._full * self.quantities[:, None]
        self._rest = np.where(self._full < self.most, rest, 0)

    def _choose_keys(self, share: Numbers) -> None:
        area = self.scales.area
        large = [k for k in np.argsort(-area, kind="stable").tolist() if area[k] >= LARGE]
        keys = large[:KEYS] if len(self.prints) <= EXACT else []
        self.keys = [*keys, -1] if len(keys) < len(self.prints) else keys
        self.rank = np.full(len(self.prints), len(keys))
        self.rank[keys] = range(len(keys))
        self.shares = [share] * len(self.keys)
        for j, key in enumerate(keys):
            wanted = np.where(self.rank >= j, self.need / self.need.max(), 0.0)
            wanted[key] = 1.0
            self.shares[j] = self.scales.weigh(wanted, FLOOR)
        self.cells = [np.floor(one * CELLS + EDGE).astype(np.int64) for one in self.shares]
        self._allowed = [np.nonzero(self.rank >= j)[0] for j in range(len(self.keys))]

    def tier_of(self, quantity: int) -> int:
        """Return which price step a quantity reaches."""
        return max(bisect_right(self.steps, quantity) - 1, 0)

    def group_of(self, quantity: int, counts: Numbers) -> tuple[int, int]:
        """Return the price step and the key of a column, by their positions."""
        return self.tier_of(quantity), int(self.rank[counts > 0].min())

    def can_be_laid(self, counts: Numbers) -> bool:
        """Return whether a true layout of these prints was found."""
        key = [i for i, count in zip(self.prints, counts.tolist(), strict=True) for _ in range(count)]
        return self.packer.pack(tuple(sorted(key))) is not None

    def start_at(self, quantity: int) -> None:
        """Price also the first quantity of at least `quantity` that may be bought, and the last one below it."""
        below, first = (self.table.best(max(number, 1))[0] for number in (quantity - 1, quantity))
        self._started.add(first)
        self.quantities = np.array(sorted({*self.quantities.tolist(), below, first}), dtype=np.int64)
        self._measure()

    def _can_be_best(self, prices: Prices) -> Numbers:
        """Return for each quantity whether a layout may be worth more for its cost than in the first of its price.

        What is covered grows no faster than the quantity. So where every sheet costs the same, and nothing is paid
        for the layout, the first quantity of a price, or of those that a limit counts, is the best for its cost.
        """
        rows: Numbers = self._first | np.any(prices.toll > 0, axis=1) | (self.table.set_up > 0)
        return rows

    def at_most(self, prices: Prices) -> Numbers:
        """Return, for every quantity and key, the ratio of worth to cost that no column exceeds (linear knapsack).

        It is 0 for quantities that cannot be best.
        """
        rows = np.nonzero(self._can_be_best(prices))[0]
        unit, q, tier = prices.value / self.need, self.quantities[rows], self.tier[rows]
        sums = np.zeros((len(self.quantities), len(self.keys)))
        for j, key in enumerate(self.keys):
            here = self._allowed[j]
            share, fine = self.shares[j][here], prices.fine[tier, j][:, here]
            full, rest = self._full[np.ix_(rows, here)], self._rest[np.ix_(rows, here)]
            room, sure = np.ones(len(q)), prices.credit[tier, j] + prices.bonus[rows, j]
            if key >= 0:
                at = int(np.nonzero(here == key)[0][0])
                sure = sure + np.minimum(q, self.need[key]) * unit[key] - fine[:, at]
                room = room - share[at]
                rest[:, at] = np.where(full[:, at] > 0, rest[:, at], 0)
                full[:, at] = np.maximum(full[:, at] - 1, 0)
            gain = np.maximum(q[:, None] * unit[here] - fine, 0)
            last = np.where(rest > 0, np.maximum(rest * unit[here] - fine, 0), 0)
            weights = np.concatenate([full * share, (rest > 0) * share], axis=1)
            worths = np.concatenate([full * gain, last], axis=1)
            sums[rows, j] = sure + _linear_knapsack(weights, worths, room)
        ratios: Numbers = sums / (self.cost[:, None] + prices.toll)
        return ratios

    def best(self, prices: Prices, at: int, j: int) -> tuple[float, Numbers]:
        """Return the ratio of worth to cost of the best column of one quantity and key, and its counts.

        `at` and `j` are their positions in `quantities` and `keys`. A column holds one print at least.
        """
        quantity, key = int(self.quantities[at]), self.keys[j]
        tier = int(self.tier[at])
        fine = prices.fine[tier, j]
        first = np.minimum(quantity, self.need) * prices.value / self.need - fine
        counts = np.zeros(len(self.prints), dtype=np.int64)
        worth, room = 0.0, CELLS
        if key >= 0:
            counts[key], worth, room = 1, float(first[key]), CELLS - int(self.cells[j][key])
        items = self.items(prices, at, j)
        gained, chosen = knapsack([item[:3] for item in items], max(room, 0))
        for k in chosen:
            counts[k] += 1
        worth += gained
        if not counts.any():
            k = max(self._allowed[j].tolist(), key=lambda k: (first[k], -k))
            counts[k], worth = 1, float(first[k])
        worth += float(prices.credit[tier, j] + prices.bonus[at, j])
        return worth / float(self.cost[at] + prices.toll[at, j]), counts

    def items(self, prices: Prices, at: int, j: int) -> list[Item]:
        """Return what a column of one quantity and key may hold beside the key, copy by copy."""
        quantity, key = int(self.quantities[at]), self.keys[j]
        fine, full, rest = prices.fine[int(self.tier[at]), j], self._full[at].copy(), self._rest[at].copy()
        if key >= 0 and full[key]:
            full[key] -= 1
        elif key >= 0:
            rest[key] = 0
        unit, here = prices.value / self.need, self._allowed[j]
        gains = (quantity * unit - fine)[here].tolist()
        lasts = np.where(rest > 0, rest * unit - fine, 0)[here].tolist()
        items: list[Item] = []
        for k, cells, copies, gain, last in zip(
            here.tolist(), self.cells[j][here].tolist(), full[here].tolist(), gains, lasts, strict=True
        ):
            first = int(k == key)
            if gain > 0:
                items += [(k, cells, gain, first + copy) for copy in range(copies)]
            if last > 0:
                items.append((k, cells, last, first + copies))
        return items

    def rounded(self, prices: Prices, at: int) -> Numbers:
        """Return the counts of a good column of one quantity without a key: most worth by share comes first."""
        quantity, share = int(self.quantities[at]), np.maximum(self.shares[-1], 1e-9)
        gain = np.minimum(quantity, self.need) * prices.value / self.need
        counts = np.zeros(len(self.prints), dtype=np.int64)
        room = 1.0
        for k in np.argsort(-gain / share, kind="stable").tolist():
            useful = min(-(-int(self.need[k]) // quantity), int(self.most[k]), int(room / share[k]))
            if gain[k] > 0 and useful > 0:
                counts[k] = useful
                room -= useful * float(share[k])
        return counts


def _linear_knapsack(weights: Numbers, worths: Numbers, room: Numbers) -> Numbers:
    """Return for every row the most worth that fits into its room when items may be taken in part."""
    none = np.where(worths > 0, np.inf, 0.0)
    order = np.argsort(-np.divide(worths, weights, out=none, where=weights > 0), axis=1, kind="stable")
    weights = np.take_along_axis(weights, order, axis=1)
    worths = np.take_along_axis(worths, order, axis=1)
    left = room[:, None] - (np.cumsum(weights, axis=1) - weights)
    part = np.clip(np.divide(left, weights, out=np.ones_like(weights), where=weights > 0), 0, 1)
    sums: Numbers = (worths * part).sum(axis=1)
    return sums
