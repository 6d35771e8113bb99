"""From lists per press to times, exactly.

Of all that could begin next (on each press the next run of its list, and each peeling that waits) the one that
can begin first does, and takes what it needs of the floor: the press, tools, an operator, rack slots. Ties go to
peeling, for it frees the rack, then to the shorter change-over, then by index: one outcome for one input.
"""

from __future__ import annotations

from collections.abc import Callable
from heapq import heapify, heappop, heappush, heapreplace

from plugins.schedule.floor import Floor
from plugins.schedule.model import Lists
from plugins.schedule.tables import NO, Tables

Choose = Callable[[Floor, int, int], tuple[int, int]]
"""(floor, press, moment) -> (run, NO) to do that next, (NO, moment) to be asked again at that moment or, for
WHEN_DONE, when a run is done, (NO, NO) when there is nothing left for the press."""

WHEN_DONE = 1 << 62

_PEEL, _BEGIN, _CHOOSE = 0, 1, 2


def decode(tables: Tables, lists: Lists | list[list[int]], limit: int | None = None) -> Floor | None:
    """The floor after all runs of the lists.

    None where the lists wait for each other in a circle, or as soon as the cost is above `limit`.
    """
    following = [iter(runs) for runs in lists]

    def next_of_list(_floor: Floor, press: int, _moment: int) -> tuple[int, int]:
        return next(following[press], NO), NO

    return replay(tables, next_of_list, limit)


def replay(tables: Tables, choose: Choose, limit: int | None = None) -> Floor | None:
    """Let the presses run, each asking `choose` for a run when it stands free, until all are through.

    None where presses are left waiting for each other, or as soon as the cost is above `limit`.
    """
    return _Replay(tables, choose).run(limit)


class _Replay:
    """The queue of what comes next: (moment, what, change-over in it, press or run)."""

    def __init__(self, tables: Tables, choose: Choose) -> None:
        self._cool, self._choose = tables.cool, choose
        self._floor = floor = Floor(tables)
        self._queue = [(free, _CHOOSE, 0, press) for press, free in enumerate(floor.free)]
        self._queue += [(floor.end[run], _PEEL, 0, run) for run in floor.begun if floor.done[run] == NO]
        self._chosen = [NO] * len(floor.free)
        self._waiting: list[tuple[int, int]] = []
        heapify(self._queue)

    def run(self, limit: int | None) -> Floor | None:
        """Take one after the other from the queue; see `replay`."""
        floor, queue = self._floor, self._queue
        while queue:
            floor.now, kind, change, index = queue[0]
            if kind == _BEGIN:
                happened = self._begin(index, change)
            elif kind == _CHOOSE:
                self._ask(index)
                continue
            else:
                happened = self._peel(index)
            if happened and limit is not None and floor.total > limit:
                return None
        return None if self._waiting else floor

    def _ask(self, press: int) -> None:
        """Let a free press choose; it turns to the run when it comes to the head of the queue again."""
        run, later = self._choose(self._floor, press, self._floor.now)
        if run != NO:
            self._chosen[press] = run
            heapreplace(self._queue, (self._floor.now, _BEGIN, NO, press))
            return
        heappop(self._queue)
        if later == WHEN_DONE:
            self._waiting.append((_CHOOSE, press))
        elif later != NO:
            heappush(self._queue, (later, _CHOOSE, 0, press))

    def _begin(self, press: int, change: int) -> bool:
        """Begin the press's run, if that is what can begin first; else put it in its place in the queue."""
        floor, queue, run = self._floor, self._queue, self._chosen[press]
        offer = floor.offer(press, run)
        if offer is None:
            heappop(queue)
            self._waiting.append((_BEGIN, press))
            return False
        begin, with_change, _, end = offer
        if begin > floor.now or with_change > change:
            entry = (begin, _BEGIN, with_change, press)
            heapreplace(queue, entry)
            if queue[0] != entry:
                return False
            floor.now = begin
        known = floor.begin(press, run, offer)
        heapreplace(queue, (end, _CHOOSE, 0, press))
        if known:
            self._wake()
        else:
            heappush(queue, (end + self._cool[run], _PEEL, 0, run))
        return True

    def _peel(self, run: int) -> bool:
        """Peel the run, if that is what can begin first."""
        offer = self._floor.peel_offer(run)
        if offer[0] > self._floor.now:
            heapreplace(self._queue, (offer[0], _PEEL, 0, run))
            return False
        self._floor.peel(run, offer)
        heappop(self._queue)
        self._wake()
        return True

    def _wake(self) -> None:
        """A run is done: who waited for one is asked again."""
        for kind, press in self._waiting:
            heappush(self._queue, (self._floor.now, kind, NO, press))
        self._waiting.clear()
