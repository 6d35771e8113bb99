"""Fill as few sheets as possible where each costs the same, so that every copy can be laid by itself.

One sheet is taken away. Until its prints lie on the others, prints change places between sheets: one goes to
another sheet for none, one or two that come back. A change is judged by the sum of the squares of all fillings:
what fills the fuller of two sheets further gathers room where a larger print may find it. Worse changes are gone
on from while it is warm, and it is warmed again and again (simulated annealing).
"""

from math import ceil, log
from random import Random

from plugins.group.packer import Key, Packer, Packing, without
from plugins.group.plan import Board, Plan, make_run
from plugins.group.settle import merge
from plugins.group.stop import StopRule

MOST = 200
"""Most copies: of more, layouts to be bought many times are found quicker than sheets one by one."""
HOT, COLD = 0.02, 0.0005
"""By how much the sum of squares (of fillings from 0 to 1) may become worse, when it is warm and when it is cold."""
CYCLE = 2000
"""Changes from hot to cold."""
OUT = 0.4
"""How often it is a print without a sheet whose turn it is."""
PAIRS = 10
"""Most prints on a sheet of which two are changed for one."""
LAID = 100
"""Prints laid anew in one iteration."""


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
    cost = _plan(board, sheets).cost()
    done = left = 0
    while len(sheets) > fewest:
        task = _Emptying(packer, sheets, rng)
        changes = 0
        while task.out:
            if left <= 0:
                if stop(done, cost) >= 1:
                    return _plan(board, sheets), done
                done += 1
                left += LAID
            left -= task.change(HOT * (COLD / HOT) ** (changes % CYCLE / CYCLE))
            changes += 1
        sheets = [sheet for sheet in task.sheets if sheet.key]
        cost = _plan(board, sheets).cost()
    return _plan(board, sheets), done


class _Emptying:
    """All sheets but the emptiest, the prints of which are `out`."""

    def __init__(self, packer: Packer, sheets: list[Packing], rng: Random) -> None:
        self.packer = packer
        self.rng = rng
        emptiest = max(range(len(sheets)), key=lambda k: sheets[k].room)
        self.sheets = [*sheets[:emptiest], *sheets[emptiest + 1 :]]
        self.out = list(sheets[emptiest].key)

    def change(self, warmth: float) -> int:
        """Try to take one print onto another sheet, for none, one or two of that; return how many were laid."""
        rng, packer, sheets = self.rng, self.packer, self.sheets
        to = rng.randrange(len(sheets))
        source = -1 if rng.random() < OUT else rng.randrange(len(sheets))
        here = self.out if source < 0 else sheets[source].key
        if to == source or not here:
            return 1
        come = rng.choice(here)
        choices = self._backs(come, to, source, warmth * log(1 - rng.random()))
        if not choices:
            return 1
        back = rng.choice(choices)
        key = _changed(sheets[to].key, back, (come,))
        fuller = packer.pack(key) if back else packer.extend(sheets[to], come)
        if fuller is None:
            return len(key)
        if source < 0:
            self.out.remove(come)
            self.out += back
        else:
            rest = _changed(sheets[source].key, (come,), back)
            emptier = packer.pack(rest)
            if emptier is None:
                return len(key) + len(rest)
            sheets[source] = emptier
        sheets[to] = fuller
        return len(key)

    def _backs(self, come: int, to: int, source: int, least: float) -> list[Key]:
        """Return what may come back for `come` by area, if the sum of squares gains at `least` so much by it."""
        areas, whole = self.packer.areas, self.packer.empty.room
        sheet = self.sheets[to]
        room, area, worst = sheet.room, areas[come], least * whole * whole
        if source < 0:
            # Prints that are out fill no sheet.
            spare, slope, bend = whole, 2 * (whole - room), 1
        else:
            spare = self.sheets[source].room
            slope, bend = 2 * (spare - room), 2
        if area <= room and area * (slope + bend * area) >= worst:
            return [()]
        few = len(sheet.key) <= PAIRS
        found: list[Key] = []
        for at, i in enumerate(sheet.key):
            more = area - areas[i]
            if -spare <= more <= room and more * (slope + bend * more) >= worst and i != come:
                found.append((i,))
            if few and more > -spare:
                for j in sheet.key[at + 1 :]:
                    less = more - areas[j]
                    if -spare <= less <= room and less * (slope + bend * less) >= worst:
                        found.append((i, j))
        return found


def _changed(key: Key, gone: Key, come: Key) -> Key:
    return tuple(sorted((*without(key, gone), *come)))


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
