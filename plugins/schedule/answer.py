"""The scheduler's answer in the trade's words: runs with people and changes, what is late and why."""

from attrs import evolve

from pipeline.display import Display
from pipeline.model.order import Order
from pipeline.model.schedule import PressRun, PressSchedule, RunState, SoFar
from pipeline.shop import Shop
from plugins.schedule.bound import least_tardiness
from plugins.schedule.late import late_orders
from plugins.schedule.model import Placed, Problem, Result
from plugins.schedule.settings import changes_in_words
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
        before, last = week.problem.presses[press].setting, None
        on_it = (placed for placed in result.placed if placed.press == press)
        for placed in sorted(on_it, key=lambda placed: (placed.setup, placed.run)):
            after = next(o.setting for o in week.problem.runs[placed.run].options if o.press == press)
            night = last is None or week.clock.moment(last).date() < week.clock.moment(placed.setup).date()
            run = _run(week, shop, placed, before, after, cold=night)
            if run.task in begun:
                run = evolve(run, state=RunState.FINISHED if begun[run.task] else RunState.BEGUN)
            runs.append(((placed.setup, placed.run), run))
            before, last = after, placed.end
    late, tried = late_orders(week, result, orders, shop)
    return PressSchedule(
        start=week.clock.start,
        as_of=week.clock.moment(week.now) if so_far else None,
        runs=tuple(run for _, run in sorted(runs, key=lambda pair: pair[0])),
        late=late,
        tried=tried,
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


def _run(week: Week, shop: Shop, placed: Placed, before: int, after: int, *, cold: bool) -> PressRun:
    press, task, moment = week.presses[placed.press], week.tasks[placed.run], week.clock.moment
    setting, run = week.settings[after], week.problem.runs[placed.run]
    left = week.settings[before]
    changes = changes_in_words(
        press,
        evolve(left, temperature=None) if cold else left,
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
