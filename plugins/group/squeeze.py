"""Cover prints that are short by the layouts that are there already, at no cost."""

from plugins.group.chance import Chance
from plugins.group.packer import Packing, without
from plugins.group.plan import Plan, Run, make_run

LOOKED_AT = 40
"""Most runs looked at for room."""
COPIES = 3
"""Most copies of a print that are added to one layout."""
EVICTIONS = 3
"""Layouts tried to be laid anew with one print in the place of another."""


def squeeze(plan: Plan, rng: Chance, chance: float, fixed: int = -1) -> None:
    """Try to cover each print that is short, with this chance, by room on other layouts than the one `fixed`."""
    for i in rng.sample(sorted(plan.short), len(plan.short)):
        if rng.random() < chance:
            _squeeze_in(plan, rng, i, fixed)


def evict(plan: Plan, rng: Chance, fixed: int = -1) -> None:
    """Cover a print that is short in the place of a smaller one, and that one by room elsewhere if there is any."""
    board = plan.board
    i = rng.choice(sorted(plan.short))
    tries = 0
    for number, copies in _hosts(plan, rng, i, fixed):
        run = plan.runs[number]
        packer = board.stocks[run.stock].packer
        area = copies * packer.areas[i]
        least = area - run.packing.room
        smaller = [j for j, _ in run.counts if least <= packer.areas[j] < area and j != i]
        if not smaller:
            continue
        j = rng.choice(smaller)
        packing = packer.pack(tuple(sorted((*without(run.packing.key, (j,)), *(i,) * copies))))
        if packing is not None:
            plan.put(number, make_run(board, run.stock, packing, run.quantity))
            if j in plan.short:
                _squeeze_in(plan, rng, j, number)
            return
        tries += 1
        if tries == EVICTIONS:
            return


def _squeeze_in(plan: Plan, rng: Chance, i: int, fixed: int) -> None:
    """Cover the rest of print `i` by room on a layout that is there, if that costs nothing."""
    board = plan.board
    for number, copies in _hosts(plan, rng, i, fixed):
        run = plan.runs[number]
        packer = board.stocks[run.stock].packer
        if copies * packer.areas[i] > run.packing.room:
            continue
        packing: Packing | None = run.packing
        for _ in range(copies):
            packing = packer.extend(packing, i) if packing else None
        joined = make_run(board, run.stock, packing, run.quantity) if packing else run
        if joined is not run and joined.cost <= run.cost:
            plan.put(number, joined)
            return


def _hosts(plan: Plan, rng: Chance, i: int, fixed: int) -> list[tuple[int, int]]:
    """Return, in random order, the runs that print `i` may join, and how many copies each needs of it."""
    numbers = list(plan.runs)
    missing = plan.board.need[i] - plan.cover[i]
    found = []
    for number in rng.sample(numbers, min(len(numbers), LOOKED_AT)):
        run = plan.runs[number]
        copies = -(-missing // run.quantity)
        if number != fixed and copies <= COPIES and _may_join(plan, i, run):
            found.append((number, copies))
    return found


def _may_join(plan: Plan, i: int, run: Run) -> bool:
    board = plan.board
    return (
        board.company[i] == board.company[run.packing.key[0]]
        and board.first[run.stock] in board.stocks_of[i]
        and plan.medium[i] in (-1, board.stocks[run.stock].medium)
    )
