"""Shares by which a mean sheet weighs too much, though no sheet that falls apart by straight cuts does.

A mean sheet is a mixture of layouts only if a mixture of patterns (patterns.py) holds as much of each print. If
not, some shares show it: the linear program that looks for those by which the mean weighs most, and no pattern known
weighs more than 1, is solved and the pattern that weighs most by its answer is added to it, until none weighs more.
"""

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from plugins.group.columns import Group
from plugins.group.patterns import UNIT, Numbers, Pattern, Patterns, Wish
from plugins.group.pricing import Pricer

ROUNDS = 6
"""Most patterns looked for in turn for one mean."""
GOOD = 0.5
"""Part of the excess weight found that is good enough, of what there might be."""
SAFE = 1e-6
"""Taken off shares, so that rounding can never make one too large."""

Kind = tuple[int, bool]
"""Which patterns count: with this key (its position), and no more than once of it."""


class Heavy(NamedTuple):
    """Shares by which a mean weighs `weight`."""

    weight: float
    shares: Numbers


class Hull:
    """Finds such shares for the groups of one pricer. What was found for one group is tried for others."""

    def __init__(self, pricer: Pricer) -> None:
        self.pricer = pricer
        self._patterns = Patterns(pricer.packer, pricer.prints)
        self._programs: dict[Kind, _Program] = {}
        self._known: dict[Kind, list[Numbers]] = {}

    def too_heavy(self, means: Mapping[Group, Numbers], least: float) -> dict[Group, Numbers]:
        """Return shares by which a group's mean weighs more than `least`, for the groups where some were found."""
        best = {group: self._best_known(group, mean) for group, mean in means.items()}
        looking = {group for group, heavy in best.items() if heavy.weight <= least}
        new: dict[Group, Numbers] = {}
        for _ in range(ROUNDS):
            asked = {}
            for group in sorted(looking):
                most, shares = self._program(self._kind(group)).heaviest(means[group])
                if most <= least or best[group].weight - 1 > GOOD * (most - 1):
                    looking.remove(group)
                else:
                    asked[group] = shares
            if not asked:
                break
            for group, pattern in self._heaviest(asked).items():
                shares = asked[group] * min(1.0, UNIT / pattern.worth)
                weight = float(shares @ means[group])
                if weight > best[group].weight:
                    best[group] = Heavy(weight, shares)
                    new[group] = shares
                self._program(self._kind(group)).add(pattern.counts)
        heavy = {group: one.shares for group, one in best.items() if one.weight > least}
        lifted = self._lifted({group: shares for group, shares in new.items() if group in heavy}, means)
        for group, shares in lifted.items():
            self._known.setdefault(self._kind(group), []).append(shares)
        return heavy | lifted

    def _best_known(self, group: Group, mean: Numbers) -> Heavy:
        """Return the shares known so far by which a mean weighs most; at first those that hold for all sheets."""
        known = [self.pricer.shares[group[2]], *self._known.get(self._kind(group), ())]
        return max((Heavy(float(shares @ mean), shares) for shares in known), key=lambda heavy: heavy.weight)

    def _heaviest(self, shares: Mapping[Group, Numbers]) -> dict[Group, Pattern]:
        """Return for each group the pattern that weighs most by its shares."""
        wishes = [self._wish(group, np.ceil(worth * UNIT).astype(np.int64)) for group, worth in shares.items()]
        return dict(zip(shares, self._patterns.best(wishes), strict=True)) if wishes else {}

    def _lifted(self, heavy: Mapping[Group, Numbers], means: Mapping[Group, Numbers]) -> dict[Group, Numbers]:
        """Return the shares; a print that a mean has not weighs as much as what fits into its place."""
        lifted = {}
        for group, pattern in self._heaviest(heavy).items():
            shares = heavy[group].copy()
            for k in np.nonzero(means[group] <= 0)[0].tolist():
                if self.pricer.rank[k] > group[2]:
                    shares[k] = self._patterns.in_place_of(k, pattern.pieces) / UNIT
            lifted[group] = shares * ((1 - SAFE) * min(1.0, UNIT / pattern.worth))
        return lifted

    def _kind(self, group: Group) -> Kind:
        _, tier, key = group
        k = self.pricer.keys[key]
        return key, k >= 0 and bool(self.pricer.need[k] <= self.pricer.steps[tier])

    def _wish(self, group: Group, worth: Numbers) -> Wish:
        key, once = self._kind(group)
        k = self.pricer.keys[key]
        return Wish(worth, None if k < 0 else k, once)

    def _program(self, kind: Kind) -> "_Program":
        program = self._programs.get(kind)
        if program is None:
            program = self._programs[kind] = _Program(len(self.pricer.prints))
        return program


class _Program:
    """The linear program of one kind of patterns."""

    def __init__(self, prints: int) -> None:
        from ortools.linear_solver import pywraplp

        self._solver: Any = pywraplp.Solver.CreateSolver("GLOP")
        self._optimal = pywraplp.Solver.OPTIMAL
        self._shares = [self._solver.NumVar(0, 1, "") for _ in range(prints)]
        self._solver.Objective().SetMaximization()

    def add(self, counts: Numbers) -> None:
        """No shares may make this pattern weigh more than 1."""
        row = self._solver.Constraint(-self._solver.infinity(), 1)
        for k in np.nonzero(counts)[0].tolist():
            row.SetCoefficient(self._shares[k], float(counts[k]))

    def heaviest(self, mean: Numbers) -> tuple[float, Numbers]:
        """Return how much `mean` may weigh at most, and by which shares; 0 where the solver fails."""
        objective = self._solver.Objective()
        for share, copies in zip(self._shares, mean.tolist(), strict=True):
            objective.SetCoefficient(share, copies)
        if self._solver.Solve() != self._optimal:
            return 0.0, mean
        shares = np.array([share.solution_value() for share in self._shares])
        shares[mean <= 0] = 0.0
        return float(objective.Value()), shares
