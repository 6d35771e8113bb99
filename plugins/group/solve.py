"""The whole of grouping, on plain numbers: a problem, a stop rule and a seed give a result."""

from plugins.group.bound import lower_bound, plain_bound
from plugins.group.build import Builder
from plugins.group.chance import Chance
from plugins.group.cuts import cutting_sequence
from plugins.group.plan import Board, Plan, Run, make_run
from plugins.group.problem import Layout, Problem, Result
from plugins.group.search import improve
from plugins.group.stop import StopRule

BOUND_ROUNDS = (150, 300)
"""Rounds of column generation for the lower bound: of many prints, and of few, where each is quick."""
BOUND_WORK = 6000
"""Rounds times prints, in between."""


def solve(
    problem: Problem, stop: StopRule, seed: int, start: tuple[Layout, ...] = (), prove: bool = True
) -> Result:
    """Return the best plan found for `problem`; the same arguments give the same result everywhere.

    `start` may hold the layouts of a plan that is known already: the result is then no dearer than that one.
    `prove` may be set to False where no good lower bound is wanted, which saves time: the bound is then what areas
    tell. The search ends when it reaches what shares of sheets prove at once (then nothing more need be proven).
    Raises Unplaceable if a print fits on no sheet that it may use.
    """
    board = Board(problem, weighed=prove)
    bound = plain_bound(board)
    rng = Chance(seed)
    known = recall(board, start, Builder(board, rng)) if start else None
    plan, iterations = improve(board, bound, stop, rng, known)
    if prove and plan.cost() > bound:
        least, most = BOUND_ROUNDS
        rounds = min(most, max(least, BOUND_WORK // len(problem.prints)))
        bound = max(bound, lower_bound(board, rounds, plan.cost()))
    return report(plan, bound, iterations)


def recall(board: Board, layouts: tuple[Layout, ...], builder: Builder) -> Plan:
    """Return the plan that `layouts` make up; what they leave short is added.

    A print that stands on several media (shared by orders that were planned apart) stays on one of them, and its
    places on the others are left empty. Each of the media is tried for all such prints, and the cheapest kept.
    """
    found: dict[int, set[int]] = {}
    for layout in layouts:
        for placed in layout.placements:
            found.setdefault(placed.print, set()).add(layout.medium)
    torn = {i: media for i, media in found.items() if len(media) > 1}
    plans = []
    for wanted in sorted(set().union(*torn.values())) if torn else [-1]:
        kept = {i: wanted if wanted in media else min(media) for i, media in torn.items()}
        plan = Plan(board)
        for layout in layouts:
            staying = tuple(p for p in layout.placements if kept.get(p.print, layout.medium) == layout.medium)
            if staying:
                stock = board.stock_of[layout.medium, layout.sheet]
                packing = board.stocks[stock].packer.recall(staying)
                plan.add(make_run(board, stock, packing, layout.quantity))
        if torn or plan.short:
            builder.complete(plan)
        plans.append(plan)
    return min(plans, key=lambda plan: plan.cost())


def report(plan: Plan, bound: int, iterations: int) -> Result:
    """Return `plan` as a result."""
    board = plan.board
    used = sorted(set(plan.medium))
    return Result(
        layouts=tuple(sorted((_layout(board, run) for run in plan.runs.values()), key=_order)),
        media=tuple(plan.medium),
        surplus=tuple(have - need for have, need in zip(plan.cover, board.need, strict=True)),
        purchase=sum(run.cost for run in plan.runs.values()),
        order_charges=sum(board.problem.media[m].order_charge for m in used),
        extras=sum(p.extra_on(m) for p, m in zip(board.problem.prints, plan.medium, strict=True)),
        bound=bound,
        iterations=iterations,
    )


def _layout(board: Board, run: Run) -> Layout:
    stock = board.stocks[run.stock]
    placements = stock.packer.placements(run.packing)
    return Layout(
        medium=stock.medium,
        sheet=stock.sheet,
        height=stock.height,
        placements=placements,
        quantity=run.quantity,
        price=stock.table.price(run.quantity),
        cost=run.cost,
        cuts=cutting_sequence(placements, stock.packer.sheet.width, stock.height),
    )


def _order(layout: Layout) -> tuple[object, ...]:
    return (layout.medium, layout.sheet, -layout.quantity, layout.placements)
