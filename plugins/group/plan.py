"""A plan while it is being searched: runs of layouts, and how far they cover what is needed."""

from collections import Counter
from typing import NamedTuple

from plugins.group.packer import Packer, Packing
from plugins.group.prices import PriceTable
from plugins.group.problem import Problem, Unplaceable
from plugins.group.weigh import weigh

TOO_MANY = 10**12
"""Counted for every layout beyond the most that are allowed: more than any plan costs."""


FLOOR = 0.9
"""Least share of its plain area that a print weighs where there are several sheet sizes."""


class Stock(NamedTuple):
    """A sheet size of a medium with its packer and its prices."""

    medium: int
    sheet: int
    packer: Packer
    table: PriceTable


class Board:
    """What the search looks up about a problem; it never changes.

    Unless the prints are `weighed` (weigh.py), which takes a moment, they weigh their plain area.
    """

    def __init__(self, problem: Problem, *, weighed: bool = True) -> None:
        self.problem = problem
        self.need = [p.copies for p in problem.prints]
        self.stocks = [
            Stock(m, s, Packer(sheet, problem.prints, guillotine=problem.guillotine), PriceTable(sheet))
            for m, medium in enumerate(problem.media)
            for s, sheet in enumerate(medium.sheets)
        ]
        self.stock_of = {(stock.medium, stock.sheet): k for k, stock in enumerate(self.stocks)}
        self.stocks_of = [
            [k for k, stock in enumerate(self.stocks) if stock.medium in p.media and stock.packer.fits_alone(i)]
            for i, p in enumerate(problem.prints)
        ]
        for i, here in enumerate(self.stocks_of):
            if not here:
                raise Unplaceable(i)
        floor = 0.0 if len(self.stocks) == 1 else FLOOR
        for k, stock in enumerate(self.stocks if weighed else ()):
            usable = [i for i, on in enumerate(self.stocks_of) if k in on]
            stock.packer.weights = weigh(stock.packer, usable, self.need, floor)
        self.extra = [dict(zip(p.media, p.extras, strict=True)) for p in problem.prints]
        self.company = [p.company for p in problem.prints]
        self.worth = [min(self._value(stock, i) for stock in usable) for i, usable in enumerate(self.stocks_of)]

    def _value(self, stock: int, i: int) -> float:
        """Return what a copy of print `i` is worth: its share of a sheet at the lowest price of the sheet.

        The share of weigh.py serves the search better than area, and better than the duals of the bound's
        linear program. Where it is nothing, half of the area counts: every print is worth something.
        """
        packer = self.stocks[stock].packer
        share = max(packer.weights[i], packer.areas[i] / packer.empty.room / 2)
        return share * max(min(price for _, price in packer.sheet.prices), 1)


class Run(NamedTuple):
    """`quantity` sheets of one layout."""

    stock: int
    packing: Packing
    counts: tuple[tuple[int, int], ...]
    quantity: int
    cost: int


def make_run(board: Board, stock: int, packing: Packing, needed: int) -> Run:
    """Return the run of at least `needed` sheets with this packing."""
    quantity, cost = board.stocks[stock].table.best(needed)
    counts = Counter(spot[1] for spot in packing.spots)
    return Run(stock, packing, tuple(sorted(counts.items())), quantity, cost)


class Plan:
    """Runs, with the sums over them kept up to date."""

    def __init__(self, board: Board) -> None:
        self.board = board
        self.runs: list[Run] = []
        self.cover = [0] * len(board.need)
        self.uses = [0] * len(board.need)
        self.medium = [-1] * len(board.need)
        self.runs_of_medium = [0] * len(board.problem.media)

    def copy(self) -> "Plan":
        """Return a plan that can be changed without changing this one."""
        other = Plan.__new__(Plan)
        other.board = self.board
        other.runs = self.runs[:]
        other.cover = self.cover[:]
        other.uses = self.uses[:]
        other.medium = self.medium[:]
        other.runs_of_medium = self.runs_of_medium[:]
        return other

    def add(self, run: Run) -> None:
        """Put a run at the end."""
        self.runs.append(run)
        self._count(run, 1)

    def remove(self, position: int) -> Run:
        """Take the run at `position` away; the last one takes its place."""
        run = self.runs[position]
        self.runs[position] = self.runs[-1]
        self.runs.pop()
        self._count(run, -1)
        return run

    def replace(self, position: int, run: Run) -> None:
        """Put `run` in the place of another."""
        self._count(self.runs[position], -1)
        self.runs[position] = run
        self._count(run, 1)

    def _count(self, run: Run, sign: int) -> None:
        medium = self.board.stocks[run.stock].medium
        self.runs_of_medium[medium] += sign
        copies = sign * run.quantity
        for i, count in run.counts:
            self.cover[i] += count * copies
            self.uses[i] += sign
            self.medium[i] = medium if self.uses[i] else -1

    def short(self) -> list[int]:
        """Return the prints of which there are not enough."""
        return [i for i, (have, need) in enumerate(zip(self.cover, self.board.need, strict=True)) if have < need]

    def cost(self) -> int:
        """Return what the plan costs; layouts beyond the most allowed are priced out of reach."""
        board = self.board
        total = sum(run.cost for run in self.runs)
        for medium, runs in zip(board.problem.media, self.runs_of_medium, strict=True):
            if runs:
                total += medium.order_charge
        for extra, chosen in zip(board.extra, self.medium, strict=True):
            if chosen >= 0:
                total += extra[chosen]
        most = board.problem.most_layouts
        if most is not None and len(self.runs) > most:
            total += TOO_MANY * (len(self.runs) - most)
        return total
