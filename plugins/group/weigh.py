"""How much of a sheet each print takes up at least, as a share of 1: more than its area where room must be lost.

A print of 10.5 in across a sheet of 11.25 in takes the whole width if nothing needed is narrower than the rest.
In general, let f and g be dual feasible for the sheet's width and height: whatever lengths fit end to end into
the width, their f sum to at most 1, and so for g and the height. Then the products f(width) x g(height) of all
prints on one sheet sum to at most 1 (Fekete & Schepers 2004, Mathematics of Operations Research 29:353-368).
A print that may turn weighs the less of its two ways. Starting with the plain area, f and g are improved in
turn: with g fixed, the best f for the prints wanted is a linear program over the lengths that occur, with one
row for each set of lengths that fits; rows are added as they are violated.
"""

from collections.abc import Iterable, Sequence
from math import gcd

import numpy as np

from plugins.group.packer import Packer

ROUNDS = 4
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
    sides = (packer.width, packer.height)
    lengths = sorted({side for i in usable for way in packer.ways[i] for side in way if side <= max(sides)})
    scale = [{n: n / side for n in lengths if n <= side} for side in sides]
    best = _shares(packer, usable, scale)
    best_total = sum(copies[i] * best[i] for i in usable)
    for turn in range(ROUNDS):
        axis = turn % 2
        scale[axis] = _improve(packer, usable, copies, scale, axis, floor)
        shares = _shares(packer, usable, scale)
        total = sum(copies[i] * shares[i] for i in usable)
        if total > best_total:
            best, best_total = shares, total
    return [best.get(i, 1.0) for i in range(len(packer.prints))]


def _shares(packer: Packer, usable: Sequence[int], scale: list[dict[int, float]]) -> dict[int, float]:
    return {i: max(0.0, min(scale[0][w] * scale[1][h] for w, h in _fitting(packer, i)) - SAFE) for i in usable}


def _fitting(packer: Packer, index: int) -> list[tuple[int, int]]:
    return [(w, h) for w, h in packer.ways[index] if w <= packer.width and h <= packer.height]


def _improve(
    packer: Packer,
    usable: Sequence[int],
    copies: Sequence[int],
    scale: list[dict[int, float]],
    axis: int,
    floor: float,
) -> dict[int, float]:
    """Return the dual feasible function along `axis` that is best while the other one stays as it is."""
    from ortools.linear_solver import pywraplp

    side = (packer.width, packer.height)[axis]
    other = scale[1 - axis]
    lengths = sorted(scale[axis])
    solver = pywraplp.Solver.CreateSolver("GLOP")
    f = {n: solver.NumVar(0, 1 / (side // n), f"f{n}") for n in lengths}
    least = floor / packer.empty.room
    share = {i: solver.NumVar(least * packer.areas[i], 1, f"s{i}") for i in usable}
    for i in usable:
        for way in _fitting(packer, i):
            solver.Add(share[i] <= other[way[1 - axis]] * f[way[axis]])
    solver.Maximize(solver.Sum([copies[i] * share[i] for i in usable]))
    for _ in range(ROWS):
        if solver.Solve() != pywraplp.Solver.OPTIMAL:
            return scale[axis]
        value = {n: f[n].solution_value() for n in lengths}
        total, counts = _fullest(side, value)
        if total <= 1 + 1e-9:
            break
        solver.Add(solver.Sum([count * f[n] for n, count in counts.items()]) <= 1)
    over = max(1.0, _fullest(side, value)[0])
    return {n: value[n] / over for n in lengths}


def _fullest(side: int, value: dict[int, float]) -> tuple[float, dict[int, int]]:
    """Return the set of lengths that fits into `side` with the largest sum of values, and that sum.

    Lengths are counted in whole cells, rounded down: so no set that fits is missed.
    """
    cell = _cell(side, value)
    cells = side // cell
    useful = [(n // cell, n) for n, worth in value.items() if worth > 0]
    steps = np.array([step for step, _ in useful])
    worths = np.array([value[n] for _, n in useful])
    best = np.zeros(cells + 1)
    last = np.full(cells + 1, -1)
    for at in range(min(steps, default=cells + 1), cells + 1):
        before = at - steps
        sums = np.where(before >= 0, best[before] + worths, 0.0)
        k = int(sums.argmax())
        if sums[k] > best[at - 1]:
            best[at], last[at] = sums[k], k
        else:
            best[at] = best[at - 1]
    counts: dict[int, int] = {}
    at = cells
    while at > 0:
        k = int(last[at])
        if k < 0:
            at -= 1
        else:
            n = useful[k][1]
            counts[n] = counts.get(n, 0) + 1
            at -= useful[k][0]
    return float(best[cells]), counts


def _cell(side: int, lengths: Iterable[int]) -> int:
    """Return the cell to count in: exact where all lengths are multiples of one that is not too small."""
    exact = gcd(side, *lengths)
    return exact if side // exact <= CELLS else min(side // CELLS, *lengths)
