"""The changes that the search tries: a few runs in a row to another place, two runs for each other, two tails.

Half of the draws know what they are after: a late run goes forward, and runs go to others that are set up alike.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterable

from plugins.schedule.tables import NO, Tables

Change = tuple[tuple[int, list[int], int], ...]
"""(press, its new list, first position that differs) for each list that changes."""

EXCHANGE, CROSS = 0.2, 0.1
"""The share of changes that exchange two runs, or two tails; the rest moves runs to another place."""

LATE, ALIKE, NEARBY = 0.2, 0.4, 0.5
"""Of the moves, the share that begins at a late run; that goes beside a run set up alike; of the rest, near by."""

SINGLE, STRETCH = 0.6, 0.2
"""The share of moves of one run, and of all in a row that are set up alike; the rest moves any few in a row."""

LONGEST_BLOCK = 8
"""The most runs in a row that are moved together without being set up alike."""

NEAR = 6
"""How far a place is away that still counts as near."""


class Moves:
    """Draws changes of lists; leaves frozen runs where they are and keeps to presses that can do a run."""

    def __init__(self, tables: Tables, lists: list[list[int]], draw: random.Random) -> None:
        self._draw = draw.random
        self._work, self._setting = tables.work, tables.setting
        self._presses_of = tables.presses_of
        self._first = [len(runs) for runs in tables.problem.frozen] or [0] * len(lists)
        self._movable = [run for runs, first in zip(lists, self._first, strict=True) for run in runs[first:]]
        self.possible = len(self._movable) > 1
        self._free = set(self._movable)
        self._alike: dict[int, list[int]] = defaultdict(list)
        for run in self._movable:
            for setting in {self._setting[press][run] for press in self._presses_of[run]}:
                self._alike[setting].append(run)
        self._late: list[int] = []

    def hurry(self, late: Iterable[int]) -> None:
        """From now on these runs are the late ones."""
        self._late = [run for run in late if run in self._free]

    def propose(self, lists: list[list[int]], press_of: list[int]) -> Change | None:
        """A random change of the lists; None when the draw hit one that is not possible."""
        kind = self._draw()
        if kind < EXCHANGE:
            return self._exchange(lists, press_of)
        if kind < EXCHANGE + CROSS:
            return self._cross(lists, press_of)
        return self._move(lists, press_of)

    def _some(self, of: list[int] | tuple[int, ...]) -> int:
        return of[int(self._draw() * len(of))]

    def _between(self, first: int, last: int) -> int:
        """A place from `first` to `last`, both included."""
        return first + int(self._draw() * (last - first + 1))

    def _near(self, place: float, first: int, last: int) -> int:
        """A place from `first` to `last`: near the given one or any."""
        if self._draw() < NEARBY:
            return min(max(self._between(int(place) - NEAR, int(place) + NEAR), first), last)
        return self._between(first, last)

    def _move(self, lists: list[list[int]], press_of: list[int]) -> Change | None:
        """Take a run, or a few from it on, to another place on this press or on another that can do them."""
        late = bool(self._late) and self._draw() < LATE
        run = self._some(self._late if late else self._movable)
        press = press_of[run]
        runs = lists[press]
        at = runs.index(run)
        end = at + self._length(runs, at, press)
        block, rest = runs[at:end], runs[:at] + runs[end:]
        if self._draw() < ALIKE:
            other = self._some(self._alike[self._setting[press][run]])
            target = press_of[other]
            if other in block:
                return None
            others = rest if target == press else lists[target]
            to = others.index(other) + self._between(0, 1)
        else:
            target = self._some(self._presses_of[run])
            others = rest if target == press else lists[target]
            place = at if target == press else at * len(others) / len(runs)
            if late:
                to = self._between(self._first[target], max(self._first[target], int(place)))
            else:
                to = self._near(place, self._first[target], len(others))
        if target == press:
            return ((press, rest[:to] + block + rest[to:], min(at, to)),) if to != at else None
        if any(self._work[target][each] == NO for each in block):
            return None
        return (press, rest, at), (target, others[:to] + block + others[to:], to)

    def _length(self, runs: list[int], at: int, press: int) -> int:
        """How many runs from this place on are moved together."""
        kind = self._draw()
        if kind < SINGLE:
            return 1
        if kind > SINGLE + STRETCH:
            return self._between(2, LONGEST_BLOCK)
        setting, end = self._setting[press], at + 1
        while end < len(runs) and setting[runs[end]] == setting[runs[at]]:
            end += 1
        return end - at

    def _exchange(self, lists: list[list[int]], press_of: list[int]) -> Change | None:
        """Let two runs change places."""
        one, two = self._some(self._movable), self._some(self._movable)
        here, there = press_of[one], press_of[two]
        if one == two or self._work[there][one] == NO or self._work[here][two] == NO:
            return None
        at, to = lists[here].index(one), lists[there].index(two)
        first, second = lists[here][:], lists[there][:]
        if here == there:
            first[at], first[to] = two, one
            return ((here, first, min(at, to)),)
        first[at], second[to] = two, one
        return (here, first, at), (there, second, to)

    def _cross(self, lists: list[list[int]], press_of: list[int]) -> Change | None:
        """Let two presses exchange all that comes after about the same time."""
        run, there = self._some(self._movable), int(self._draw() * len(lists))
        here = press_of[run]
        if here == there:
            return None
        at, others = lists[here].index(run), lists[there]
        to = self._near(at * len(others) / len(lists[here]), self._first[there], len(others))
        tail, other_tail = lists[here][at:], others[to:]
        if any(self._work[there][each] == NO for each in tail):
            return None
        if any(self._work[here][each] == NO for each in other_tail):
            return None
        return (here, lists[here][:at] + other_tail, at), (there, others[:to] + tail, to)
