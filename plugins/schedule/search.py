"""Local search over the lists: change them, keep what pays, ever more strictly (simulated annealing).

Changes are priced by lanes, in microseconds, against a bar drawn beforehand. A batch of accepted ones is then
replayed exactly: if that costs no more than before, or than the lanes promised, the batch stands and the lanes
learn the waits of the replay, else it is taken back whole. Batches grow while they hold and shrink when they do not.

How much worse a change may be is measured by what could still be saved: the cost above what goods that come too
late cost in any case. So one setting does for weeks with much lateness and with none, and for long searches and
short ones.
"""

from __future__ import annotations

import math
import random

from plugins.schedule.bound import soonest
from plugins.schedule.decoder import Replay
from plugins.schedule.floor import Floor
from plugins.schedule.lanes import Lanes, Marks
from plugins.schedule.moves import Change, Moves
from plugins.schedule.stop import Stop
from plugins.schedule.tables import Tables

HOT, COOLING = 3.0, 4
"""How much worse a change may be at the beginning of a cycle, as a share of what could be saved per run; it falls
with this power of the time left, to nothing: a cycle ends as a descent."""

CYCLE = 3000
"""Steps of a cycle, for each run of the problem: a search of more of them begins again from the best, as hot."""

TRIES_PER_RUN = 2
"""The most changes tried before a replay, for each run of the problem."""

GROWTH, SHRINKAGE = 1.4, 0.75
"""What a batch grows by when it holds and shrinks by when not: about half of them then hold."""

LENIENCE = 2.0
"""How far a batch may miss its promise, in bars: it is many changes, each of which was allowed one."""


class Plan:
    """Lists under change, and what they cost by their lanes."""

    def __init__(self, tables: Tables, floor: Floor) -> None:
        self._lanes, self._per_finish = Lanes(tables), tables.problem.weights.finish
        self.press_of = [0] * len(tables.release)
        self.learn(floor)

    def learn(self, floor: Floor) -> None:
        """Take over the lists of a replay and the waits that it found."""
        self._lanes.learn(floor)
        self.lists = floor.lists
        nothing: Marks = ([], [])
        self._marks = [
            self._lanes.price(press, runs, 0, nothing, math.inf) or nothing
            for press, runs in enumerate(self.lists)
        ]
        self._finish = self._finish_of(self._marks)
        for press, runs in enumerate(self.lists):
            for run in runs:
                self.press_of[run] = press
        self._learned = self.lists, self._marks, self._finish
        self.changed: dict[int, int] = {}
        """Per press, from which place on its list has been changed since."""

    def take_back(self) -> None:
        """Undo all changes since the last replay that was learned."""
        self.lists, self._marks, self._finish = self._learned
        for press, first in self.changed.items():
            for run in self.lists[press][first:]:
                self.press_of[run] = press
        self.changed = {}

    def _finish_of(self, marks: list[Marks]) -> int:
        """What the end of the last run costs."""
        if not self._per_finish:
            return 0
        ends = (self._lanes.wall(press, ends[-1]) for press, (ends, _) in enumerate(marks) if ends)
        return self._per_finish * max(ends, default=0)

    def apply(self, change: Change, allowed: float) -> float | None:
        """Make the change if it costs at most `allowed` more; says how much of that is left over, None if not."""
        room = allowed + sum(_last(self._marks[press][1]) for press, _, _ in change)
        all_marks = self._marks[:]
        for press, runs, first in change:
            ends, costs = all_marks[press]
            priced = self._lanes.price(press, runs, first, (ends, costs), room + self._finish)
            if priced is None:
                return None
            all_marks[press] = ends[:first] + priced[0], costs[:first] + priced[1]
            room -= _last(all_marks[press][1])
        finish = self._finish_of(all_marks)
        room -= finish - self._finish
        if room < 0:
            return None
        self.lists = self.lists[:]
        for press, runs, first in change:
            self.lists[press] = runs
            for run in runs[first:]:
                self.press_of[run] = press
            self.changed[press] = min(first, self.changed.get(press, first))
        self._marks, self._finish = all_marks, finish
        return room


def _last(costs: list[int]) -> int:
    return costs[-1] if costs else 0


def improve(tables: Tables, floor: Floor, stop: Stop, seed: int) -> tuple[Floor, int]:
    """The cheapest replay found from this one on, and the number of changes tried."""
    draw = random.Random(seed)
    moves = Moves(tables, floor.lists, draw)
    if not moves.possible:
        return floor, 0
    runs = len(tables.release)
    in_time = [max(pair) for pair in zip(tables.due, soonest(tables.problem), strict=True)]
    least = tables.problem.weights.tardiness * sum(
        weight * (done - due) for weight, done, due in zip(tables.weight, in_time, tables.due, strict=True)
    )
    current = best = Replay(tables, floor.lists)
    current.run()
    plan = Plan(tables, floor)
    moves.hurry(_later(floor, in_time))
    steps, batch, begun = 0, 1.0, stop(0)
    cycle, cycles = 0, 1
    while (share := stop(steps)) < 1:
        if not cycle and share > begun:
            cycles = max(1, int(steps / (share - begun) * (1 - begun) / (CYCLE * runs)))
        if int(share * cycles) > cycle:
            cycle, current = int(share * cycles), best
            plan.learn(best.floor)
            moves.hurry(_later(best.floor, in_time))
        heat = (best.floor.total - least) / runs * HOT * (1 - share * cycles % 1) ** COOLING
        accepted, promised = 0, float(current.floor.total)
        for _ in range(TRIES_PER_RUN * runs):
            steps += 1
            change = moves.propose(plan.lists, plan.press_of)
            allowed = _bar(draw, heat)
            left = plan.apply(change, allowed) if change else None
            if left is not None and left != allowed:
                accepted += 1
                promised += allowed - left
                if accepted >= batch:
                    break
        if not accepted:
            continue
        found = current.changed(plan.lists, plan.changed.items())
        limit = max(promised, current.floor.total) + LENIENCE * _bar(draw, heat)
        if not found.run(int(limit)):
            plan.take_back()
            batch = max(1.0, batch * SHRINKAGE)
            continue
        current, batch = found, batch * GROWTH
        plan.learn(found.floor)
        moves.hurry(_later(found.floor, in_time))
        if found.floor.total < best.floor.total:
            best = found
    return best.floor, steps


def _later(floor: Floor, in_time: list[int]) -> list[int]:
    """The runs that are done later than they could be, and too late."""
    return [run for run, done in enumerate(floor.done) if done > in_time[run]]


def _bar(draw: random.Random, heat: float) -> float:
    """How much worse may be accepted this time: exponentially distributed with mean `heat`."""
    return -heat * math.log(1 - draw.random())
