"""Of the platens that a run may lie on, the one that costs least where the run stands in its list."""

from collections.abc import Iterator, Sequence

from attrs import evolve

from plugins.schedule.decoder import decode
from plugins.schedule.model import Problem, Result
from plugins.schedule.settings import platens_on
from plugins.schedule.solve import result_of
from plugins.schedule.tables import Tables
from plugins.schedule.week import Week


def with_best_platens(week: Week, result: Result) -> tuple[Week, Result]:
    """The week with another platen for a run wherever that makes the whole cheaper; the lists stay as they are.

    Tried for each run in turn is the platen that lies on the press before it, and that of the run after it, where the
    run may lie on that; the rest keep the first that their placement names.
    """
    for press, runs in enumerate(result.lists):
        for place, run in enumerate(runs):
            for setting in _beside(week.problem, press, runs, place):
                changed = with_platen(week, run, press, week.settings[setting].platen)
                if changed is week:
                    continue
                floor = decode(Tables(changed.problem), result.lists, result.total - 1)
                if floor is not None:
                    week, result = changed, result_of(floor, result.iterations)
    return week, result


def _beside(problem: Problem, press: int, runs: Sequence[int], place: int) -> Iterator[int]:
    """What the press is set to before the run at that place of its list, and after it."""
    yield setting_on(problem, runs[place - 1], press) if place else problem.presses[press].setting
    if place + 1 < len(runs):
        yield setting_on(problem, runs[place + 1], press)


def setting_on(problem: Problem, run: int, press: int) -> int:
    """What the press is set to for the run."""
    return next(option.setting for option in problem.runs[run].options if option.press == press)


def with_platen(week: Week, run: int, press: int, platen: str) -> Week:
    """The week with the run on that platen when that press does it; the week itself where it may not, or does."""
    now = setting_on(week.problem, run, press)
    if platen == week.settings[now].platen or platen not in platens_on(week.tasks[run], week.presses[press]):
        return week
    other = week.settings.index(evolve(week.settings[now], platen=platen))
    given = week.problem.runs[run]
    options = tuple(
        evolve(option, setting=other) if option.press == press else option for option in given.options
    )
    runs = list(week.problem.runs)
    runs[run] = evolve(given, options=options)
    return evolve(week, problem=evolve(week.problem, runs=tuple(runs)))
