"""What the floor has done of a week -> fixed runs, the runs that come next, and the lists that it works by."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from attrs import evolve, frozen

from pipeline.model.schedule import Begun, PressRun, SoFar
from pipeline.shop import Shop
from plugins.schedule.hours import Hours, common
from plugins.schedule.model import Lists, Placed, Run
from plugins.schedule.platens import with_platen
from plugins.schedule.week import Week, rack_of


@frozen(kw_only=True)
class Standing:
    """A week with what stands of it, the lists of before, and when each of their runs was to be done."""

    week: Week
    lists: Lists
    done: dict[int, int]


def standing(week: Week, shop: Shop, so_far: SoFar) -> Standing:
    """The week from its `now` on, with what has begun fixed and what comes next frozen.

    A press goes on from what was pressed on it last. What has left the press and is not peeled yet is peeled from
    now on. Frozen is what was to begin within the time that the shop's options give, if its goods come as planned.
    """
    index = {task.id: run for run, task in enumerate(week.tasks)}
    week = _on_planned_platens(week, so_far, index)
    fixed = _fixed(week, shop, so_far, index)
    runs = list(week.problem.runs)
    for placed in fixed:
        run = runs[placed.run]
        if run.peel and placed.peeler is None:
            runs[placed.run] = evolve(run, cool=max(run.cool, week.now - placed.end))
    begun = {placed.run for placed in fixed}
    left = sorted(
        (each for each in so_far.runs if each.task in index and index[each.task] not in begun),
        key=lambda each: (each.change_start, each.task),
    )
    lists = _lists(week, left, index)
    horizon = week.now + shop.options.schedule.keep_minutes * 60
    soon = [
        index[each.task]
        for each in left
        if week.clock.seconds(each.change_start) < horizon
        and runs[index[each.task]].release <= max(week.now, week.clock.seconds(each.start))
    ]
    problem = evolve(week.problem, runs=tuple(runs), fixed=fixed, frozen=_frozen(runs, lists, begun, soon))
    done = {index[each.task]: week.clock.seconds(each.done) for each in left}
    return Standing(week=evolve(week, problem=problem), lists=lists, done=done)


def _on_planned_platens(week: Week, so_far: SoFar, index: dict[str, int]) -> Week:
    """The week with each run, on the press that it was planned for, on the platen that was planned with it."""
    presses = {press.name: at for at, press in enumerate(week.presses)}
    for each in so_far.runs:
        run, press = index.get(each.task), presses.get(each.press)
        if run is not None and press is not None and each.press in week.tasks[run].presses:
            week = with_platen(week, run, press, each.platen)
    return week


def _fixed(week: Week, shop: Shop, so_far: SoFar, index: dict[str, int]) -> tuple[Placed, ...]:
    """The begun runs in the order of their beginning, each press in the setting of the run before."""
    presses = {press.name: at for at, press in enumerate(shop.presses)}
    operators = {operator.name: at for at, operator in enumerate(shop.operators)}
    planned = {run.task: run for run in so_far.runs}
    turn = _turns((run.press, run.change_start, run.task) for run in so_far.runs)
    happened = _turns((each.press, each.started, each.task) for each in so_far.begun)
    setting = [press.setting for press in week.problem.presses]
    found = []
    for each in sorted(so_far.begun, key=lambda each: (each.started, each.task)):
        run, press, operator = index[each.task], presses[each.press], operators[each.operator]
        after = next(o.setting for o in week.problem.runs[run].options if o.press == press)
        change = week.problem.presses[press].changeover[setting[press]][after]
        setting[press] = after
        hours = common(week.problem.presses[press].calendar, week.problem.operators[operator].calendar)
        if happened[each.task] == turn.get(each.task):
            # As it was planned, platens fetched from other presses included.
            before = planned[each.task]
            given = (week.clock.seconds(before.change_start), week.clock.seconds(before.start))
            change = sum(end - begin for begin, end in common(hours, (given,)))
        fact = Placed(
            run=run, press=press, setup=week.clock.seconds(each.started), start=0, end=0, peel=0, done=0,
            operator=operator, peeler=operators.get(each.peeler, operator) if each.peeled else None,
            changeover=change,
        )  # fmt: skip
        pace = rack_of(week.tasks[run], shop.options.schedule.rack_slots).pace
        found.append(_timed(week, each, fact, Hours(hours), pace))
    return tuple(found)


def _turns(runs: Iterable[tuple[str, datetime, str]]) -> dict[str, tuple[str, str]]:
    """For each task its press, and the task before it there ("" for the first)."""
    last: dict[str, str] = {}
    turns = {}
    for press, _, task in sorted(runs):
        turns[task] = press, last.get(press, "")
        last[press] = task
    return turns


def _timed(week: Week, begun: Begun, fact: Placed, hours: Hours, pace: int) -> Placed:
    """With the times that were reported and, by the standard times, those that are still to come."""
    run, task = week.problem.runs[fact.run], week.tasks[fact.run]
    work = next(option.work for option in run.options if option.press == fact.press)
    as_planned = max(week.now, hours.span(fact.setup, fact.changeover + work)[1])
    if begun.finished is not None:
        end = week.clock.seconds(begun.finished)
    elif begun.pressed:
        end = hours.span(week.now, (task.quantity - begun.pressed) * pace)[1]
    elif begun.pressed == 0:
        # Still being set up, for all we know.
        end = max(as_planned, hours.span(week.now, task.quantity * pace)[1])
    else:
        end = as_planned
    cooled = end + run.cool
    if not run.peel:
        peel = done = cooled
    elif begun.peeled is not None:
        done = week.clock.seconds(begun.peeled)
        peel = min(max(cooled, done - run.peel), done)
    else:
        peel = max(cooled, week.now)
        done = peel + run.peel
    begins = hours.span(fact.setup, fact.changeover)[1]
    start = hours.span(begins, work)[0] if begins < end else end
    return evolve(fact, start=min(start, end), end=end, peel=peel, done=done)


def _lists(week: Week, left: Iterable[PressRun], index: dict[str, int]) -> Lists:
    """The runs that are left, as they were planned; a run that its press can no longer do is in no list."""
    presses = {press.name: at for at, press in enumerate(week.presses)}
    lists: list[list[int]] = [[] for _ in week.presses]
    for each in left:
        run, press = index[each.task], presses.get(each.press)
        if press is not None and any(option.press == press for option in week.problem.runs[run].options):
            lists[press].append(run)
    return tuple(tuple(runs) for runs in lists)


def _frozen(runs: list[Run], lists: Lists, begun: set[int], soon: list[int]) -> Lists:
    """The beginning of each list: what was to begin soon, in turn, and waits for nothing that could be moved."""
    frozen: list[list[int]] = [[] for _ in lists]
    firm = set(begun)
    for run in soon:
        press = next((at for at, each in enumerate(lists) if run in each), None)
        if press is None or not firm.issuperset(runs[run].after):
            continue
        if lists[press][len(frozen[press])] == run:
            frozen[press].append(run)
            firm.add(run)
    return tuple(tuple(each) for each in frozen)
