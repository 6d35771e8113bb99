"""Few runs on few presses, arranged as well as can be by constraint programming (CP-SAT).

A window takes some runs in a row from the lists of some presses and arranges them anew, with what comes before
and after left as it is. Time is the working time of each press; what presses share (operators, tools, rack) is
not in the model, so the arrangement is replayed exactly and taken only if it is cheaper. One worker and a limit
in deterministic time: the same window gives the same answer.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from plugins.schedule.decoder import decode
from plugins.schedule.floor import Floor
from plugins.schedule.lanes import Lanes
from plugins.schedule.tables import NO, Tables

WHOLE = 12
"""Up to so many runs all of them are one window."""

EFFORT = 3.0
"""The most deterministic time for one window; about as many seconds."""


def polish(tables: Tables, floor: Floor) -> Floor:
    """The floor itself, or a cheaper one where the problem is small enough to be one window."""
    if not 1 < sum(len(runs) for runs in floor.lists) <= WHOLE or any(tables.problem.frozen):
        return floor
    lists = _Window(tables, floor).solve()
    found = decode(tables, lists, floor.total - 1) if lists else None
    return found or floor


class _Window:
    """The model of one window: a tour of runs on each press, from its state at the start."""

    def __init__(self, tables: Tables, floor: Floor) -> None:
        from ortools.sat.python import cp_model

        self._tables, self._lists, self._known = tables, floor.lists, floor.total
        self._lanes = Lanes(tables)
        self._model: Any = cp_model.CpModel()
        self._solver: Any = cp_model.CpSolver()
        self._solved = (cp_model.OPTIMAL, cp_model.FEASIBLE)
        self._runs = sorted(run for runs in floor.lists for run in runs)
        horizon = self._horizon()
        self._end = {run: self._model.new_int_var(0, horizon, f"end {run}") for run in self._runs}
        self._finish = self._model.new_int_var(0, horizon, "finish")
        self._late = {run: self._model.new_int_var(0, horizon, f"late {run}") for run in self._runs}
        self._arcs: list[dict[tuple[int, int], Any]] = []
        self._change: list[Any] = []

    def _horizon(self) -> int:
        tables = self._tables
        presses = range(len(tables.work))
        longest = max(max(map(max, table)) for table in tables.changeover)
        work = sum(max(tables.work[press][run] for press in presses) + longest for run in self._runs)
        latest = max(self._lanes.facts(press, run)[0] for press in presses for run in self._runs)
        return work + latest + max(self._lanes.begin(press)[0] for press in presses)

    def solve(self) -> list[list[int]] | None:
        """The runs of each press in their order; None if nothing was found within the effort."""
        weights = self._tables.problem.weights
        for press in range(len(self._lists)):
            self._tour(press)
        late = sum(self._tables.weight[run] * self._late[run] for run in self._runs)
        cost = weights.tardiness * late + weights.changeover * sum(self._change) + weights.finish * self._finish
        self._model.add(cost <= self._known)
        self._model.minimize(cost)
        for press, runs in enumerate(self._lists):
            stops = [NO, *runs, NO]
            taken = set(pairwise(stops))
            for arc, literal in self._arcs[press].items():
                self._model.add_hint(literal, arc in taken)
        self._solver.parameters.num_workers = 1
        self._solver.parameters.random_seed = 1
        self._solver.parameters.max_deterministic_time = EFFORT
        if self._solver.solve(self._model) not in self._solved:
            return None
        return [self._read(press) for press in range(len(self._lists))]

    def _tour(self, press: int) -> None:
        """The runs that the press does, one after the other with the change-overs between."""
        model, tables = self._model, self._tables
        able = [run for run in self._runs if tables.work[press][run] != NO]
        now, setting = self._lanes.begin(press)
        arcs: dict[tuple[int, int], Any] = {(NO, NO): model.new_bool_var("")}
        spent: list[Any] = []
        for run in able:
            release, after, work, due, _, _ = self._lanes.facts(press, run)
            elsewhere = model.new_bool_var("")
            arcs[run, run] = elsewhere
            arcs[run, NO] = model.new_bool_var("")
            if tables.problem.weights.tardiness:
                model.add(self._end[run] - due <= self._late[run]).only_enforce_if(~elsewhere)
            model.add(self._finish >= self._end[run]).only_enforce_if(~elsewhere)
            spent.append(work * ~elsewhere)
            for before in [NO, *able]:
                if before == run:
                    continue
                arc = arcs[before, run] = model.new_bool_var("")
                left = setting if before == NO else tables.setting[press][before]
                change = tables.changeover[press][left][after]
                begin = now if before == NO else self._end[before]
                model.add(self._end[run] >= begin + change + work).only_enforce_if(arc)
                model.add(self._end[run] >= release + change + work).only_enforce_if(arc)
                for other in tables.after[run]:
                    waits = tables.cool[other] + tables.peel[other]
                    if other in self._end:
                        model.add(self._end[run] >= self._end[other] + waits + change + work).only_enforce_if(arc)
                spent.append(change * arc)
                self._change.append(change * arc)
        node = {run: number for number, run in enumerate([NO, *able])}
        model.add_circuit([(node[before], node[after], arc) for (before, after), arc in arcs.items()])
        model.add(self._finish >= now + sum(spent))
        self._arcs.append(arcs)
        if press == len(self._lists) - 1:
            for run in self._runs:
                model.add_exactly_one(~arcs[run, run] for arcs in self._arcs if (run, run) in arcs)

    def _read(self, press: int) -> list[int]:
        following = {
            before: after
            for (before, after), arc in self._arcs[press].items()
            if before != after and self._solver.value(arc)
        }
        runs: list[int] = []
        while (run := following.get(runs[-1] if runs else NO, NO)) != NO:
            runs.append(run)
        return runs
