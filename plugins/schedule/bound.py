"""What no schedule can undercut: each run at its earliest, as if it were alone in the shop.

Weak where presses are crowded, and then usually 0: the gap is unknown. What it proves is lateness that comes from
goods that arrive too late.
"""

from __future__ import annotations

from plugins.schedule.hours import Hours
from plugins.schedule.model import Problem
from plugins.schedule.tables import in_sequence


def soonest(problem: Problem) -> list[int]:
    """When each run would be done at best: its goods in, the runs before it on the garment done, nothing else."""
    hours = [Hours(press.calendar) for press in problem.presses]
    done: dict[int, int] = {placed.run: placed.done for placed in problem.fixed}
    for index in in_sequence(problem):
        run = problem.runs[index]
        ready = max((run.release, *(done[before] for before in run.after)))
        pressed = min(hours[option.press].span(ready, option.work)[1] for option in run.options)
        done.setdefault(index, pressed + run.cool + run.peel)
    return [done[index] for index in range(len(problem.runs))]


def least_tardiness(problem: Problem) -> int | None:
    """A proven lower bound of the weighted tardiness, in ticks times weight; None when nothing is proven."""
    bound = sum(
        run.weight * max(0, done - run.due) for run, done in zip(problem.runs, soonest(problem), strict=True)
    )
    return bound or None
