"""What lists would cost if each press had all it needs: a quick look before an exact replay.

Nothing is waited for but the press itself, its hours, deliveries, and for each run as long as it waited for
operators, tools, the rack or the garment in the last replay. So one changed list is priced without the others.
Times are working ticks of the press; only a late run is turned into time on the wall.
"""

from __future__ import annotations

from bisect import bisect_left

from plugins.schedule.floor import Floor
from plugins.schedule.hours import Hours, common, joined
from plugins.schedule.tables import NO, Tables, in_sequence

Facts = tuple[int, int, int, int, int, int]
"""Of a run on a press: release in its working ticks, setting, work, due in its working ticks, due on the wall
(both for the end of pressing), price of a tick late."""

Marks = tuple[list[int], list[int]]
"""Per position of a list: when the run ends (working ticks), and what the list costs up to there."""


class Lanes:
    """One lane per press, from its state at time zero."""

    __slots__ = ("_begin", "_changes", "_facts", "_hours", "_per_change", "_waits")

    def __init__(self, tables: Tables) -> None:
        problem, weights = tables.problem, tables.problem.weights
        present = joined(operator.calendar for operator in problem.operators)
        self._per_change = weights.changeover
        self._waits = [0] * len(problem.runs)
        self._changes = tables.changeover
        self._hours = [
            Hours(common(press.calendar, present) if problem.operators else press.calendar)
            for press in problem.presses
        ]
        self._begin = [(0, press.setting) for press in problem.presses]
        for placed in sorted(problem.fixed, key=lambda placed: placed.setup):
            ends = max(self._begin[placed.press][0], self._hours[placed.press].until(placed.end))
            self._begin[placed.press] = ends, tables.setting[placed.press][placed.run]
        earliest = _earliest(tables)
        self._facts = [
            [self._facts_of(tables, press, run, release) for run, release in enumerate(earliest)]
            for press in range(len(problem.presses))
        ]

    def _facts_of(self, tables: Tables, press: int, run: int, release: int) -> Facts:
        due = tables.due[run] - tables.cool[run] - tables.peel[run]
        hours = self._hours[press]
        late = tables.weight[run] * tables.problem.weights.tardiness
        setting, work = tables.setting[press][run], tables.work[press][run]
        return hours.until(release), setting, work, hours.until(due), due, late

    def learn(self, floor: Floor) -> None:
        """Remember how long each run waited for more than its press and its delivery, to price lists with it."""
        waits, begun_at = self._waits, floor.begun
        for press, runs in enumerate(floor.lists):
            hours, facts = self._hours[press], self._facts[press]
            now, ended = self._begin[press][0], NO
            for run in runs:
                offer = begun_at[run]
                if offer is None:
                    continue
                begun = now if offer[0] == ended else hours.until(offer[0])
                waits[run] = max(0, begun - max(now, facts[run][0]))
                ended = offer[3]
                now = max(now, hours.until(ended))

    def begin(self, press: int) -> tuple[int, int]:
        """When the press is free (working ticks), and its setting then."""
        return self._begin[press]

    def facts(self, press: int, run: int) -> Facts:
        """What there is to know of a run on a press."""
        return self._facts[press][run]

    def wall(self, press: int, worked: int) -> int:
        """The moment when the press has worked so many ticks."""
        hours = self._hours[press]
        index = bisect_left(hours.worked_at_close, worked)
        return hours.closes[index] + worked - hours.worked_at_close[index]

    def price(self, press: int, runs: list[int], first: int, marks: Marks, limit: float) -> Marks | None:
        """Price the list from position `first` on, where it is as `marks` says up to there.

        The marks of the positions from `first` on; None as soon as the cost is above `limit`.
        """
        if first:
            now, cost = marks[0][first - 1], marks[1][first - 1]
            setting = self._facts[press][runs[first - 1]][1]
        else:
            (now, setting), cost = self._begin[press], 0
        facts, changes, per_change = self._facts[press], self._changes[press], self._per_change
        closes, worked = self._hours[press].closes, self._hours[press].worked_at_close
        waits = self._waits
        row = changes[setting]
        ends: list[int] = []
        costs: list[int] = []
        for run in runs[first:]:
            release, setting, work, due, due_on_wall, late = facts[run]
            if release > now:
                now = release
            change = row[setting]
            now += waits[run] + change + work
            cost += per_change * change
            if now > due:
                index = bisect_left(worked, now)
                cost += late * (closes[index] + now - worked[index] - due_on_wall)
                if cost > limit:
                    return None
            row = changes[setting]
            ends.append(now)
            costs.append(cost)
        return (ends, costs) if cost <= limit else None


def _earliest(tables: Tables) -> list[int]:
    """When each run could begin at best: its delivery, and the runs before it on the same garment."""
    found = list(tables.release)
    for run in in_sequence(tables.problem):
        for before in tables.after[run]:
            least = min(tables.work[press][before] for press in tables.presses_of[before])
            ready = found[before] + least + tables.cool[before] + tables.peel[before]
            found[run] = max(found[run], ready)
    return found
