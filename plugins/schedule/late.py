"""Orders that are late, what they wait for, and what would help: tried, not guessed."""

from attrs import evolve

from pipeline.model.order import Blanks, Order
from pipeline.model.press import PressTask
from pipeline.model.schedule import LateOrder
from pipeline.shop import Shop
from plugins.schedule.decoder import decode
from plugins.schedule.helps import helps
from plugins.schedule.model import Lists, Problem, Result
from plugins.schedule.tables import Tables
from plugins.schedule.week import Week


def late_orders(
    week: Week, result: Result, orders: tuple[Order, ...], shop: Shop
) -> tuple[tuple[LateOrder, ...], int]:
    """Orders that are not ready in time, in the order of the jobs; and how many changes were tried for them."""
    late = [placed.run for placed in result.placed if placed.done > week.problem.runs[placed.run].due]
    reasons = _reasons(week, result.lists, late)
    done = {placed.run: placed.done for placed in result.placed}
    jobs = dict.fromkeys(week.tasks[run].ref.job for run in late)
    own = {job: tuple(run for run, task in enumerate(week.tasks) if task.ref.job == job) for job in jobs}
    help_of, tried = helps(week, result, shop, own)
    found: list[LateOrder] = []
    for order in orders:
        if order.job not in own:
            continue
        last = max(own[order.job], key=lambda run: (done[run], run))
        reason = reasons.get(last, "press")
        found.append(
            LateOrder(
                job=order.job,
                due=week.tasks[last].due,
                ready=week.clock.moment(done[last]),
                waits_for=_goods(week.tasks[last], order, shop) if reason == "goods" else reason,
                helps=help_of.get(order.job, ()),
            )
        )
    return tuple(found), tried


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
