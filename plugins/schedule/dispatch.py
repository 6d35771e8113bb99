"""Good schedules at once: whenever a press stands free it takes the waiting run with the highest index.

EDD takes the earliest due date. ATCS (apparent tardiness cost with set-ups: Lee, Bhaskaran and Pinedo 1997,
"A heuristic to minimize the total weighted tardiness with sequence-dependent setups", IIE Transactions 29) weighs
lateness that threatens against the change-over that it takes; its two scaling factors are tried over a grid.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import numpy as np
from numpy.typing import NDArray

from plugins.schedule.decoder import WHEN_DONE, by_choice
from plugins.schedule.floor import Floor
from plugins.schedule.hours import Hours
from plugins.schedule.tables import NO, Tables

Numbers = NDArray[np.float64]
Indices = NDArray[np.intp]

Index = Callable[[Floor, int, int, Indices], Numbers]
"""(floor, press, moment, waiting runs) -> how much each of them wants to be next."""

URGENCIES = (0.25, 0.5, 1.0, 2.0, 4.0)
"""How far ahead a due date is felt, in mean pressing times (k1 of ATCS)."""

CHANGES = (0.1, 0.25, 0.6, 1.5)
"""How much a change-over deters: the smaller, the more (k2 of ATCS, in mean change-overs)."""


def best_by_rules(tables: Tables) -> Floor:
    """The cheapest schedule of EDD and of ATCS over its grid; of equals the first tried."""
    weights = tables.problem.weights
    return min([by_rule(tables, due_first), best_by_atcs(tables)], key=lambda floor: floor.cost.total(weights))


def best_by_atcs(tables: Tables) -> Floor:
    """The cheapest schedule by ATCS over the grid of its two factors; of equals the first tried.

    Of the grid every second point is left out from 500 runs on, and so forth: a point takes time by their square.
    """
    weights, atcs = tables.problem.weights, Atcs(tables)
    grid = list(product(URGENCIES, CHANGES))
    every = 1 + len(tables.release) // 500
    floors = (by_rule(tables, atcs.index(*factors)) for factors in grid[::every])
    return min(floors, key=lambda floor: floor.cost.total(weights))


def due_first(floor: Floor, _press: int, _moment: int, waiting: Indices) -> Numbers:
    """EDD: the earliest due date first."""
    return -np.array(floor.tables.due, dtype=np.float64)[waiting]


class Atcs:
    """The ATCS index, in the working time of each press: a night brings a due date no nearer."""

    def __init__(self, tables: Tables) -> None:
        weight = np.maximum(np.array(tables.weight, dtype=np.float64), 0.001)
        self._work = [np.array(work, dtype=np.float64) for work in tables.work]
        self._worth = [np.log(weight / np.maximum(work, 1)) for work in self._work]
        self._hours = [Hours(press.calendar) for press in tables.problem.presses]
        self._latest = [
            np.array([hours.until(due) for due in tables.due]) - work
            for hours, work in zip(self._hours, self._work, strict=True)
        ]
        self._setting = [np.array(setting, dtype=np.intp) for setting in tables.setting]
        self._change = [np.array(table, dtype=np.float64) for table in tables.changeover]
        self._mean_work = _mean_above_zero(self._work)
        self._mean_change = _mean_above_zero(self._change)

    def index(self, urgency: float, change: float) -> Index:
        """The index with these scaling factors."""
        far, dear = urgency * self._mean_work, change * self._mean_change

        def wanted(floor: Floor, press: int, moment: int, waiting: Indices) -> Numbers:
            slack = self._latest[press][waiting] - self._hours[press].until(moment)
            before = self._change[press][floor.setting[press]][self._setting[press][waiting]]
            wish: Numbers = self._worth[press][waiting] - np.maximum(slack, 0) / far - before / dear
            return wish

        return wanted


def _mean_above_zero(tables: list[Numbers]) -> float:
    values = np.concatenate([table.ravel() for table in tables])
    values = values[values > 0]
    return float(values.mean()) if values.size else 1.0


def by_rule(tables: Tables, index: Index) -> Floor:
    """The schedule in which each free press takes the waiting run with the highest index; of equals the first."""
    floor = by_choice(tables, _Waiting(tables, index).choose)
    if floor is None:
        raise AssertionError("presses that take only runs that may begin wait in a circle")
    return floor


class _Waiting:
    """The runs that no press has taken yet."""

    def __init__(self, tables: Tables, index: Index) -> None:
        fixed = {placed.run for placed in tables.problem.fixed}
        first = [list(runs) for runs in tables.problem.frozen] or [[] for _ in tables.work]
        self._index = index
        self._frozen = [iter(runs) for runs in first]
        self._open = np.array([run not in fixed for run in range(len(tables.release))])
        self._open[[run for runs in first for run in runs]] = False
        self._able = [np.array(work) != NO for work in tables.work]
        self._release = np.array(tables.release)
        self._chained = any(tables.after)
        self._tables = tables
        self._setting = [np.array(setting) for setting in tables.setting]

    def choose(self, floor: Floor, press: int, moment: int) -> tuple[int, int]:
        """The run to do next on a press that stands free; else when to ask again."""
        frozen = next(self._frozen[press], NO)
        if frozen != NO:
            return frozen, NO
        runs = np.flatnonzero(self._open & self._able[press])
        if not runs.size:
            return NO, NO
        ready = self._ready(floor, runs)
        waiting = runs[ready <= moment]
        if not waiting.size:
            return NO, int(ready.min())
        waiting = self._with_tools(floor, press, waiting)
        run = int(waiting[self._index(floor, press, moment, waiting).argmax()])
        self._open[run] = False
        return run, NO

    def _with_tools(self, floor: Floor, press: int, waiting: Indices) -> Indices:
        """Those of the waiting runs for which no tool is in use elsewhere; all of them if there are none such."""
        busy = {
            tool
            for tool, holders in enumerate(floor.holders)
            if len(holders) >= self._tables.copies[tool]
            and press not in holders
            and all(floor.free[holder] > floor.now for holder in holders)
        }
        if not busy:
            return waiting
        free = np.array([busy.isdisjoint(tools) for tools in self._tables.scarce])
        able = waiting[free[self._setting[press][waiting]]]
        return able if able.size else waiting

    def _ready(self, floor: Floor, runs: Indices) -> NDArray[np.int64]:
        """When each of the runs may begin, as far as that is known."""
        ready = self._release[runs].astype(np.int64)
        if self._chained:
            for place, run in enumerate(runs):
                for before in self._tables.after[run]:
                    done = floor.done[before]
                    ready[place] = max(ready[place], WHEN_DONE if done == NO else done)
        return ready
