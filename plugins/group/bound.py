"""A proven lower bound: no plan can cost less.

The linear program over all columns (sheet size, multiset of prints, quantity q): a column costs the buy-up
price of q sheets and covers min(copies x q, need) of each print. Copies beyond the need count for nothing, so
one column never does the work of many. Instead of true layouts any multiset counts whose shares of the sheet
(weigh.py) sum to at most 1. Columns are generated as needed; the best one for given q is a bounded knapsack.

At any moment the prices of the prints (duals), shrunk until no column is worth more than it costs, prove a
bound: generation may stop early. What is proven holds for guillotine and free layouts alike.
Rolls have columns of their own (lengths.py), which know areas only.
"""

from math import ceil
from typing import Any

import numpy as np

from plugins.group.lengths import RollPricer
from plugins.group.plan import Board

CELLS = 2000
"""Steps into which a sheet is divided for the knapsack; shares are rounded down to them."""
EDGE = 0.001
"""Added to a share in steps before it is rounded down, so that a share that is a whole number of steps stays
one. Sound up to 1,000 prints on a sheet: their steps are whole, so together they cannot rise by one."""
EXACT = 200
"""Most prints for which knapsacks are solved; beyond, their linear relaxation is as good."""
SOLVED = 48
"""Most knapsacks solved for one sheet size in one round."""

Numbers = np.ndarray[Any, Any]


