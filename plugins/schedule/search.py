"""Local search over the lists: change them, keep what pays, ever more strictly (simulated annealing).

Changes are priced by lanes, in microseconds, against a bar drawn beforehand. A batch of accepted ones is then
replayed exactly: if that holds what the lanes promised the batch stands and the lanes learn the waits of the
replay, else it is taken back whole. Batches grow while they hold and shrink when they do not.
"""

from __future__ import annotations

import math
import random

from plugins.schedule.decoder import decode
from plugins.schedule.floor import Floor
from plugins.schedule.lanes import Lanes, Marks
from plugins.schedule.moves import Change, Moves
from plugins.schedule.stop import Stop
from plugins.schedule.tables import Tables

HOT, COLD = 0.3, 0.001
"""What a change may cost at first and at last, as a share of the mean cost per run."""

TRIES_PER_RUN = 2
"""The most changes tried before a replay, for each run of the problem."""


class Plan:
    """Lists under change, and what each lane costs."""

    def __init__(self, tables: Tables, floor: Floor) -> None:
        self._tables, self._lanes = tables, Lanes(tables)
        self.lists = floor.lists
        self.press_of = [0] * len(tables.work[0])
        self._marks: list[Marks] = []
        self.learn(floor)

    def learn(self, floor: Floor) -> None:
        """Take over the lists of a replay and the waits that it found."""
        self._lanes.learn(floor)
        self.lists = floor.lists
        self._marks = []
        for press, runs in enumerate(self.lists):
            self._marks.append(self._lanes.price(press, runs, 0, ([], []), math.inf) or ([], []))
            for run in runs:
                self.press_of[run] = press

    def cost_of(self, press: int) -> int:
        """What the lane of the press costs."""
        costs = self._marks[press][1]
        return costs[-1] if costs else 0

    def apply(self, change: Change, allowed: float) -> float | None:
        """Make the change if the lanes that it touches cost at most `allowed` more; says how much less was used."""
        room = allowed + sum(self.cost_of(press) for press, _, _ in change)
        fresh: list[Marks] = []
        for press, runs, first in change:
            old_ends, old_costs = self._marks[press]
            marks = self._lanes.price(press, runs, first, (old_ends, old_costs), room)
            if marks is None:
                return None
            fresh.append((old_ends[:first] + marks[0], old_costs[:first] + marks[1]))
            room -= fresh[-1][1][-1] if fresh[-1][1] else 0
        if room < 0:
            return None
        lists, all_marks = self.lists[:], self._marks[:]
        for (press, runs, first), marks in zip(change, fresh, strict=True):
            lists[press], all_marks[press] = runs, marks
            for run in runs[first:]:
                self.press_of[run] = press
        self.lists, self._marks = lists, all_marks
        return room


def improve(tables: Tables, floor: Floor, stop: Stop, seed: int) -> tuple[Floor, int]:
    """The cheapest replay found from this one on, and the number of changes tried."""
    draw = random.Random(seed)
    moves = Moves(tables, floor.lists, draw)
    if not moves.possible:
        return floor, 0
    runs = len(tables.release)
    plan, best, current = Plan(tables, floor), floor, floor
    steps, batch = 0, 1
    while (share := stop(steps)) < 1:
        heat = best.total / runs * HOT * (COLD / HOT) ** share
        accepted = 0
        for _ in range(TRIES_PER_RUN * runs):
            steps += 1
            change = moves.propose(plan.lists, plan.press_of)
            allowed = _bar(draw, heat)
            left = plan.apply(change, allowed) if change else None
            if left is not None and left != allowed:
                accepted += 1
                if accepted == batch:
                    break
        if not accepted:
            continue
        found = decode(tables, plan.lists, int(current.total + _bar(draw, heat)))
        if found is None:
            plan.learn(current)
            batch = max(1, batch // 2)
            continue
        plan.learn(found)
        current, batch = found, batch + 1
        if found.total < best.total:
            best = found
    return best, steps


def _bar(draw: random.Random, heat: float) -> float:
    """How much worse may be accepted this time: exponentially distributed with mean `heat`."""
    return -heat * math.log(1 - draw.random())
