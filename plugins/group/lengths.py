"""What layouts of a roll are worth at most, for the bound: any length may be bought, of any prints, by area alone.

All pieces of one layout are taken as one length, to which prints and parts of prints are added as long as their
area allows. So a layout of total length T covers at most the prints that are worth most for their area: the best T
is one at which a print is used up, or a length from which the price is lower. That is weaker than what `bound.py`
knows of sheets, where prints that leave room count for more than their area, and valid all the same.
"""

from typing import Any

import numpy as np

from plugins.group.plan import Board

Numbers = np.ndarray[Any, Any]

SAFE = 1 - 1e-9
"""What lengths are multiplied by, so that rounding can never make one too long."""


class RollPricer:
    """Finds the length of one roll that is worth most for its cost, and what lies on it."""

    def __init__(self, board: Board, stock: int) -> None:
        packer, roll = board.stocks[stock].packer, board.stocks[stock].roll
        if roll is None:
            raise AssertionError("only a roll is sold by length")
        self.medium = board.stocks[stock].medium
        self.prints = [i for i, usable in enumerate(board.stocks_of) if stock in usable]
        # Prints are grown by the gap; so may each piece be, by what the gap is wider than both its margins.
        step = packer.width * (roll.step + max(0, roll.gap - 2 * roll.margin))
        areas = np.array([board.need[i] * packer.areas[i] for i in self.prints], dtype=float)
        self.lengths = areas / step * SAFE
        prices = sorted(roll.prices)
        self.starts = np.array([start / roll.step for start, _ in prices])
        self.prices = np.array([price for _, price in prices], dtype=float)
        self.least = max(roll.minimum / roll.step, self.starts[0])
        self.set_up = roll.set_up
        # Cheapest among the firsts of this price and of all that begin later.
        firsts = np.maximum(self.starts, self.least) * self.prices
        self.later = np.append(np.minimum.accumulate(firsts[::-1])[::-1], np.inf)

    def cost(self, lengths: Numbers) -> Numbers:
        """Return what so many steps of one layout cost at least, with the set-up, or more where that costs less."""
        lengths = np.maximum(lengths, self.least)
        at = np.searchsorted(self.starts, lengths, side="right") - 1
        total: Numbers = np.minimum(lengths * self.prices[at], self.later[at + 1]) + self.set_up
        return total

    def best(self, value: Numbers) -> tuple[float, float, dict[int, float]]:
        """Return (worth for its cost, cost, share of the need by position) of the best length.

        `value` is what covering all of each print is worth.
        """
        order = np.argsort(-value / self.lengths, kind="stable")
        ends, worths = np.cumsum(self.lengths[order]), np.cumsum(value[order])
        tried = np.concatenate([ends, self.starts, [self.least]])
        tried = np.maximum(tried, self.least)
        worth = np.interp(tried, np.append(0.0, ends), np.append(0.0, worths))
        cost = self.cost(tried)
        ratio = worth / np.maximum(cost, 1e-9)
        k = int(ratio.argmax())
        left, shares = float(tried[k]), {}
        for position in order.tolist():
            # Rounded: what is proven rests on the ratio, and the solver fails on shares of a millionth.
            share = round(min(1.0, left / float(self.lengths[position])), 6)
            if share <= 0 or value[position] <= 0:
                break
            shares[position] = share
            left -= float(self.lengths[position])
        return float(ratio[k]), float(cost[k]), shares
