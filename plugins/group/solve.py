"""The whole of grouping, on plain numbers: a problem, a stop rule and a seed give a result."""

from random import Random

from plugins.group.bound import lower_bound
from plugins.group.cuts import cutting_sequence
from plugins.group.plan import Board, Plan, Run
from plugins.group.problem import Layout, Problem, Result
from plugins.group.search import improve
from plugins.group.stop import StopRule

BOUND_ROUNDS = 200
"""Most rounds of column generation for the lower bound."""


def solve(problem: Problem, stop: StopRule, seed: int) -> Result:
    """Return the best plan found for `problem`; the same arguments give the same result everywhere.

    Raises Unplaceable if a print fits on no sheet that it may use.
    """
    board = Board(problem)
    bound = lower_bound(board, rounds=BOUND_ROUNDS)
    plan, iterations = improve(board, bound, stop, Random(seed))
    return report(plan, bound.cost, iterations)


def report(plan: Plan, bound: int, iterations: int) -> Result:
    """Return `plan` as a result."""
    board = plan.board
    used = sorted(set(plan.medium))
    return Result(
        layouts=tuple(sorted((_layout(board, run) for run in plan.runs), key=_order)),
        media=tuple(plan.medium),
        surplus=tuple(have - need for have, need in zip(plan.cover, board.need, strict=True)),
        purchase=sum(run.cost for run in plan.runs),
        order_charges=sum(board.problem.media[m].order_charge for m in used),
        extras=sum(p.extra(m) for p, m in zip(board.problem.prints, plan.medium, strict=True)),
        bound=bound,
        iterations=iterations,
    )


def _layout(board: Board, run: Run) -> Layout:
    stock = board.stocks[run.stock]
    placements = stock.packer.placements(run.packing)
    sheet = stock.packer.sheet
    return Layout(
        medium=stock.medium,
        sheet=stock.sheet,
        placements=placements,
        quantity=run.quantity,
        price=stock.table.price(run.quantity),
        cost=run.cost,
        cuts=cutting_sequence(placements, sheet.width, sheet.height),
    )


def _order(layout: Layout) -> tuple[object, ...]:
    return (layout.medium, layout.sheet, -layout.quantity, layout.placements)
