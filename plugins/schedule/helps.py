"""What would help an order that is late: each change of the week is solved, from the schedule that is there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta

from attrs import evolve, field, frozen

from pipeline.model.schedule import Help, HelpKind
from pipeline.model.workdays import Workdays
from pipeline.shop import Shop
from plugins.schedule.decoder import decode
from plugins.schedule.model import Lists, Problem, Result, Span, Tool
from plugins.schedule.search import improve
from plugins.schedule.stop import iterations
from plugins.schedule.tables import Tables
from plugins.schedule.week import Week

HOUR = 3600
_DAYS = 5
"""Working days on which an hour of overtime is tried: those from now until the last late order is ready, at most."""
_SLACK = 60
"""Seconds that make no difference to anybody."""
_MOST = 3
"""Changes that are told for one order."""


@frozen(kw_only=True)
class _Change:
    kind: HelpKind
    name: str = ""
    day: date | None = None
    problem: Problem = field(repr=False)
    #: Lists to begin with, where there is one press more.
    lists: Lists


def helps(
    week: Week, result: Result, shop: Shop, late: dict[str, tuple[int, ...]]
) -> tuple[dict[str, tuple[Help, ...]], int]:
    """For each late order (its runs by job) what makes it ready earlier; and how much was tried.

    Told first is what makes it in time and, among these and among the rest, what delays the fewest others.
    """
    options = shop.options.schedule
    if not late or not options.help_iterations:
        return {}, 0
    now_ready = _ready(late, {placed.run: placed.done for placed in result.placed})
    due = {job: max(week.problem.runs[run].due for run in runs) for job, runs in late.items()}
    now_late = _late_by(week, {placed.run: placed.done for placed in result.placed})
    found: dict[str, list[tuple[bool, int, int, int, Help]]] = {job: [] for job in late}
    changes = tuple(_changes(week, result, shop, late, max(now_ready.values())))
    stop = iterations(options.help_iterations // max(1, len(changes)))
    for number, change in enumerate(changes):
        tables = Tables(change.problem)
        floor = decode(tables, change.lists)
        if floor is None:
            continue
        floor, _ = improve(tables, floor, stop, options.seed)
        then_late = _late_by(week, dict(enumerate(floor.done)))
        delays = tuple(job for job, late_by in then_late.items() if late_by > now_late[job] + _SLACK)
        for job, ready in _ready(late, dict(enumerate(floor.done))).items():
            if ready < now_ready[job] - _SLACK:
                help_ = Help(
                    kind=change.kind,
                    name=change.name,
                    day=change.day,
                    ready=week.clock.moment(ready),
                    in_time=ready <= due[job],
                    delays=delays,
                )
                sooner = 0 if help_.in_time else ready
                found[job].append((not help_.in_time, len(delays), sooner, number, help_))
    best = {job: sorted(each, key=lambda each: each[:4])[:_MOST] for job, each in found.items()}
    return {job: tuple(help_ for *_, help_ in each) for job, each in best.items()}, len(changes)


def _ready(late: dict[str, tuple[int, ...]], done: dict[int, int]) -> dict[str, int]:
    return {job: max(done[run] for run in runs) for job, runs in late.items()}


def _late_by(week: Week, done: dict[int, int]) -> dict[str, int]:
    """By how many seconds each order is late."""
    found: dict[str, int] = {}
    for run, task in enumerate(week.tasks):
        late_by = max(0, done[run] - week.problem.runs[run].due)
        found[task.ref.job] = max(late_by, found.get(task.ref.job, 0))
    return found


def _changes(
    week: Week, result: Result, shop: Shop, late: dict[str, tuple[int, ...]], last: int
) -> Iterator[_Change]:
    """Cheap ones first: of two that help alike the first is told first."""
    runs = tuple(run for own in late.values() for run in own)
    yield from _overtime(week, result.lists, last)
    yield from _goods_earlier(week, result.lists, shop, runs)
    yield from _tools(week, result.lists)
    yield from _operator(week, result.lists)
    yield from _presses(week, result.lists, runs)


def _overtime(week: Week, lists: Lists, last: int) -> Iterator[_Change]:
    """Everybody stays an hour longer on one day."""
    problem = week.problem
    closing: set[date] = set()
    for press in problem.presses:
        closing |= {week.clock.moment(end).date() for _, end in press.calendar if week.now < end <= last}
    for day in sorted(closing)[:_DAYS]:
        midnight = [
            week.clock.seconds(datetime.combine(day + timedelta(days=n), time(), tzinfo=week.clock.zone))
            for n in (0, 1)
        ]
        presses = tuple(evolve(p, calendar=_longer(p.calendar, *midnight)) for p in problem.presses)
        operators = tuple(evolve(o, calendar=_longer(o.calendar, *midnight)) for o in problem.operators)
        longer = evolve(problem, presses=presses, operators=operators)
        yield _Change(kind=HelpKind.OVERTIME, day=day, problem=longer, lists=lists)


def _longer(calendar: Sequence[Span], begin: int, end: int) -> tuple[Span, ...]:
    """With an hour more after the last stretch that closes within (begin, end], as far as there is room."""
    closing = [index for index, (_, closes) in enumerate(calendar) if begin < closes <= end]
    if not closing:
        return tuple(calendar)
    at = closing[-1]
    opens, closes = calendar[at]
    limit = calendar[at + 1][0] if at + 1 < len(calendar) else closes + HOUR
    return (*calendar[:at], (opens, min(closes + HOUR, limit)), *calendar[at + 1 :])


def _goods_earlier(week: Week, lists: Lists, shop: Shop, late: tuple[int, ...]) -> Iterator[_Change]:
    """What the late orders wait for comes in a working day earlier."""
    workdays = Workdays.of(shop.calendar)

    def earlier(release: int) -> int:
        day = workdays.before(week.clock.moment(release).date(), 1)
        return max(week.now, week.clock.seconds(datetime.combine(day, time(), tzinfo=week.clock.zone)))

    runs = tuple(
        evolve(run, release=earlier(run.release)) if index in late and run.release > week.now else run
        for index, run in enumerate(week.problem.runs)
    )
    if runs != week.problem.runs:
        yield _Change(kind=HelpKind.GOODS, problem=evolve(week.problem, runs=runs), lists=lists)


def _tools(week: Week, lists: Lists) -> Iterator[_Change]:
    """One more of a platen or pad that is scarce and used."""
    problem = week.problem
    used = {option.setting for runs in lists for run in runs for option in problem.runs[run].options}
    for tool, given in enumerate(problem.tools):
        if given.copies < len(problem.presses) and any(tool in problem.tools_of[setting] for setting in used):
            kind, _, name = week.tools[tool].partition(" ")
            more = evolve(problem, tools=_one_more(problem, (tool,)))
            yield _Change(kind=HelpKind(kind), name=name, problem=more, lists=lists)


def _one_more(problem: Problem, tools: Sequence[int]) -> tuple[Tool, ...]:
    return tuple(
        evolve(tool, copies=tool.copies + 1) if index in tools else tool
        for index, tool in enumerate(problem.tools)
    )


def _operator(week: Week, lists: Lists) -> Iterator[_Change]:
    """One more person, with the hours of whoever works most, for one press."""
    operators = week.problem.operators
    most = max(operators, key=lambda each: sum(end - begin for begin, end in each.calendar))
    more = evolve(week.problem, operators=(*operators, evolve(most, places=1)))
    yield _Change(kind=HelpKind.OPERATOR, problem=more, lists=lists)


def _presses(week: Week, lists: Lists, late: tuple[int, ...]) -> Iterator[_Change]:
    """A second press like one that presses late runs, with the platen that is on it at first."""
    problem, extra = week.problem, len(week.problem.presses)
    for press, given in enumerate(problem.presses):
        if not any(run in lists[press] for run in late):
            continue
        runs = tuple(
            evolve(
                run, options=(*run.options, *(evolve(o, press=extra) for o in run.options if o.press == press))
            )
            for run in problem.runs
        )
        more = evolve(
            problem,
            runs=runs,
            presses=(*problem.presses, given),
            tools=_one_more(problem, problem.tools_of[given.setting]),
            frozen=(*problem.frozen, ()) if problem.frozen else (),
        )
        name = week.presses[press].name
        yield _Change(kind=HelpKind.PRESS, name=name, problem=more, lists=(*lists, ()))
