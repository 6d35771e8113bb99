"""The changes that the search tries: a few runs in a row to another place, two runs for each other, two tails."""

from __future__ import annotations

import random

from plugins.schedule.tables import NO, Tables

Change = tuple[tuple[int, list[int], int], ...]
"""(press, its new list, first position that differs) for each list that changes."""

LONGEST_BLOCK = 8
"""The most runs in a row that are moved together."""

NEAR = 6
"""How far a place is away that still counts as near."""


class Moves:
    """Draws changes of lists; leaves frozen runs where they are and keeps to presses that can do a run."""

    def __init__(self, tables: Tables, lists: list[list[int]], draw: random.Random) -> None:
        self._draw = draw
        self._work = tables.work
        self._presses_of = tables.presses_of
        self._first = [len(runs) for runs in tables.problem.frozen] or [0] * len(lists)
        self._movable = [run for runs, first in zip(lists, self._first, strict=True) for run in runs[first:]]
        self.possible = len(self._movable) > 1

    def propose(self, lists: list[list[int]], press_of: list[int]) -> Change | None:
        """A random change of the lists; None when the draw hit one that is not possible."""
        kind = self._draw.random()
        if kind < 0.2:
            return self._exchange(lists, press_of)
        if kind < 0.3:
            return self._cross(lists, press_of)
        return self._relocate(lists, press_of)

    def _some_run(self) -> int:
        return self._movable[int(self._draw.random() * len(self._movable))]

    def _place_near(self, place: float, first: int, last: int) -> int:
        """A place from `first` to `last`: near the given one or, as often, any."""
        if self._draw.random() < 0.5:
            near = int(place) + self._draw.randint(-NEAR, NEAR)
            return min(max(near, first), last)
        return self._draw.randint(first, last)

    def _relocate(self, lists: list[list[int]], press_of: list[int]) -> Change | None:
        """Take a run, or a few from it on, to another place on this press or on another that can do them."""
        run = self._some_run()
        press = press_of[run]
        runs = lists[press]
        at = runs.index(run)
        length = 1 if self._draw.random() < 0.6 else self._draw.randint(2, LONGEST_BLOCK)
        block, rest = runs[at : at + length], runs[:at] + runs[at + length :]
        able = self._presses_of[run]
        target = able[int(self._draw.random() * len(able))]
        if target == press:
            to = self._place_near(at, self._first[press], len(rest))
            if to == at:
                return None
            return ((press, rest[:to] + block + rest[to:], min(at, to)),)
        if any(self._work[target][each] == NO for each in block):
            return None
        others = lists[target]
        to = self._place_near(at * len(others) / len(runs), self._first[target], len(others))
        return (press, rest, at), (target, others[:to] + block + others[to:], to)

    def _exchange(self, lists: list[list[int]], press_of: list[int]) -> Change | None:
        """Let two runs change places."""
        one, two = self._some_run(), self._some_run()
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
        run, there = self._some_run(), int(self._draw.random() * len(lists))
        here = press_of[run]
        if here == there:
            return None
        at, others = lists[here].index(run), lists[there]
        to = self._place_near(at * len(others) / len(lists[here]), self._first[there], len(others))
        tail, other_tail = lists[here][at:], others[to:]
        if any(self._work[there][each] == NO for each in tail):
            return None
        if any(self._work[here][each] == NO for each in other_tail):
            return None
        return (here, lists[here][:at] + other_tail, at), (there, others[:to] + tail, to)
