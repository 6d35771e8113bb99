"""Several searches from plans of their own, then one from the best of them."""

from random import Random
from typing import NamedTuple

from plugins.group.anneal import Annealer, Span
from plugins.group.chance import Chance
from plugins.group.engine import Engine, can_compile
from plugins.group.gather import can_gather, gather
from plugins.group.plan import Board, Plan
from plugins.group.stop import StopRule

WARM = 0.03
"""How much dearer a plan may become at the beginning, as a share of a mean run."""


class Course(NamedTuple):
    """Searches from plans of their own, the share of the time for these, and how warm the best is gone on from."""

    chains: int
    apart: float
    again: float


ONE_MEDIUM = Course(3, 0.36, 0.01)
"""Which large prints share a sheet is settled early, and hardly changes later: so a few beginnings are compared."""
MANY_MEDIA = Course(4, 0.8, WARM)
"""Once prints have gathered on a medium they hardly leave it: so most of the time goes to beginnings."""


def improve(board: Board, bound: int, stop: StopRule, rng: Chance, known: Plan | None) -> tuple[Plan, int]:
    """Return the best plan found until `stop` says so, and the number of iterations.

    It costs no more than the one that is `known`. A plan that costs `bound` is the best there is. Worse plans
    are gone on from the more readily the earlier it is (simulated annealing).
    """
    if can_gather(board):
        plan, done = gather(board, stop, Random(rng.state))
        return (known, done) if known and known.cost() < plan.cost() else (plan, done)
    search = Engine(board, rng) if can_compile(board) else Annealer(board, rng)
    chains, apart, again = ONE_MEDIUM if len(board.problem.media) == 1 else MANY_MEDIA

    def begun() -> Plan:
        return _cheaper(Plan(board, search.first()), known)

    best, done = begun(), 0
    for chain in range(chains + 1):
        if best.cost() <= bound:
            break
        last = chain == chains
        start = best if last or not chain else begun()
        begin, end = apart * chain / chains, 1.0 if last else apart * (chain + 1) / chains
        span = Span(begin, end, again if last else WARM)
        runs, done = search.anneal(tuple(start.runs.values()), bound, _told(stop, best), done, span)
        best = _cheaper(Plan(board, runs), best)
    return best, done


def _cheaper(plan: Plan, other: Plan | None) -> Plan:
    return other if other and other.cost() < plan.cost() else plan


def _told(stop: StopRule, best: Plan) -> StopRule:
    """Return the rule, told of the cheapest plan of all searches and not of the present one alone."""
    least = best.cost()
    return lambda done, cost: stop(done, min(cost, least))
