"""Planning anew in the middle of a week: what has begun stands, and nothing changes without a reason.

The caller says what has begun (`Problem.fixed`), what comes next in any case (`Problem.frozen`) and, by releases,
from when on the rest may begin. The lists of before are where the search begins.
"""

from __future__ import annotations

from collections.abc import Mapping

from plugins.schedule.decoder import decode
from plugins.schedule.dispatch import best_by_rules
from plugins.schedule.model import Lists, Problem, Result
from plugins.schedule.search import improve
from plugins.schedule.solve import result_of
from plugins.schedule.stop import Stop
from plugins.schedule.tables import Tables


def replan(problem: Problem, before: Lists, done: Mapping[int, int], stop: Stop, seed: int) -> Result:
    """The lists of before while nothing speaks against them, else the best found from them on.

    They stand when they hold every run that is left, and nothing is late by them or each run is done when it was
    to be (`done`, by run). Runs that they do not know yet are put in one by one where they cost least, the most
    urgent first; runs that are gone or have begun fall out.
    """
    tables = Tables(problem)
    begun = {placed.run for placed in problem.fixed}
    wanted = [run for run in range(len(problem.runs)) if run not in begun]
    lists = [[run for run in runs if run in set(wanted)] for runs in before]
    known = {run for runs in lists for run in runs}
    if known == set(wanted) and (floor := decode(tables, lists)) is not None:
        punctual = all(floor.done[run] <= tables.due[run] for run in wanted)
        if punctual or all(floor.done[run] == done.get(run) for run in wanted):
            return result_of(floor, 0)
    for run in sorted(set(wanted) - known, key=lambda run: (tables.due[run], run)):
        lists = _with(tables, lists, run)
    floor = decode(tables, lists) or best_by_rules(tables)
    return result_of(*improve(tables, floor, stop, seed))


def _with(tables: Tables, lists: list[list[int]], run: int) -> list[list[int]]:
    """The lists with the run where it costs least, behind what is frozen; at the end where no place is possible."""
    frozen = tables.problem.frozen or ((),) * len(lists)
    tried: list[tuple[int, list[list[int]]]] = []
    for press in tables.presses_of[run]:
        for place in range(len(frozen[press]), len(lists[press]) + 1):
            longer = [*lists[press][:place], run, *lists[press][place:]]
            candidate = [*lists[:press], longer, *lists[press + 1 :]]
            floor = decode(tables, candidate)
            if floor is not None:
                tried.append((floor.total, candidate))
    if tried:
        return min(tried, key=lambda pair: pair[0])[1]
    last = tables.presses_of[run][0]
    return [*lists[:last], [*lists[last], run], *lists[last + 1 :]]