class _Pricer:
    """Finds the columns of one sheet size that are worth more than they cost."""

    def __init__(self, board: Board, stock: int) -> None:
        self.table = board.stocks[stock].table
        self.medium = board.stocks[stock].medium
        self.prints = [i for i, usable in enumerate(board.stocks_of) if stock in usable]
        self.need = np.array([board.need[i] for i in self.prints], dtype=np.int64)
        self.share = np.array([board.stocks[stock].packer.weights[i] for i in self.prints])
        self.cells = np.floor(self.share * CELLS + EDGE).astype(np.int64)
        self.most = np.minimum(np.floor(1 / np.maximum(self.share, 1e-6)).astype(np.int64), self.need)
        self.quantities = self._quantities()
        self.cost = np.array([self.table.best(int(q))[1] for q in self.quantities], dtype=float)

    def _quantities(self) -> Numbers:
        """Return the quantities that can be best for some multiset.

        Between them the worth of a multiset and its cost are linear in the quantity.
        """
        found = set()
        for need, most in zip(self.need.tolist(), self.most.tolist(), strict=True):
            for copies in range(1, most + 1):
                found |= {need // copies, -(-need // copies)}
        found |= set(self.table.steps()) | {self.table.minimum, int(self.need.max())}
        # What is bought after buying up: the cheaper quantities in between can never be best.
        return np.array(sorted({self.table.best(max(q, 1))[0] for q in found}), dtype=np.int64)

    def relaxed(self, value: Numbers) -> Numbers:
        """Return, for every quantity, what the best multiset is worth at most (linear knapsack).

        `value` is what covering all of each print is worth.
        """
        q = self.quantities[:, None]
        full = np.minimum(self.need // q, self.most)
        left = np.where(full < self.most, self.need - full * q, 0)
        unit = value / self.need
        weights = np.concatenate([full * self.share, (left > 0) * self.share], axis=1)
        worths = np.concatenate([full * q * unit, left * unit], axis=1)
        ratio = np.divide(worths, weights, out=np.zeros_like(worths), where=weights > 0)
        order = np.argsort(-ratio, axis=1, kind="stable")
        weights = np.take_along_axis(weights, order, axis=1)
        worths = np.take_along_axis(worths, order, axis=1)
        before = np.cumsum(weights, axis=1) - weights
        part = np.clip(np.divide(1 - before, weights, out=np.ones_like(weights), where=weights > 0), 0, 1)
        sums: Numbers = (worths * part).sum(axis=1)
        return sums

    def exact(self, value: Numbers, q: int) -> tuple[float, dict[int, int]]:
        """Return what the best multiset at `q` sheets is worth, and the multiset (by position)."""
        items = []
        for k in np.nonzero(value > 0)[0].tolist():
            need, unit = int(self.need[k]), value[k] / self.need[k]
            for copy in range(int(self.most[k])):
                useful = min(q, need - copy * q)
                if useful <= 0:
                    break
                items.append((k, int(self.cells[k]), useful * unit))
        best = np.zeros(CELLS + 1)
        taken = np.zeros((len(items), CELLS + 1), dtype=bool)
        for row, (_, cells, worth) in enumerate(items):
            if cells == 0:
                best += worth
                taken[row] = True
                continue
            with_it = best[:-cells] + worth
            better = with_it > best[cells:]
            taken[row, cells:] = better
            np.copyto(best[cells:], with_it, where=better)
        at = CELLS
        counts: dict[int, int] = {}
        for row in range(len(items) - 1, -1, -1):
            if taken[row, at]:
                k, cells, _ = items[row]
                counts[k] = counts.get(k, 0) + 1
                at -= cells
        return float(best[CELLS]), counts


def lower_bound(board: Board, rounds: int) -> int:
    """Return the bound, in minor units, proven after at most `rounds` rounds of column generation."""
    used = sorted({stock for usable in board.stocks_of for stock in usable})
    rolls = {stock for stock in used if board.stocks[stock].roll}
    master = _Master(
        board,
        {stock: _Pricer(board, stock) for stock in used if stock not in rolls},
        {stock: RollPricer(board, stock) for stock in rolls},
    )
    for _ in range(rounds):
        if not master.improve():
            break
    return ceil(master.proven - 1e-4)


class _Master:
    """The linear program over the columns found so far."""

    def __init__(self, board: Board, pricers: dict[int, _Pricer], rolls: dict[int, RollPricer]) -> None:
        from ortools.linear_solver import pywraplp

        self.board = board
        self.pricers = pricers
        self.rolls = rolls
        self.solver: Any = pywraplp.Solver.CreateSolver("GLOP")
        self.optimal = pywraplp.Solver.OPTIMAL
        self.proven = 0.0
        self._known: set[tuple[int, float, tuple[tuple[int, float], ...]]] = set()
        infinity = self.solver.infinity()
        objective = self.solver.Objective()
        objective.SetMinimization()
        media = board.problem.media
        used = [self.solver.NumVar(0, infinity, f"use{m}") for m in range(len(media))]
        for variable, medium in zip(used, media, strict=True):
            objective.SetCoefficient(variable, medium.order_charge)
        self.choice_rows = []
        self.cover_rows: dict[tuple[int, int], Any] = {}
        self.use_rows: dict[tuple[int, int], Any] = {}
        for i, usable in enumerate(board.stocks_of):
            choice = self.solver.Constraint(1, infinity)
            self.choice_rows.append(choice)
            for m in sorted({board.stocks[k].medium for k in usable}):
                on = self.solver.NumVar(0, infinity, f"on{i}_{m}")
                objective.SetCoefficient(on, board.extra[i][m])
                choice.SetCoefficient(on, 1)
                cover = self.solver.Constraint(0, infinity)
                cover.SetCoefficient(on, -1)
                self.cover_rows[i, m] = cover
                use = self.solver.Constraint(0, infinity)
                use.SetCoefficient(on, -1)
                use.SetCoefficient(used[m], 1)
                self.use_rows[i, m] = use
        for stock, pricer in pricers.items():
            for position in range(len(pricer.prints)):
                need, most = int(pricer.need[position]), int(pricer.most[position])
                for copies in {1, most}:
                    self._add(stock, -(-need // copies), {position: copies})
        for stock, roll in rolls.items():
            for position, cost in enumerate(roll.cost(roll.lengths).tolist()):
                self._add_column(stock, roll, cost, {position: 1.0})

    def _add(self, stock: int, quantity: int, counts: dict[int, int]) -> None:
        pricer = self.pricers[stock]
        quantity, cost = pricer.table.best(quantity)
        need = pricer.need.tolist()
        shares = {k: min(copies * quantity, need[k]) / need[k] for k, copies in counts.items()}
        self._add_column(stock, pricer, cost, shares)

    def _add_column(
        self, stock: int, pricer: _Pricer | RollPricer, cost: float, shares: dict[int, float]
    ) -> None:
        """Add a column of this cost that covers these shares of the need, by position; once."""
        key = (stock, cost, tuple(sorted(shares.items())))
        if key in self._known:
            return
        self._known.add(key)
        column = self.solver.NumVar(0, self.solver.infinity(), f"x{len(self._known)}")
        self.solver.Objective().SetCoefficient(column, cost)
        for position, share in shares.items():
            self.cover_rows[pricer.prints[position], pricer.medium].SetCoefficient(column, share)

    def improve(self) -> bool:
        """Solve, prove what can be proven, add columns; return whether more may be gained."""
        if self.solver.Solve() != self.optimal:
            return False
        known, cost = len(self._known), self.solver.Objective().Value()
        use = self._shares_of_order_charges()
        dual = {key: max(0.0, row.dual_value()) for key, row in self.cover_rows.items()}
        over = 1.0
        for stock, pricer in self.pricers.items():
            value = np.array([dual[i, pricer.medium] for i in pricer.prints])
            over = max(over, self._price(stock, pricer, value))
        for stock, roll in self.rolls.items():
            ratio, length_cost, shares = roll.best(np.array([dual[i, roll.medium] for i in roll.prints]))
            if ratio > 1 + 1e-7:
                self._add_column(stock, roll, length_cost, shares)
            over = max(over, ratio)
        bound = 0.0
        for i, usable in enumerate(self.board.stocks_of):
            media = sorted({self.board.stocks[k].medium for k in usable})
            worths = [dual[i, m] / over + self.board.extra[i][m] + use[i, m] for m in media]
            bound += min(worths)
        self.proven = max(self.proven, bound)
        return len(self._known) > known and cost > self.proven + 0.5

    def _shares_of_order_charges(self) -> dict[tuple[int, int], float]:
        """Return what each print pays of each medium's order charge by the duals: never more than it in sum."""
        pays = {key: max(0.0, row.dual_value()) for key, row in self.use_rows.items()}
        for m, medium in enumerate(self.board.problem.media):
            total = sum(paid for (_, on), paid in pays.items() if on == m)
            if total > medium.order_charge:
                pays |= {key: paid * medium.order_charge / total for key, paid in pays.items() if key[1] == m}
        return pays

    def _price(self, stock: int, pricer: _Pricer, value: Numbers) -> float:
        """Add the best columns of one sheet size; return how many times more a column is worth than it costs."""
        relaxed = pricer.relaxed(value) / pricer.cost
        over = 1.0
        order = np.argsort(-relaxed, kind="stable").tolist()
        for solved, at in enumerate(order):
            if relaxed[at] <= over:
                break
            if len(pricer.prints) > EXACT or solved == SOLVED:
                return float(relaxed[at])
            quantity = int(pricer.quantities[at])
            worth, counts = pricer.exact(value, quantity)
            ratio = worth / float(pricer.cost[at])
            if ratio > 1 + 1e-7:
                self._add(stock, quantity, counts)
            over = max(over, ratio)
        return over
