"""A plan while it is being searched: runs of layouts, and how far they cover what is needed."""

from collections import Counter
from typing import NamedTuple

from plugins.group.packer import Packer, Packing
from plugins.group.prices import PriceTable
from plugins.group.problem import Problem, Roll, Unplaceable
from plugins.group.weigh import weigh

TOO_MANY = 10**12
"""Counted for every layout beyond the most that are allowed: more than any plan costs."""


FLOOR = 0.9
"""Least share of its plain area that a print weighs where there are several sheet sizes."""


class Stock(NamedTuple):
    """A sheet size of a medium with its packer and its prices, or pieces of a roll of one length.

    All pieces of a roll share the packer of its longest piece; the first stock of a roll is that longest piece.
    """

    medium: int
    sheet: int
    packer: Packer
    table: PriceTable
    roll: Roll | None = None
    height: int = 0


class Board:
    """What the search looks up about a problem; it never changes, but for stocks of further lengths of a roll.

    Unless the prints are `weighed` (weigh.py), which takes a moment, they weigh their plain area.
    """

    def __init__(self, problem: Problem, *, weighed: bool = True) -> None:
        self.problem = problem
        self.need = [p.copies for p in problem.prints]
        self.stocks = [
            _stock(problem, m, s) for m, medium in enumerate(problem.media) for s in range(len(medium.sheets))
        ]
        self.first = list(range(len(self.stocks)))
        self._pieces: dict[tuple[int, int], int] = {}
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
            if stock.roll:
                continue
            usable = [i for i, on in enumerate(self.stocks_of) if k in on]
            stock.packer.weights = weigh(stock.packer, usable, self.need, floor)
        self.extra = [dict(zip(p.media, p.extras, strict=True)) for p in problem.prints]
        self.company = [p.company for p in problem.prints]
        self.worth = [min(self._value(stock, i) for stock in usable) for i, usable in enumerate(self.stocks_of)]

    def cheapest_piece(self, stock: int, packing: Packing, needed: int) -> int:
        """Return the stock of pieces that are cheapest for `needed` sheets of this packing from the roll of `stock`.

        That is the shortest that holds it, or one so long that the pieces together reach a lower price.
        """
        first, roll = self.first[stock], self.stocks[stock].roll
        if roll is None:
            return stock
        least = -(-self.stocks[first].packer.used_height(packing) // roll.step)
        reached = {-(-start // (needed * roll.step)) for start, _ in (*roll.prices, (roll.minimum, 0))}
        choices = sorted({least, *(steps for steps in reached if least < steps <= roll.most_steps)})
        return min(
            (self._piece(first, steps) for steps in choices), key=lambda k: self.stocks[k].table.best(needed)[1]
        )

    def _piece(self, first: int, steps: int) -> int:
        """Return the stock of pieces of so many steps from the roll whose first stock is `first`."""
        stock = self.stocks[first]
        if stock.roll is None:
            raise AssertionError("pieces are cut from rolls only")
        number = self._pieces.get((first, steps))
        if number is None:
            number = self._pieces[first, steps] = len(self.stocks)
            piece = stock.roll.piece(steps)
            self.stocks.append(stock._replace(table=PriceTable(piece), height=piece.height))
            self.first.append(first)
        return number

    def _value(self, stock: int, i: int) -> float:
        """Return what a copy of print `i` is worth: its share of a sheet at the lowest price of the sheet.

        The share of weigh.py serves the search better than area, and better than the duals of the bound's
        linear program. Where it is nothing, half of the area counts: every print is worth something.
        """
        packer = self.stocks[stock].packer
        share = max(packer.weights[i], packer.areas[i] / packer.empty.room / 2)
        return share * max(min(price for _, price in packer.sheet.prices), 1)


def _stock(problem: Problem, medium: int, number: int) -> Stock:
    """Return one of a medium's sheet sizes, or the longest piece of a roll."""
    sheet = problem.media[medium].sheets[number]
    roll = sheet if isinstance(sheet, Roll) else None
    size = sheet.piece(sheet.most_steps) if isinstance(sheet, Roll) else sheet
    packer = Packer(size, problem.prints, guillotine=problem.guillotine, strip=roll is not None)
    return Stock(medium, number, packer, PriceTable(size), roll, size.height)


class Run(NamedTuple):
    """`quantity` sheets of one layout."""

    stock: int
    packing: Packing
    counts: tuple[tuple[int, int], ...]
    quantity: int
    cost: int


def make_run(board: Board, stock: int, packing: Packing, needed: int) -> Run:
    """Return the run of at least `needed` sheets with this packing; from a roll, of the cheapest length."""
    stock = board.cheapest_piece(stock, packing, needed)
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
