"""From lists per press to times, exactly.

Of all that could begin next (on each press the next run of its list, and each peeling that waits) the one that
can begin first does, and takes what it needs of the floor: the press, tools, an operator, rack slots. Ties go to
peeling, for it frees the rack, then to the shorter change-over, then by index: one outcome for one input.

A replay keeps pictures of the floor on its way. Lists that differ only from some place on are replayed from the
last picture before that place.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from heapq import heapify, heappop, heappush, heapreplace

from plugins.schedule.floor import Floor
from plugins.schedule.model import Lists
from plugins.schedule.tables import NO, Tables

Choose = Callable[[Floor, int, int], tuple[int, int]]
"""(floor, press, moment) -> (run, NO) to do that next, (NO, moment) to be asked again at that moment or, for
WHEN_DONE, when a run is done, (NO, NO) when there is nothing left for the press."""

WHEN_DONE = 1 << 62

PICTURES = 12
"""How many pictures of the floor a replay keeps: more of them shorten the next replay and slow this one."""

_PEEL, _BEGIN, _CHOOSE = 0, 1, 2


def decode(tables: Tables, lists: Lists | list[list[int]], limit: int | None = None) -> Floor | None:
    """The floor after all runs of the lists.

    None where the lists wait for each other in a circle, or as soon as the cost is above `limit`.
    """
    played = Replay(tables, lists)
    return played.floor if played.run(limit) else None


def by_choice(tables: Tables, choose: Choose) -> Floor | None:
    """The floor after each press asked `choose` for a run whenever it stood free, until all were through.

    None where presses are left waiting for each other.
    """
    played = Replay(tables, [[] for _ in tables.work], choose)
    return played.floor if played.run(None) else None


class Replay:
    """One replay: the floor, and the queue of what comes next (moment, what, change-over in it, press or run).

    `taken` counts, per press, the runs that it took from its list; one more when it asked for another in vain.
    `pictures` are copies of the replay at some of its moments, its beginning first.
    """

    __slots__ = (
        "_choose",
        "_chosen",
        "_queue",
        "_waiting",
        "_waiting_for",
        "floor",
        "lists",
        "pictures",
        "taken",
    )

    def __init__(self, tables: Tables, lists: Sequence[Sequence[int]], choose: Choose | None = None) -> None:
        self._choose, self.lists = choose, lists
        self.floor = floor = Floor(tables)
        self._queue = [(free, _CHOOSE, 0, press) for press, free in enumerate(floor.free)]
        begun = [run for run, offer in enumerate(floor.begun) if offer]
        self._queue += [(floor.end(run), _PEEL, 0, run) for run in begun if floor.done[run] == NO]
        heapify(self._queue)
        self._chosen = [NO] * len(floor.free)
        self.taken = [0] * len(floor.free)
        self._waiting: list[tuple[int, int]] = []
        self._waiting_for: dict[int, tuple[int, ...]] = {}
        self.pictures = [self.copy()]

    def copy(self) -> Replay:
        """The replay as it stands, to go on from in another way."""
        other: Replay = Replay.__new__(Replay)
        other.floor, other.lists, other.taken = self.floor.copy(), self.lists, self.taken[:]
        other._choose, other._chosen = self._choose, self._chosen[:]
        other._queue = self._queue[:]
        other._waiting, other._waiting_for = self._waiting[:], self._waiting_for.copy()
        return other

    def changed(self, lists: Sequence[Sequence[int]], places: Collection[tuple[int, int]]) -> Replay:
        """A replay, yet to be run, of lists that differ from this one's only from `places` (press, place) on."""
        last = len(self.pictures) - 1
        while any(self.pictures[last].taken[press] > place for press, place in places):
            last -= 1
        other = self.pictures[last].copy()
        other.lists, other.pictures = lists, self.pictures[: last + 1]
        return other

    def run(self, limit: int | None = None) -> bool:
        """Take one after the other from the queue; False as `decode` says None."""
        floor, queue, weights = self.floor, self._queue, self.floor.tables.problem.weights
        late, change_over, finish = weights.tardiness, weights.changeover, weights.finish
        every = len(floor.begun) // PICTURES + 1
        left = every
        while queue:
            floor.now, kind, change, index = queue[0]
            if kind == _PEEL:
                if not self._peel(index):
                    continue
            else:
                if kind == _CHOOSE:
                    if not self._next(index):
                        continue
                    change = NO
                if not self._begin(index, change):
                    continue
                left -= 1
                if not left and self._choose is None:
                    left = every
                    self.pictures.append(self.copy())
            if limit is not None:
                cost = late * floor.tardiness + change_over * floor.total_change + finish * floor.finish
                if cost > limit:
                    return False
        return not (self._waiting or self._waiting_for)

    def _next(self, press: int) -> bool:
        """Let a free press take the next run of its list, or choose one; says whether there is one."""
        runs, place = self.lists[press], self.taken[press]
        self.taken[press] = place + 1
        if place < len(runs):
            self._chosen[press] = runs[place]
            return True
        later = NO
        if self._choose is not None:
            run, later = self._choose(self.floor, press, self.floor.now)
            if run != NO:
                self._chosen[press] = run
                return True
        heappop(self._queue)
        if later == WHEN_DONE:
            self._waiting.append((_CHOOSE, press))
        elif later != NO:
            heappush(self._queue, (later, _CHOOSE, 0, press))
        return False

    def _begin(self, press: int, change: int) -> bool:
        """Begin the press's run, if that is what can begin first; else put it in its place in the queue."""
        floor, queue, run = self.floor, self._queue, self._chosen[press]
        offer = floor.offer(press, run)
        if offer is None:
            heappop(queue)
            self._wait(press, run)
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
            self._wake(run)
        else:
            heappush(queue, (end + floor.tables.cool[run], _PEEL, 0, run))
        return True

    def _peel(self, run: int) -> bool:
        """Peel the run, if that is what can begin first."""
        floor = self.floor
        offer = floor.peel_offer(run)
        if offer[0] > floor.now:
            heapreplace(self._queue, (offer[0], _PEEL, 0, run))
            return False
        floor.peel(run, offer)
        heappop(self._queue)
        self._wake(run)
        return True

    def _wait(self, press: int, run: int) -> None:
        """Let the press wait for the run before on the same garment or, for the rack, until anything is done."""
        floor = self.floor
        for before in floor.tables.after[run]:
            if floor.done[before] == NO:
                self._waiting_for[before] = (*self._waiting_for.get(before, ()), press)
                return
        self._waiting.append((_BEGIN, press))

    def _wake(self, run: int) -> None:
        """The run is done: who waited for it is asked again."""
        for press in self._waiting_for.pop(run, ()):
            heappush(self._queue, (self.floor.now, _BEGIN, NO, press))
        if self._waiting:
            for kind, press in self._waiting:
                heappush(self._queue, (self.floor.now, kind, NO, press))
            self._waiting.clear()
