"""A proven lower bound: no plan can cost less.

The linear program over all columns (sheet size, multiset of prints, quantity q): a column costs the buy-up
price of q sheets and covers min(copies x q, need) of each print. Copies beyond the need count for nothing, so
one column never does the work of many. Instead of true layouts any multiset counts whose shares of the sheet
(weigh.py) sum to at most 1; columns are generated as needed (pricing.py, master.py).

The program may take half a layout; a plan cannot. So the plans are parted by how many layouts have at least so
many sheets, and by which media are used: a branch and bound, the least proven branch first. What is proven for
the least of all branches that are left holds for every plan, whenever the search stops. It holds for
guillotine and free layouts alike. Of few prints, what no guillotine sheet holds is then left out (laid.py), which
proves more where sheets hold few large prints. Rolls have columns of their own (lengths.py), which know areas only.
"""

from collections.abc import Iterator
from heapq import heappop, heappush
from math import ceil, floor, gcd, inf
from typing import NamedTuple

from plugins.group import inner
from plugins.group.columns import Branch, Limit, Place
from plugins.group.master import Master
from plugins.group.plan import Board
from plugins.group.pricing import EXACT, Pricer
from plugins.group.program import Solution

LAID = 18
"""Most prints for which columns that can be laid are told from others: of more it takes long, and proves nothing."""
LAID_ROUNDS = 90
"""Most rounds of column generation with these."""
LAID_WORK = 1200
"""Rounds times prints, at most."""
CUTS = 20
"""Times that cuts are looked for before branching."""
CUTS_IN_BRANCH = 2
"""Times that cuts are looked for in one branch."""
ROUNDS_IN_BRANCH = 15
"""Rounds of column generation in one branch between cuts."""
MANY = 8
"""How many times fewer rounds for many prints: each takes long, and brings little."""
WHOLE = 1e-4
"""How far from a whole number counts as whole."""


