"""A problem laid out for quick reading, made once and shared by every replay; refuses what cannot be replayed."""

from __future__ import annotations

from graphlib import TopologicalSorter

from plugins.schedule.hours import Hours, common
from plugins.schedule.model import Problem, Span

NO = -1
"""Stands in the tables for "none", so that they hold whole numbers only."""

Crew = tuple[tuple[Hours, tuple[int, ...]], ...]
"""Operators by equal hours."""


class Tables:
    """The problem by index: `work[press][run]`, `setting[press][run]` (NO: not on that press), and so on.

    `crew[press]` groups the operators by equal hours: (hours common to press and operator, their indices). A
    problem without operators gets one phantom per press. `scarce[setting]` are the tools of a setting of which
    there are fewer copies than presses: only those can ever be waited for. `which[press]` is 0 when one of an
    operator's places is enough for the press, -1 when all must be free. `ways[press][run]` is what a replay asks
    for most, in one tuple: (setting, work, release, after, rack, scarce tools).
    """

    __slots__ = (
        "after", "changeover", "cool", "copies", "crew", "due", "mount", "peel", "peelers", "places",
        "presses_of", "problem", "rack", "release", "scarce", "setting", "ways", "weight", "which", "work",
    )  # fmt: skip

    def __init__(self, problem: Problem) -> None:
        runs, presses = problem.runs, problem.presses
        self.problem = problem
        self.release = [run.release for run in runs]
        self.due = [run.due for run in runs]
        self.weight = [run.weight for run in runs]
        self.after = [run.after for run in runs]
        self.cool = [run.cool for run in runs]
        self.peel = [run.peel for run in runs]
        self.rack = [run.rack for run in runs]
        self.setting = [[NO] * len(runs) for _ in presses]
        self.work = [[NO] * len(runs) for _ in presses]
        for index, run in enumerate(runs):
            for option in run.options:
                self.setting[option.press][index] = option.setting
                self.work[option.press][index] = option.work
        self.presses_of = [tuple(sorted({option.press for option in run.options})) for run in runs]
        self.changeover = [press.changeover for press in presses]
        self.which = [0 if press.opens_itself else -1 for press in presses]
        self.copies = [tool.copies for tool in problem.tools]
        self.mount = [tool.mount for tool in problem.tools]
        settings = max((len(press.changeover) for press in presses), default=0)
        held = problem.tools_of or ((),) * settings
        self.scarce = [tuple(tool for tool in tools if self.copies[tool] < len(presses)) for tools in held]
        self.ways = [
            [
                (setting, work, run.release, run.after, run.rack, self.scarce[setting])
                for run, setting, work in zip(runs, self.setting[press], self.work[press], strict=True)
            ]
            for press in range(len(presses))
        ]
        self.places = [operator.places for operator in problem.operators]
        if problem.operators:
            self.crew: list[Crew] = [
                _by_hours([common(press.calendar, each.calendar) for each in problem.operators])
                for press in presses
            ]
        else:
            self.places = [1] * len(presses)
            self.crew = [((Hours(press.calendar), (index,)),) for index, press in enumerate(presses)]
        self.peelers = _by_hours([operator.calendar for operator in problem.operators])
        self._check()

    def _check(self) -> None:
        """Raise ValueError, naming what is wrong, where a replay would not end or not be possible."""
        problem = self.problem
        for index, run in enumerate(problem.runs):
            if not run.options:
                raise ValueError(f"run {index} can be done on no press")
            if run.rack > problem.rack:
                raise ValueError(f"run {index} needs {run.rack} rack slots, there are {problem.rack}")
            if run.peel and not problem.operators:
                raise ValueError(f"run {index} is to be peeled, and there is no operator")
        for tool in {tool for tools in problem.tools_of for tool in tools}:
            if self.copies[tool] < 1:
                raise ValueError(f"tool {tool} is used and there is no copy of it")
        for press, crew in enumerate(self.crew):
            if not crew:
                raise ValueError(f"no operator is ever there when press {press} may work")
        if ends_too_early(problem):
            raise ValueError("a calendar ends before everything could be pressed one after the other")

    def hours(self, press: int, operator: int) -> Hours:
        """The hours that the press and the operator have in common."""
        return next(hours for hours, members in self.crew[press] if operator in members)


def in_sequence(problem: Problem) -> list[int]:
    """All runs, each after those that it waits for. Raises graphlib.CycleError, a ValueError, for a circle."""
    return list(TopologicalSorter({index: run.after for index, run in enumerate(problem.runs)}).static_order())


def ends_too_early(problem: Problem) -> bool:
    """True when some press and operator could not do everything alone, one after the other, by their calendar.

    No schedule waits longer than that, so replays never run beyond a calendar that is long enough.
    """
    latest = max((run.release for run in problem.runs), default=0)
    tables = (press.changeover for press in problem.presses if press.changeover)
    change = max((max(map(max, table)) for table in tables), default=0)
    change += max((sum(problem.tools[tool].mount for tool in held) for held in problem.tools_of), default=0)
    longest = sum(
        max(option.work for option in run.options) + change + run.cool + run.peel for run in problem.runs
    )
    present = [operator.calendar for operator in problem.operators]
    for press in problem.presses:
        for calendar in [common(press.calendar, each) for each in present] or [press.calendar]:
            hours = Hours(calendar)
            if hours.opens and hours.worked_at_close[-1] - hours.until(latest) < longest:
                return True
    return False


def _by_hours(calendars: list[tuple[Span, ...]]) -> Crew:
    """Indices of equal calendars together; who never works is left out."""
    groups: dict[tuple[Span, ...], list[int]] = {}
    for index, calendar in enumerate(calendars):
        if calendar:
            groups.setdefault(calendar, []).append(index)
    return tuple((Hours(calendar), tuple(members)) for calendar, members in groups.items())
