"""The simple way, for comparison: every owner's prints on one layout of their own, nothing shared."""

from collections.abc import Sequence

from plugins.group.packer import Packing
from plugins.group.plan import Board, Plan, Run, make_run
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
    board = Board(problem)
    plans = [_on_medium(board, medium) for medium in range(len(problem.media))]
    return report(min(plans, key=lambda plan: plan.cost()), 0, 0)


def _on_medium(board: Board, medium: int) -> Plan:
    """Return the simple plan that uses `medium` wherever a print may use it."""
    groups: dict[tuple[int, int], list[int]] = {}
    for i, usable in enumerate(board.stocks_of):
        here = [k for k in usable if board.stocks[k].medium == medium] or usable
        groups.setdefault((here[0], board.company[i]), []).append(i)
    plan = Plan(board)
    for (stock, _), prints in sorted(groups.items()):
        areas = board.stocks[stock].packer.areas
        waiting = sorted(prints, key=lambda i: (-areas[i], i))
        while waiting:
            run, waiting = _fill_one(board, stock, waiting)
            plan.add(run)
    return plan


def _fill_one(board: Board, stock: int, waiting: list[int]) -> tuple[Run, list[int]]:
    """Lay one copy of as many prints as fit, then copies of whichever print needs most sheets."""
    packer = board.stocks[stock].packer
    packing, left = packer.empty, []
    for i in waiting:
        more = packer.extend(packing, i)
        if more is None:
            left.append(i)
        else:
            packing = more
    best = make_run(board, stock, packing, _sheets_needed(board, packing)[0])
    while True:
        more = packer.extend(packing, _sheets_needed(board, packing)[1])
        if more is None:
            return best, left
        packing = more
        run = make_run(board, stock, packing, _sheets_needed(board, packing)[0])
        if run.cost < best.cost:
            best = run


def _sheets_needed(board: Board, packing: Packing) -> tuple[int, int]:
    """Return how many sheets cover every print on this one, and the print that needs that many."""
    counts: dict[int, int] = {}
    for _, i in packing.spots:
        counts[i] = counts.get(i, 0) + 1
    return max((-(-board.need[i] // count), i) for i, count in counts.items())
