"""The linear program of the bound, over the columns found so far.

Every print is covered by columns on one of its media; a column covers min(copies x quantity, need) of each
print. Further rows tighten it:

- *Cuts*: no sheet weighs more than 1 by any shares; so neither does the mean sheet of any group of columns.
- *Limits*: how many layouts have so many sheets is a whole number; a branch says at least or at most.
"""

from typing import Any, NamedTuple

import numpy as np

from plugins.group.columns import Branch, Column, Group, Place
from plugins.group.lengths import RollPricer
from plugins.group.plan import Board
from plugins.group.pricing import Numbers, Pricer

AS_IT_IS = "use_preprocessing: false use_scaling: false"
"""The program changes little from one solution to the next: to prepare it anew takes longer than to solve it."""


class Solution(NamedTuple):
    """What the program would do, and its duals, by (print, medium), group and place; all as they were when solved."""

    cost: float
    in_use: list[tuple[float, Column]]
    used: list[float]
    cover: dict[tuple[int, int], float]
    use: dict[tuple[int, int], float]
    cuts: dict[Group, list[tuple[Numbers, float]]]
    limits: dict[Place, float]


class Program:
    """The program. A print may be left out at a price above any sensible plan: so there is always a solution."""

    def __init__(self, board: Board, pricers: list[Pricer], rolls: list[RollPricer]) -> None:
        from ortools.linear_solver import pywraplp

        self.board = board
        self.pricers = pricers
        self.columns: list[Column] = []
        self._solver: Any = pywraplp.Solver.CreateSolver("GLOP")
        self._optimal = pywraplp.Solver.OPTIMAL
        self._infinity = self._solver.infinity()
        self._known: set[tuple[int, int, bytes]] = set()
        self._cover: dict[tuple[int, int], Any] = {}
        self._use: dict[tuple[int, int], Any] = {}
        self._cuts: dict[Group, list[tuple[Numbers, Any]]] = {}
        self._limits: dict[Place, Any] = {}
        self._solver.Objective().SetMinimization()
        self._used = [self._variable(medium.order_charge, 1) for medium in board.problem.media]
        alone = [float(pricer.table.best(need)[1]) for pricer in pricers for need in pricer.need.tolist()]
        alone += [cost for roll in rolls for cost in roll.cost(roll.lengths).tolist()]
        missing = 1 + sum(alone) + sum(medium.order_charge for medium in board.problem.media)
        for i, on in enumerate(board.stocks_of):
            self._choose_medium(i, sorted({board.stocks[k].medium for k in on}), missing)
        for number, pricer in enumerate(pricers):
            for k in range(len(pricer.prints)):
                counts = np.zeros(len(pricer.prints), dtype=np.int64)
                counts[k] = 1
                self.add(number, int(pricer.need[k]), counts)
        for roll in rolls:
            for k, cost in enumerate(roll.cost(roll.lengths).tolist()):
                self.add_length(roll, cost, {k: 1.0})

    def _variable(self, cost: float, most: float | None = None) -> Any:
        variable = self._solver.NumVar(0, self._infinity if most is None else most, "")
        self._solver.Objective().SetCoefficient(variable, cost)
        return variable

    def _choose_medium(self, i: int, media: list[int], missing: float) -> None:
        choice = self._solver.Constraint(1, self._infinity)
        choice.SetCoefficient(self._variable(missing, 1), 1)
        for m in media:
            on = self._variable(self.board.extra[i][m])
            choice.SetCoefficient(on, 1)
            self._cover[i, m] = self._solver.Constraint(0, self._infinity)
            self._cover[i, m].SetCoefficient(on, -1)
            self._use[i, m] = self._solver.Constraint(0, self._infinity)
            self._use[i, m].SetCoefficient(on, -1)
            self._use[i, m].SetCoefficient(self._used[m], 1)

    def add(self, number: int, quantity: int, counts: Numbers) -> bool:
        """Add a column of one pricer; return whether it is a new one."""
        pricer = self.pricers[number]
        quantity, cost = pricer.table.best(quantity)
        key = (number, quantity, counts.tobytes())
        if key in self._known:
            return False
        self._known.add(key)
        group = (number, *pricer.group_of(quantity, counts))
        column = Column(self._variable(cost), quantity, group, counts)
        self.columns.append(column)
        for k in np.nonzero(counts)[0].tolist():
            covered = min(int(counts[k]) * quantity, int(pricer.need[k])) / int(pricer.need[k])
            self._cover[pricer.prints[k], pricer.medium].SetCoefficient(column.variable, covered)
        for shares, row in self._cuts.get(group, ()):
            row.SetCoefficient(column.variable, _excess(shares, counts))
        for place, row in self._limits.items():
            if place.holds(column):
                row.SetCoefficient(column.variable, 1)
        return True

    def add_length(self, roll: RollPricer, cost: float, covered: dict[int, float]) -> None:
        """Add a length of a roll that costs so much and covers these shares of what is needed, by position."""
        variable = self._variable(cost)
        for k, share in covered.items():
            self._cover[roll.prints[k], roll.medium].SetCoefficient(variable, share)

    def add_cut(self, group: Group, shares: Numbers) -> None:
        """Let the mean sheet of a group weigh no more than 1 by these shares."""
        row = self._solver.Constraint(-self._infinity, 0)
        for column in self.columns:
            if column.group == group:
                row.SetCoefficient(column.variable, _excess(shares, column.counts))
        self._cuts.setdefault(group, []).append((shares, row))

    def enter(self, branch: Branch) -> None:
        """Let only the plans of `branch` count."""
        for m, variable in enumerate(self._used):
            variable.SetBounds(float(m in branch.open), float(m not in branch.shut))
        for row in self._limits.values():
            row.SetBounds(-self._infinity, self._infinity)
        for limit in branch.limits:
            most = self._infinity if limit.most is None else limit.most
            self._limit_row(limit.place).SetBounds(limit.least, most)

    def _limit_row(self, place: Place) -> Any:
        """Return the row that counts the layouts of `place`."""
        row = self._limits.get(place)
        if row is None:
            row = self._limits[place] = self._solver.Constraint(-self._infinity, self._infinity)
            for column in self.columns:
                if place.holds(column):
                    row.SetCoefficient(column.variable, 1)
            self.pricers[place.pricer].start_at(place.start)
        return row

    def solve(self) -> Solution | None:
        """Return the solution; None where the solver fails by either simplex method."""
        for method in ("false", "true"):
            self._solver.SetSolverSpecificParametersAsString(f"{AS_IT_IS} use_dual_simplex: {method}")
            if self._solver.Solve() == self._optimal:
                break
        else:
            return None
        amounts = [column.variable.solution_value() for column in self.columns]
        return Solution(
            cost=self._solver.Objective().Value(),
            in_use=[(a, column) for a, column in zip(amounts, self.columns, strict=True) if a > 1e-7],
            used=[variable.solution_value() for variable in self._used],
            cover={place: max(0.0, row.dual_value()) for place, row in self._cover.items()},
            use=self._shares_of_order_charges(),
            cuts={
                group: [(shares, max(0.0, -row.dual_value())) for shares, row in cuts]
                for group, cuts in self._cuts.items()
            },
            limits={place: row.dual_value() for place, row in self._limits.items()},
        )

    def _shares_of_order_charges(self) -> dict[tuple[int, int], float]:
        """Return what each print pays of each medium's order charge by the duals: never more than it in sum."""
        pays = {key: max(0.0, row.dual_value()) for key, row in self._use.items()}
        for m, medium in enumerate(self.board.problem.media):
            total = sum(paid for (_, on), paid in pays.items() if on == m)
            if total > medium.order_charge:
                pays |= {key: paid * medium.order_charge / total for key, paid in pays.items() if key[1] == m}
        return pays


def _excess(shares: Numbers, counts: Numbers) -> float:
    """Return how much more than a full sheet these prints weigh; next to nothing counts as nothing."""
    excess = float(shares @ counts) - 1
    return excess if abs(excess) > 1e-5 else 0.0
