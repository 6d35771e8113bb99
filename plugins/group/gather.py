"""Fill as few sheets as possible where each costs the same, so that every copy can be laid by itself.

One sheet is taken away, and the prints are moved until all lie on the others, in one of two ways. Where there are few
on a sheet, they change places between sheets (swaps.py), which is judged by the sum of the squares of all fillings:
what fills the fuller of two sheets further gathers room where a larger print may find it. Worse changes are gone on
from while it is warm, and it is warmed again and again (simulated annealing). Where there are many, sheets are filled
one after the other from a queue (gaps.py), in which two prints change places unless less can be laid then.
"""

from math import ceil
from random import Random

from plugins.group.inner import change_places, fill_gaps
from plugins.group.packer import FEW, FEW_TRIES, Packer, Packing
from plugins.group.plan import Board, Plan, make_run
from plugins.group.rooms import Spot
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
        many = packer.carving and sum(board.need) > FEW * len(sheets)
        emptying = (_Queue if many else _Swaps)(packer, sheets, rng)
        fewer = None
        while fewer is None:
            if stop(done, plan.cost()) >= 1:
                return plan, done
            fewer = emptying.go_on()
            done += 1
        sheets, plan = fewer, _plan(board, fewer)
    return plan, done


class _Swaps:
    """All sheets but the emptiest, the prints of which are out."""

    def __init__(self, packer: Packer, sheets: list[Packing], rng: Random) -> None:
        emptiest = max(range(len(sheets)), key=lambda k: sheets[k].room)
        self.sheets = [list(sheet.key) for k, sheet in enumerate(sheets) if k != emptiest]
        self.out = list(sheets[emptiest].key)
        self.known = {sheet.key: sheet for sheet in sheets}
        self.packer = packer
        self.rng = rng
        self.done = 0

    def go_on(self) -> list[Packing] | None:
        """Let prints change places; return the sheets if none is out any more."""
        packer = self.packer
        warmth = HOT * (COLD / HOT) ** (self.done % CYCLE / CYCLE)
        size, seed = (packer.width, packer.height), self.rng.getrandbits(64)
        tries = packer.tries[:FEW_TRIES] if packer.carving else packer.tries
        change_places(
            packer.carving, size, packer.ways, packer.ranks, tries, self.sheets, self.out, warmth, WORK, seed
        )
        self.done += 1
        if self.out:
            return None
        return [self.known.get(key) or packer.laid(key) for key in map(tuple, self.sheets) if key]


class _Queue:
    """All prints in the order in which they are laid on all sheets but one; the largest first, to begin with."""

    def __init__(self, packer: Packer, sheets: list[Packing], rng: Random) -> None:
        self.queue = sorted([i for sheet in sheets for i in sheet.key], key=lambda i: (-packer.areas[i], i))
        self.sheets = len(sheets) - 1
        self.packer = packer
        self.rng = rng
        self.out = packer.empty.room * len(sheets)

    def go_on(self) -> list[Packing] | None:
        """Let prints change places in the queue; return the sheets if they hold all."""
        queue = self.queue
        for _ in range(-(-WORK // len(queue))):
            one, other = [self.rng.randrange(len(queue)) for _ in range(2)]
            queue[one], queue[other] = queue[other], queue[one]
            sheets, out = self._fill()
            if not out:
                return [self.packer.used_up(spots) for spots in sheets]
            if out > self.out:
                queue[one], queue[other] = queue[other], queue[one]
            else:
                self.out = out
        return None

    def _fill(self) -> tuple[list[list[Spot]], int]:
        """Return what lies where on each sheet filled from the queue, and the area that found no room."""
        packer, rest = self.packer, self.queue
        size = (packer.width, packer.height)
        sheets: list[list[Spot]] = []
        while rest and len(sheets) < self.sheets:
            places = fill_gaps(size, packer.ways, rest)
            sheets.append([(place, i) for place, i in zip(places, rest, strict=True) if place])
            rest = [i for place, i in zip(places, rest, strict=True) if not place]
        return sheets, sum([packer.areas[i] for i in rest])


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
