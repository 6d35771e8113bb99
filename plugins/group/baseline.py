"""The simple way, for comparison: every owner's prints on one layout of their own, nothing shared."""

from collections.abc import Sequence

from plugins.group.build import even_run
from plugins.group.plan import Board, Plan
from plugins.group.problem import Problem, Result
from plugins.group.solve import report


def one_layout_per_owner(problem: Problem, owners: Sequence[object]) -> tuple[Result, ...]:
    """Return a result for each different owner, in the order in which they first appear in `owners`.

    `owners` says whose each print is. The prints of each result are those of its owner, in the same order.
    A second layout is begun only when one copy of each print does not fit on one sheet. Of the media that an
    owner's prints can all use, the cheapest is taken; a print that may not use it goes on the first it may.
    """
    mine = {owner: [i for i, other in enumerate(owners) if other == owner] for owner in dict.fromkeys(owners)}
    return tuple(_simple(problem.only(tuple(prints))) for prints in mine.values())


def _simple(problem: Problem) -> Result:
    board = Board(problem, weighed=False)
    plans = [_on_medium(board, medium) for medium in range(len(problem.media))]
    return report(min(plans, key=lambda plan: plan.cost()), 0, 0)


def _on_medium(board: Board, medium: int) -> Plan:
    """Return the simple plan that uses `medium` wherever a print may use it."""
    groups: dict[tuple[int, int], list[int]] = {}
    for i, usable in enumerate(board.stocks_of):
        here = [k for k in usable if board.stocks[k].medium == medium] or usable
        groups.setdefault((here[0], board.company[i]), []).append(i)
    plan = Plan(board)
    rest = dict(enumerate(board.need))
    for (stock, _), prints in sorted(groups.items()):
        waiting = prints
        while waiting:
            run = even_run(board, stock, waiting, rest)
            plan.add(run)
            laid = {i for i, _ in run.counts}
            waiting = [i for i in waiting if i not in laid]
    return plan
