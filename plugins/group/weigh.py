"""How much of a sheet each print takes up at least, as a share of 1: more than its area where room must be lost.

A print of 10.5 in across a sheet of 11.25 in takes the whole width if nothing needed is narrower than the rest.
In general, let f and g be dual feasible for the sheet's width and height: whatever lengths fit end to end into
the width, their f sum to at most 1, and so for g and the height. Then the products f(width) x g(height) of all
prints on one sheet sum to at most 1 (Fekete & Schepers 2004, Mathematics of Operations Research 29:353-368).
A print that may turn weighs the less of its two ways. Starting with the plain area, f and g are improved in
turn: with g fixed, the best f for the prints wanted is a linear program over the lengths that occur, with one
row for each set of lengths that fits; rows are added as they are violated. A length that was not asked for is
worth as much as the best set of lengths that fits into it.
"""

from collections.abc import Iterable, Sequence
from math import gcd
from typing import Any

import numpy as np

from plugins.group.packer import Packer

Numbers = np.ndarray[Any, Any]

TURNS = 4
"""Times that f and g are improved."""
ROWS = 200
"""Most rows added for one function."""
CELLS = 720
"""Steps into which a side is divided where lengths have no larger common measure."""
SAFE = 1e-7
"""Taken off every share, so that rounding in the solver can never make one too large."""


def weigh(packer: Packer, usable: Sequence[int], copies: Sequence[int], floor: float = 0.0) -> list[float]:
    """Return for each print the least share of a sheet that one copy takes up; 1 for those not in `usable`.

    `copies` says how many of each print (by its index) are wanted: the shares are made as large as possible
    where it matters most, but none less than `floor` times the print's plain area. (With several sheet sizes to
    choose from, a print that weighs nothing on one of them would cost nothing.) Any number of copies may meet on
    a sheet.
    """
    shares = [1.0] * len(packer.prints)
    if usable:
        best = Scales(packer, usable).weigh(np.array([copies[i] for i in usable], dtype=float), floor)
        for i, share in zip(usable, best.tolist(), strict=True):
            shares[i] = share
    return shares


class Scales:
    """Finds shares of one sheet size for the prints of index `usable`, which must fit on it."""

    def __init__(self, packer: Packer, usable: Sequence[int]) -> None:
        self.sides = (packer.width, packer.height)
        self.area = np.array([packer.areas[i] / packer.empty.room for i in usable])
        self._ways = [
            [(w, h) for w, h in packer.ways[i] if w <= packer.width and h <= packer.height] for i in usable
        ]
        self._lengths = [sorted({way[axis] for ways in self._ways for way in ways}) for axis in (0, 1)]
        self._cells = [cell_of(side, lengths) for side, lengths in zip(self.sides, self._lengths, strict=True)]
        self._sets: tuple[list[dict[int, int]], list[dict[int, int]]] = ([], [])

    def weigh(self, copies: Numbers, floor: float = 0.0, first: int = 0) -> Numbers:
        """Return the shares that make `copies` (of each usable print, maybe fractions) weigh much.

        The function along the axis `first` (0 the width, 1 the height) is improved first.
        """
        scale = [{n: n / side for n in self._lengths[axis]} for axis, side in enumerate(self.sides)]
        best = self._shares(scale)
        for turn in range(TURNS):
            axis = (turn + first) % 2
            scale[axis] = self._improve(copies, scale, axis, floor)
            shares = self._shares(scale)
            if float(shares @ copies) > float(best @ copies) + SAFE:
                best = shares
            elif turn:
                break
        return best

    def _shares(self, scale: list[dict[int, float]]) -> Numbers:
        least = [min(scale[0][w] * scale[1][h] for w, h in ways) for ways in self._ways]
        return np.maximum(np.array(least) - SAFE, 0.0)

    def _improve(
        self, copies: Numbers, scale: list[dict[int, float]], axis: int, floor: float
    ) -> dict[int, float]:
        """Return the dual feasible function along `axis` that is best while the other one stays as it is."""
        from ortools.linear_solver import pywraplp

        other, size = scale[1 - axis], self.sides[axis] // self._cells[axis]
        wanted = np.nonzero(copies > 0)[0].tolist()
        steps = sorted({way[axis] // self._cells[axis] for k in wanted for way in self._ways[k]})
        solver = pywraplp.Solver.CreateSolver("GLOP")
        f = {step: solver.NumVar(0, 1 / (size // step), "") for step in steps}
        objective = solver.Objective()
        objective.SetMaximization()
        for k in wanted:
            share = solver.NumVar(floor * float(self.area[k]), 1, "")
            objective.SetCoefficient(share, float(copies[k]))
            for way in self._ways[k]:
                row = solver.Constraint(-solver.infinity(), 0)
                row.SetCoefficient(share, 1)
                row.SetCoefficient(f[way[axis] // self._cells[axis]], -other[way[1 - axis]])
        for counts in self._sets[axis]:
            if f.keys() >= counts.keys():
                _add_row(solver, f, counts)
        best = np.zeros(size + 1)
        for _ in range(ROWS):
            if solver.Solve() != pywraplp.Solver.OPTIMAL:
                return scale[axis]
            value = {step: f[step].solution_value() for step in steps}
            best = _fullest(size, value)
            if best[size] <= 1 + 1e-9:
                break
            counts = _set_of(best, value)
            self._sets[axis].append(counts)
            _add_row(solver, f, counts)
        best /= max(1.0, best[size])
        return {n: float(best[n // self._cells[axis]]) for n in self._lengths[axis]}


def _add_row(solver: Any, f: dict[int, Any], counts: dict[int, int]) -> None:
    """Add the row of one set of lengths that fits: its values sum to at most 1."""
    row = solver.Constraint(-solver.infinity(), 1)
    for step, count in counts.items():
        row.SetCoefficient(f[step], count)


def _fullest(size: int, value: dict[int, float]) -> Numbers:
    """Return for every length, in steps, the largest sum of values of a set of lengths that fits into it.

    Lengths are counted in whole steps, rounded down: so no set that fits is missed.
    """
    best = np.zeros(size + 1)
    for step, worth in value.items():
        if worth > 0:
            for _ in range(size // step):
                np.maximum(best[step:], best[:-step] + worth, out=best[step:])
    return best


def _set_of(best: Numbers, value: dict[int, float]) -> dict[int, int]:
    """Return the set of lengths, with their counts, that fills the whole side best."""
    counts: dict[int, int] = {}
    at = len(best) - 1
    while best[at] > 1e-12:
        worth, step = max((best[at - step] + worth, step) for step, worth in value.items() if step <= at)
        if worth < best[at] - 1e-12:
            at -= 1
            continue
        counts[step] = counts.get(step, 0) + 1
        at -= step
    return counts


def cell_of(side: int, lengths: Iterable[int], most: int = CELLS) -> int:
    """Return the cell to count in: exact where all lengths are multiples of one that is not too small."""
    exact = gcd(side, *lengths)
    return exact if side // exact <= most else min(side // most, *lengths)
