"""The search in C (loops/): it answers as `Annealer` does, to the last bit, ten times as fast and more."""

from functools import partial
from typing import TYPE_CHECKING

from plugins.group import inner, packer
from plugins.group.anneal import FIRST, Span
from plugins.group.chance import Chance
from plugins.group.packer import packing_of
from plugins.group.plan import Board, Run, Stock, counts_of
from plugins.group.stop import StopRule

if TYPE_CHECKING:
    from plugins.group.kernel import Runs

STEPS = 100_000
"""Most steps of a piece from a roll: of each length there is a table of prices."""
LARGEST = 2**31
"""Most copies, and longest side in micrometres: their products are numbers of 64 bits."""


def can_compile(board: Board) -> bool:
    """Return whether the search was compiled, and its numbers are large enough for what is asked."""
    rolls = [stock.roll for stock in board.stocks if stock.roll]
    sides = [side for stock in board.stocks for side in (stock.packer.width, stock.packer.height)]
    small = max(*board.need, *sides) <= LARGEST and all(roll.most_steps <= STEPS for roll in rolls)
    return inner.COMPILED and small


class Engine:
    """Improves plans on one board, as `Annealer` does. What it remembers, the packers of the board can look up."""

    def __init__(self, board: Board, rng: Chance) -> None:
        from plugins.group import kernel

        media = board.problem.media
        self.board = board
        self._kernel = kernel
        self._search = kernel.open_search(
            not board.problem.guillotine,
            -1 if board.problem.most_layouts is None else board.problem.most_layouts,
            board.need,
            board.company,
            board.worth,
            [len(p.media) > 1 for p in board.problem.prints],
            board.least_extra,
            [extra.get(medium, 0) for extra in board.extra for medium in range(len(media))],
            [medium.order_charge for medium in media],
            [self._terms(k) for k, first in enumerate(board.first) if k == first],
            packer.MEMORY,
            rng.state,
        )
        for k, stock in enumerate(board.stocks):
            if board.first[k] == k:
                stock.packer.forget()
                stock.packer.elsewhere = partial(kernel.remembered, self._search, k)

    def _terms(self, k: int) -> tuple[object, ...]:
        """Return what is told of a stock, as loops/engine.c reads it."""
        stock = self.board.stocks[k]
        own = stock.packer
        return (
            *(stock.medium, stock.table.terms(), _roll(stock), own.width, own.height),
            *(own.ways, own.areas, own.weights, [k in usable for usable in self.board.stocks_of]),
            *(own.ranks, own.tries, packer.FEW_TRIES),
        )

    def first(self) -> tuple[Run, ...]:
        """Return the cheapest of a few plans made from nothing."""
        return self._read(self._kernel.first_runs(self._search, FIRST))

    def anneal(
        self, runs: tuple[Run, ...], bound: int, stop: StopRule, done: int, span: Span
    ) -> tuple[tuple[Run, ...], int]:
        """Return the best plan found from one on in this span of the time, and the iterations done by then."""
        given = tuple([(*self._piece(run.stock), run.packing[1:], run.quantity, run.cost) for run in runs])
        found, done = self._kernel.annealed(self._search, given, bound, stop, done, *span)
        return self._read(found), done

    def _read(self, found: "Runs") -> tuple[Run, ...]:
        return tuple(
            [
                Run(
                    self.board.piece(stock, steps) if steps else stock,
                    packing,
                    counts_of(packing),
                    quantity,
                    cost,
                )
                for stock, steps, laid, quantity, cost in found
                for packing in [packing_of(laid)]
            ]
        )

    def _piece(self, number: int) -> tuple[int, int]:
        """Return a stock, and the steps of a piece of a roll (else 0)."""
        stock = self.board.stocks[number]
        return self.board.first[number], stock.height // stock.roll.step if stock.roll else 0


def _roll(stock: Stock) -> tuple[object, ...] | None:
    roll = stock.roll
    if roll is None:
        return None
    lengths, prices = map(list, zip(*sorted(roll.prices), strict=True))
    return (lengths, prices, roll.set_up, roll.minimum, 0), roll.step, roll.most_steps, 2 * roll.margin - roll.gap
