"""Schedule: orders, sheets -> the work to press -> who presses what, on which press, when.

This page is the stage's hook implementations and nothing else. `runs` says what has to be pressed; `week` puts
that as a problem in whole numbers, and `answer` tells the result in the trade's words. The rest is the scheduler,
which knows neither orders nor files; `solve` is where to begin reading.
"""

from datetime import date, datetime

from pipeline.hookspecs import hookimpl
from pipeline.model.order import Order
from pipeline.model.press import PressTaskList
from pipeline.model.prints import PrintList
from pipeline.model.schedule import PressSchedule, SoFar
from pipeline.model.sheet import SheetPlan
from pipeline.shop import Shop
from plugins.schedule.answer import schedule_of
from plugins.schedule.runs import press_tasks
from plugins.schedule.week import week_of


@hookimpl(trylast=True)
def list_press_runs(
    orders: tuple[Order, ...], shop: Shop, prints: PrintList, sheets: SheetPlan, date: date, start: datetime
) -> PressTaskList:
    """One task per print of an order line and transfer, with its times, its presses and its days."""
    return press_tasks(orders, shop, prints, sheets, date, start)


@hookimpl(trylast=True)
def schedule_presses(
    orders: tuple[Order, ...], shop: Shop, tasks: PressTaskList, start: datetime, so_far: SoFar | None
) -> PressSchedule:
    """Search for the schedule with the least weighted lateness, then the least change-over."""
    from plugins.schedule.platens import with_best_platens
    from plugins.schedule.replan import replan
    from plugins.schedule.so_far import standing
    from plugins.schedule.solve import solve
    from plugins.schedule.stop import iterations

    options = shop.options.schedule
    stop = iterations(options.iterations)
    if so_far is None:
        week = week_of(shop, tasks, zero=start, start=start)
        week, result = with_best_platens(week, solve(week.problem, stop, options.seed))
        return schedule_of(week, result, orders, shop)
    now = standing(week_of(shop, tasks, zero=so_far.start, start=start), shop, so_far)
    result = replan(now.week.problem, now.lists, now.done, stop, options.seed)
    return schedule_of(now.week, result, orders, shop, so_far)
