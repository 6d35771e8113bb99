"""Fill as few sheets as possible where each costs the same, so that every copy can be laid by itself.

One sheet is taken away. Until its prints lie on the others, prints change places between sheets: one goes to
another sheet for none, one or two that come back. A change is judged by the sum of the squares of all fillings:
what fills the fuller of two sheets further gathers room where a larger print may find it. Worse changes are gone
on from while it is warm, and it is warmed again and again (simulated annealing).
"""

from itertools import count
from math import ceil
from random import Random

from plugins.group.packer import Packer, Packing
from plugins.group.plan import Board, Plan, make_run
from plugins.group.settle import merge
from plugins.group.stop import StopRule

MOST = 200
"""Most copies: of more, layouts to be bought many times are found quicker than sheets one by one."""
HOT, COLD = 0.02, 0.0005
"""By how much the sum of squares (of fillings from 0 to 1) may become worse, when it is warm and when it is cold."""
CYCLE = 20
"""Iterations from hot to cold."""
WORK = 500
"""Changes tried and prints laid in one iteration, about."""


def can_gather(board: Board) -> bool:
    """Return whether all sheets cost the same, and there are few enough copies to lay each by itself."""
    stock = board.stocks[0]
    return (
        len(board.stocks) == len(set(board.company)) == 1
        and not stock.roll
        and stock.table.best(1) == (1, min(price for _, price in stock.packer.sheet.prices))
        and board.problem.most_layouts is None
        and sum(board.need) <= MOST
    )


def gather(board: Board, stop: StopRule, rng: Random) -> tuple[Plan, int]:
    """Return the plan of fewest sheets found until `stop` says so or fewer cannot be, and the iterations."""
    packer = board.stocks[0].packer
    # In sheets, since the price has more in it: what is paid once, whatever is bought.
    fewest = ceil(sum(need * packer.weights[i] for i, need in enumerate(board.need)) * (1 - 1e-9))
    sheets = _first_fit(board, packer)
    plan = _plan(board, sheets)
    done = 0
    while len(sheets) > fewest:
        emptiest = max(range(len(sheets)), key=lambda k: sheets[k].room)
        others = [list(sheet.key) for k, sheet in enumerate(sheets) if k != emptiest]
        out = list(sheets[emptiest].key)
        for n in count():
            if not out:
                break
            if stop(done, plan.cost()) >= 1:
                return plan, done
            packer.swap(others, out, HOT * (COLD / HOT) ** (n % CYCLE / CYCLE), WORK, rng)
            done += 1
        sheets = [packer.laid(tuple(key)) for key in others if key]
        plan = _plan(board, sheets)
    return plan, done


def _first_fit(board: Board, packer: Packer) -> list[Packing]:
    """Lay the largest first, each on the first sheet that has room for it."""
    sheets: list[Packing] = []
    copies = [i for i, need in enumerate(board.need) for _ in range(need)]
    for i in sorted(copies, key=lambda i: (-packer.areas[i], i)):
        for k, sheet in enumerate(sheets):
            more = packer.extend(sheet, i, thorough=False)
            if more is not None:
                sheets[k] = more
                break
        else:
            sheets.append(packer.extend(packer.empty, i) or packer.empty)
    return sheets


def _plan(board: Board, sheets: list[Packing]) -> Plan:
    plan = Plan(board, [make_run(board, 0, sheet, 1) for sheet in sheets])
    merge(plan)
    return plan
