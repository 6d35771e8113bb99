"""The scheduler's answer in the trade's words: runs with people and changes, what is late and why."""

from attrs import evolve

from pipeline.display import Display
from pipeline.model.order import Blanks, Order
from pipeline.model.press import PressTask
from pipeline.model.schedule import LateOrder, PressRun, PressSchedule, RunState, SoFar
from pipeline.shop import Shop
from plugins.schedule.bound import least_tardiness
from plugins.schedule.decoder import decode
from plugins.schedule.model import Lists, Placed, Problem, Result
from plugins.schedule.settings import changes_in_words
from plugins.schedule.tables import Tables
from plugins.schedule.use import operator_use, press_use
from plugins.schedule.week import Week


def schedule_of(
    week: Week, result: Result, orders: tuple[Order, ...], shop: Shop, so_far: SoFar | None = None
) -> PressSchedule:
    """The schedule, its runs in order of their start (of equals by task).

    `so_far` where the week was planned again: what has begun is told as it was reported.
    """
    result = evolve(result, placed=_with_facts(week.problem, result.placed))
    begun = {each.task: each.finished for each in so_far.begun} if so_far else {}
    runs: list[tuple[tuple[int, int], PressRun]] = []
    for press in range(len(week.presses)):
        before = week.problem.presses[press].setting
        on_it = (placed for placed in result.placed if placed.press == press)
        for placed in sorted(on_it, key=lambda placed: (placed.setup, placed.run)):
            after = next(o.setting for o in week.problem.runs[placed.run].options if o.press == press)
            run = _run(week, shop, placed, before, after)
            if run.task in begun:
                run = evolve(run, state=RunState.FINISHED if begun[run.task] else RunState.BEGUN)
            runs.append(((placed.setup, placed.run), run))
            before = after
    return PressSchedule(
        start=week.clock.start,
        as_of=week.clock.moment(week.now) if so_far else None,
        runs=tuple(run for _, run in sorted(runs, key=lambda pair: pair[0])),
        late=_late(week, result, orders, shop),
        presses=tuple(press_use(week, press, result.placed) for press in range(len(week.presses))),
        operators=tuple(operator_use(week, shop, at, result.placed) for at in range(len(shop.operators))),
        iterations=result.iterations,
        bound=least_tardiness(week.problem),
    )


def _with_facts(problem: Problem, placed: tuple[Placed, ...]) -> tuple[Placed, ...]:
    """What has begun as it was reported, and when and by whom it is peeled as it was planned now."""
    facts = {fact.run: fact for fact in problem.fixed}
    return tuple(
        evolve(facts[each.run], peel=each.peel, done=each.done, peeler=each.peeler, remounted=each.remounted)
        if each.run in facts
        else each
        for each in placed
    )


def _run(week: Week, shop: Shop, placed: Placed, before: int, after: int) -> PressRun:
    press, task, moment = week.presses[placed.press], week.tasks[placed.run], week.clock.moment
    setting, run = week.settings[after], week.problem.runs[placed.run]
    changes = changes_in_words(
        press,
        week.settings[before],
        setting,
        tuple(week.tools[tool] for tool in placed.remounted),
        Display.of(shop),
    )
    return PressRun(
        task=task.id,
        press=press.name,
        platen=setting.platen,
        pad=setting.pad,
        operator=_name(shop, placed.operator),
        pressure_setting=press.pressure_settings[shop.transfer(task.transfer).recipe.pressure],
        changes=tuple(changes),
        change_start=moment(placed.setup),
        start=moment(placed.start),
        end=moment(placed.end),
        done=moment(placed.done),
        rack_slots=run.rack,
        peel_start=moment(placed.peel) if placed.peeler is not None else None,
        peeler=_name(shop, placed.peeler),
    )


def _name(shop: Shop, operator: int | None) -> str:
    return "" if operator is None else shop.operators[operator].name


def _late(week: Week, result: Result, orders: tuple[Order, ...], shop: Shop) -> tuple[LateOrder, ...]:
    """Orders that are not ready in time, in the order of the jobs, each with what it waits for."""
    late = [placed.run for placed in result.placed if placed.done > week.problem.runs[placed.run].due]
    reasons = _reasons(week, result.lists, late)
    done = {placed.run: placed.done for placed in result.placed}
    found: list[LateOrder] = []
    for order in orders:
        own = [run for run, task in enumerate(week.tasks) if task.ref.job == order.job]
        if not set(own) & set(late):
            continue
        last = max(own, key=lambda run: (done[run], run))
        reason = reasons.get(last, "press")
        found.append(
            LateOrder(
                job=order.job,
                due=week.tasks[last].due,
                ready=week.clock.moment(done[last]),
                waits_for=_goods(week.tasks[last], order, shop) if reason == "goods" else reason,
            )
        )
    return tuple(found)


def _reasons(week: Week, lists: Lists, late: list[int]) -> dict[int, str]:
    """For each late run what would make it punctual, by trying: the first of what `_easier` gives in plenty.

    Each is tried with the same lists. What none of them helps waits for a press.
    """
    problem, reasons = week.problem, dict.fromkeys(late, "press")
    for reason, easier in reversed(_easier(problem, week.now)):
        floor = decode(Tables(easier), lists)
        if floor is None:
            continue
        for run in late:
            if floor.done[run] <= problem.runs[run].due:
                reasons[run] = reason
    return reasons


def _easier(problem: Problem, now: int) -> tuple[tuple[str, Problem], ...]:
    """The problem with one thing after another given in plenty."""
    presses = len(problem.presses)
    always = ((0, max(span[1] for press in problem.presses for span in press.calendar)),)
    return (
        ("goods", evolve(problem, runs=tuple(evolve(run, release=now) for run in problem.runs))),
        ("platen", evolve(problem, tools=tuple(evolve(tool, copies=presses) for tool in problem.tools))),
        ("operator", evolve(problem, operators=problem.operators * (presses + 2))),
        (
            "working hours",
            evolve(
                problem,
                presses=tuple(evolve(press, calendar=always) for press in problem.presses),
                operators=tuple(evolve(each, calendar=always) for each in problem.operators),
            ),
        ),
    )


def _goods(task: PressTask, order: Order, shop: Shop) -> str:
    """Which of the goods comes last: blanks or transfers."""
    line = order.lines[task.ref.line]
    if line.blanks is Blanks.CUSTOMER:
        return "transfers"
    lead = shop.transfer(task.transfer).lead_days
    return "blanks" if shop.garment(line.garment).lead_days > lead else "transfers"