def lower_bound(board: Board, rounds: int, enough: float = inf) -> int:
    """Return the bound, in minor units, proven after about `rounds` rounds of column generation.

    Of few prints, whatever that leaves open below `enough` is looked into with columns that can be laid; without the
    compiled loops that would take minutes, and is left out.
    """
    master, prints = Master(board), len(board.need)
    root, proven = _branched(master, rounds if prints <= EXACT else rounds // MANY)
    looking = LAID_ROUNDS > 0 and inner.COMPILED and board.problem.guillotine and prints <= LAID
    if looking and master.pricers and proven < enough:
        laid = Master(board, master.pricers, looking=True)
        proven = max(proven, _branched(laid, min(LAID_ROUNDS, LAID_WORK // prints), root).whole)
    return _rounded_up(board, proven)


class Proof(NamedTuple):
    """What is proven for all plans, before any branches and with them."""

    root: float
    whole: float


def _branched(master: Master, rounds: int, least: float = -inf) -> Proof:
    """Return what is proven by cuts first, then by branches if the cuts prove more than `least`."""
    board = master.board
    small = len(board.need) <= EXACT
    root = Branch(_improved(master, Branch(0.0), CUTS if small else 0, rounds, rounds))
    if root.bound <= least:
        return Proof(root.bound, root.bound)
    parts = _part(master, root) if small else []
    most = board.problem.most_layouts
    if small and most is not None and len(master.pricers) == len(board.stocks) == 1:
        parts = [root._replace(limits=(Limit(Place(0, 1, None), most=most),))]
    waiting = [(root.bound, made, part) for made, part in enumerate(parts)]
    whole = inf if waiting else root.bound
    made = len(waiting)
    while waiting and waiting[0][0] < whole and master.rounds < rounds and not master.spent:
        branch = heappop(waiting)[2]
        branch = branch._replace(bound=_improved(master, branch, CUTS_IN_BRANCH, ROUNDS_IN_BRANCH, rounds))
        parts = _part(master, branch)
        if not parts:
            whole = min(whole, branch.bound)
        for part in parts:
            made += 1
            heappush(waiting, (part.bound, made, part))
    return Proof(root.bound, min([whole, *(bound for bound, _, _ in waiting)]))


def plain_bound(board: Board) -> int:
    """Return what shares of sheets and rolls prove at once: each copy costs its share at the lowest price.

    Where all sheets cost the same and set-ups are small, that is often all there is to prove.
    """
    prices = {k: _lowest_price(board, k) for here in board.stocks_of for k in here}
    least = 0.0
    for i, here in enumerate(board.stocks_of):
        least += min(
            board.need[i] * board.stocks[k].packer.weights[i] * prices[k] + board.extra[i][board.stocks[k].medium]
            for k in here
        )
    return _rounded_up(board, least)


def _lowest_price(board: Board, stock: int) -> float:
    """Return the lowest price of a whole sheet, or of the longest piece of a roll as if it had no margins."""
    one = board.stocks[stock]
    sheet, roll = one.packer.sheet, one.roll
    if roll is None:
        return min(price for _, price in sheet.prices)
    # Prints are grown by the gap; so may each step be, by what the gap is wider than both margins.
    steps = one.packer.height / (roll.step + max(0, roll.gap - 2 * roll.margin))
    return steps * min(price for _, price in roll.prices) * (1 - 1e-9)


def _improved(master: Master, branch: Branch, cuts: int, rounds: int, most_rounds: int) -> float:
    """Return what is proven for a branch when columns and cuts are added in turn."""
    bound = master.prove(branch, rounds)
    for _ in range(cuts):
        if master.rounds >= most_rounds or not master.cut():
            break
        bound = max(bound, master.prove(branch._replace(bound=bound), rounds))
    return bound


def _part(master: Master, branch: Branch) -> list[Branch]:
    """Part a branch in two where the program is furthest from whole; none if it is whole everywhere."""
    solution = master.last
    if solution is None:
        return []
    for m, share in enumerate(solution.used):
        if WHOLE < share < 1 - WHOLE:
            return [branch._replace(shut=branch.shut | {m}), branch._replace(open=branch.open | {m})]
    for places in _places(master.pricers, solution):
        sums = [sum(amount for amount, column in solution.in_use if place.holds(column)) for place in places]
        whole = (0.0, Place(0, 0, None))
        pairs = [whole, *zip(sums, places, strict=True)]
        amount, place = max(pairs, key=lambda pair: abs(pair[0] - round(pair[0])))
        if abs(amount - round(amount)) > WHOLE:
            old = next((limit for limit in branch.limits if limit.place == place), Limit(place))
            rest = tuple(limit for limit in branch.limits if limit.place != place)
            parts = (old._replace(most=floor(amount)), old._replace(least=ceil(amount)))
            # By rounding the program may go a little beyond a limit: there is no plan in such a part.
            return [
                branch._replace(limits=(*rest, part))
                for part in parts
                if part.most is None or part.least <= part.most
            ]
    return []


def _places(pricers: list[Pricer], solution: Solution) -> Iterator[list[Place]]:
    """Yield what may be counted: all layouts, then those that reach a price step, then others; then with keys."""
    present: list[set[int]] = [set() for _ in pricers]
    for _, column in solution.in_use:
        present[column.group[0]].add(column.quantity)
    for keyed in (False, True):
        for starts in ([[1]] * len(pricers), [pricer.steps for pricer in pricers], map(sorted, present)):
            yield [
                Place(number, start, key)
                for number, (pricer, own) in enumerate(zip(pricers, starts, strict=True))
                for start in own
                for key in (range(len(pricer.keys)) if keyed else (None,))
            ]


def _rounded_up(board: Board, bound: float) -> int:
    """Round up to what a plan can cost: a multiple of the unit in which all prices are whole."""
    problem = board.problem
    sheets = [sheet for medium in problem.media for sheet in medium.sheets]
    unit = gcd(
        *(price for sheet in sheets for _, price in sheet.prices),
        *(sheet.set_up for sheet in sheets),
        *(medium.order_charge for medium in problem.media),
        *(extra for item in problem.prints for extra in item.extras),
    )
    return ceil((bound * (1 - 1e-10) - 1e-4) / max(unit, 1)) * max(unit, 1)
