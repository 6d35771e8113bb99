"""A plan while it is being searched: runs of layouts, and how far they cover what is needed."""

from collections.abc import Iterable
from typing import NamedTuple

from plugins.group.packer import Packer, Packing
from plugins.group.prices import PriceTable
from plugins.group.problem import Problem, Roll, Unplaceable
from plugins.group.weigh import weigh

TOO_MANY = 10**12
"""Counted for every layout beyond the most that are allowed: more than any plan costs."""
GATHER = 0.5 / 100**3
"""Premium for full sheets, as a share of their cost (flatness and filling are counted in per cent)."""
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
        self.least_extra = [min(extra.values()) for extra in self.extra]
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
            (self.piece(first, steps) for steps in choices), key=lambda k: self.stocks[k].table.best(needed)[1]
        )

    def piece(self, first: int, steps: int) -> int:
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


def counts_of(packing: Packing) -> tuple[tuple[int, int], ...]:
    """Return (print, copies) for each print of a packing."""
    counts: dict[int, int] = {}
    for i in packing.key:
        counts[i] = counts.get(i, 0) + 1
    return tuple(counts.items())


def make_run(board: Board, stock: int, packing: Packing, needed: int) -> Run:
    """Return the run of at least `needed` sheets with this packing; from a roll, of the cheapest length."""
    stock = board.cheapest_piece(stock, packing, needed)
    quantity, cost = board.stocks[stock].table.best(needed)
    return Run(stock, packing, counts_of(packing), quantity, cost)


class Plan:
    """Runs by number, with the sums over them kept up to date; every change can be taken back.

    `holders` are the numbers of the runs with each print, `short` the prints of which there are not enough,
    `changes` what was done since it was last emptied: (number, run before, run after).
    """

    def __init__(self, board: Board, runs: Iterable[Run] = ()) -> None:
        prints = range(len(board.need))
        self.board = board
        self.runs: dict[int, Run] = {}
        self.cover = [0 for _ in prints]
        self.medium = [-1 for _ in prints]
        self.holders: list[set[int]] = [set() for _ in prints]
        self.short = set(prints)
        self.changes: list[tuple[int, Run | None, Run | None]] = []
        self._runs_of_medium = [0] * len(board.problem.media)
        self._total = 0
        self._gathered = 0
        self._next = 0
        for run in runs:
            self.add(run)

    def add(self, run: Run) -> None:
        """Put in one more run."""
        self.put(self._next, run)
        self._next += 1

    def put(self, number: int, run: Run | None) -> None:
        """Put `run`, or nothing, in the place of the run of this number."""
        before = self._set(number, run)
        self.changes.append((number, before, run))

    def take_back(self) -> None:
        """Undo all changes since they were last emptied."""
        for number, before, _ in reversed(self.changes):
            self._set(number, before)
        self.changes.clear()

    def _set(self, number: int, run: Run | None) -> Run | None:
        before = self.runs.pop(number, None)
        if before is not None:
            self._count(number, before, -1)
        if run is not None:
            self.runs[number] = run
            self._count(number, run, 1)
        return before

    def _count(self, number: int, run: Run, sign: int) -> None:
        board, cover, need, short = self.board, self.cover, self.board.need, self.short
        stock = board.stocks[run.stock]
        medium = stock.medium
        self._total += sign * run.cost
        if stock.table.flatness:
            full = 100 - 100 * run.packing.room // stock.packer.empty.room
            self._gathered += sign * run.cost * stock.table.flatness * full * full
        if self._runs_of_medium[medium] == (0 if sign > 0 else 1):
            self._total += sign * board.problem.media[medium].order_charge
        self._runs_of_medium[medium] += sign
        copies = sign * run.quantity
        for i, count in run.counts:
            cover[i] += count * copies
            if cover[i] < need[i]:
                short.add(i)
            else:
                short.discard(i)
            holders = self.holders[i]
            if sign > 0:
                holders.add(number)
                first = len(holders) == 1
            else:
                holders.remove(number)
                first = not holders
            if first:
                self._total += sign * board.extra[i][medium]
                self.medium[i] = medium if sign > 0 else -1

    def uses(self, medium: int) -> bool:
        """Return whether anything is bought on `medium`."""
        return self._runs_of_medium[medium] > 0

    def missing(self) -> dict[int, int]:
        """Return how many copies are missing of each print that is short."""
        return {i: self.board.need[i] - self.cover[i] for i in sorted(self.short)}

    def cost(self) -> int:
        """Return what the plan costs; layouts beyond the most allowed are priced out of reach."""
        most = self.board.problem.most_layouts
        if most is not None and len(self.runs) > most:
            return self._total + TOO_MANY * (len(self.runs) - most)
        return self._total

    def value(self) -> float:
        """Return the cost, less a premium for sheets that are full (by the square of their filling) at flat prices.

        Where a layout costs the same however many are bought, plans of equal cost abound, and a layout is saved by
        emptying the emptiest. Where more sheets cost less each, the cost alone leads better.
        """
        return self.cost() - GATHER * self._gathered
