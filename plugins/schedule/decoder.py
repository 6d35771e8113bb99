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
"""(floor, press, moment) -> (run, _) for the run to do next, (NO, later) to be asked again then, (NO, NO) to rest
until something more is done."""

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
    """Let the presses run, each asking `choose` for a run when it stands free, until all rest.

    None where presses are left waiting for each other, or as soon as the cost is above `limit`.
    """
    floor = Floor(tables)
    queue = [(free, _CHOOSE, 0, press) for press, free in enumerate(floor.free)]
    queue += [(floor.end[run], _PEEL, 0, run) for run in floor.begun if floor.done[run] == NO]
    heapify(queue)
    chosen = [NO] * len(floor.free)
    blocked: list[int] = []
    resting: list[int] = []
    known, looked_at, ready = False, NO, None
    while queue:
        moment, kind, change, index = queue[0]
        floor.now = moment
        if kind == _PEEL:
            offer = floor.peel_offer(index)
            if offer[0] > moment:
                heapreplace(queue, (offer[0], _PEEL, 0, index))
                continue
            floor.peel(index, offer)
            heappop(queue)
            known = True
        elif kind == _CHOOSE:
            run, later = choose(floor, index, moment)
            if run != NO:
                chosen[index] = run
                heapreplace(queue, (moment, _BEGIN, NO, index))
                continue
            heappop(queue)
            if later == NO:
                resting.append(index)
            else:
                heappush(queue, (later, _CHOOSE, 0, index))
            continue
        else:
            run = chosen[index]
            if looked_at != index:
                ready = floor.offer(index, run)
                looked_at = index
            if ready is None:
                heappop(queue)
                blocked.append(index)
                continue
            if ready[0] > moment or ready[1] > change:
                heapreplace(queue, (ready[0], _BEGIN, ready[1], index))
                continue
            known = floor.begin(index, run, ready)
            heapreplace(queue, (ready[3], _CHOOSE, 0, index))
            if not known:
                heappush(queue, (ready[3] + tables.cool[run], _PEEL, 0, run))
        looked_at = NO
        if limit is not None and floor.total > limit:
            return None
        if known and (blocked or resting):
            for press in resting:
                heappush(queue, (moment, _CHOOSE, 0, press))
            for press in blocked:
                heappush(queue, (moment, _BEGIN, NO, press))
            blocked, resting = [], []
    return None if blocked else floor
