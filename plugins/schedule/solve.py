"""The scheduler in one function: rules make a schedule, search makes it better, a few runs are solved to the end."""

from __future__ import annotations

from plugins.schedule.dispatch import best_by_rules
from plugins.schedule.floor import Floor
from plugins.schedule.model import Problem, Result
from plugins.schedule.search import improve
from plugins.schedule.stop import Stop
from plugins.schedule.tables import Tables
from plugins.schedule.windows import polish


def solve(problem: Problem, stop: Stop, seed: int) -> Result:
    """The best schedule found until `stop` says so; the same for the same arguments.

    Raises ValueError, naming run, press or tool, for a problem that cannot be scheduled at all.
    """
    tables = Tables(problem)
    floor, steps = improve(tables, best_by_rules(tables), stop, seed)
    return result_of(polish(tables, floor), steps)


def result_of(floor: Floor, steps: int) -> Result:
    """A replay as the answer to the problem."""
    press_of = {placed.run: placed.press for placed in floor.tables.problem.fixed}
    press_of.update((run, press) for press, runs in enumerate(floor.lists) for run in runs)
    return Result(
        lists=tuple(tuple(runs) for runs in floor.lists),
        placed=tuple(floor.placed(press_of[run], run) for run in sorted(press_of)),
        cost=floor.cost,
        total=floor.total,
        iterations=steps,
    )
