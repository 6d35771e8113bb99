"""Disturb a good plan, complete it again, keep what is better.

Either some layouts are taken out and new ones designed (ruin and recreate), or a single copy or a few sheets are
taken away and the other layouts make up for it, which is much quicker.
"""

from math import log
from random import Random
from typing import NamedTuple

from plugins.group.build import Builder
from plugins.group.gather import can_gather, gather
from plugins.group.packer import without
from plugins.group.plan import Board, Plan, make_run
from plugins.group.stop import StopRule

SMALL = 0.6
"""How often one copy is taken away instead of whole runs."""
SIZES = (1, 1, 2, 2, 2, 3, 3, 4, 5, 6)
"""How many runs are taken out, each as likely."""
NEAR = 40
"""Most runs looked at for those to take out, besides those with the same prints."""
WARM, COLD = 0.03, 0.001
"""How much dearer a plan may become, as a share of a mean run: at the beginning and at the end of the search."""
STALE = 1500
"""Iterations without a new best after which the search goes back to the best plan."""


class Span(NamedTuple):
    """From when to when, as shares of the time, and how warm it is at first."""

    begin: float
    end: float
    warm: float


class Course(NamedTuple):
    """Searches from plans of their own, the share of the time for these, and how warm the best is gone on from."""

    chains: int
    apart: float
    again: float


ONE_MEDIUM = Course(3, 0.36, 0.01)
"""Which large prints share a sheet is settled early, and hardly changes later: so a few beginnings are compared."""
MANY_MEDIA = Course(4, 0.8, WARM)
"""Once prints have gathered on a medium they hardly leave it: so most of the time goes to beginnings."""
FIRST = 3
"""Plans made from nothing, of which the cheapest is improved."""


def improve(board: Board, bound: int, stop: StopRule, rng: Random, known: Plan | None) -> tuple[Plan, int]:
    """Return the best plan found until `stop` says so, and the number of iterations.

    It costs no more than the one that is `known`. A plan that costs `bound` is the best there is. Worse plans
    are gone on from the more readily the earlier it is (simulated annealing).
    """
    if can_gather(board):
        plan, done = gather(board, stop, rng)
        return (known, done) if known and known.cost() < plan.cost() else (plan, done)
    builder = Builder(board, rng)
    chains, apart, again = ONE_MEDIUM if len(board.problem.media) == 1 else MANY_MEDIA
    plans, done = [known] if known else [], 0
    for chain in range(chains):
        span = Span(apart * chain / chains, apart * (chain + 1) / chains, WARM)
        plan, done = _anneal(_first_plan(board, builder, known), builder, bound, stop, rng, done, span)
        plans.append(plan)
    return _anneal(_cheapest(plans), builder, bound, stop, rng, done, Span(apart, 1.0, again))


def _anneal(
    plan: Plan, builder: Builder, bound: int, stop: StopRule, rng: Random, done: int, span: Span
) -> tuple[Plan, int]:
    """Return the best plan found from `plan` on in this span of the time, and the iterations done by then."""
    board, (begin, end, warm) = plan.board, span
    best, best_cost = tuple(plan.runs.values()), plan.cost()
    current = plan.value()
    last = done
    while best_cost > bound and (share := stop(done, best_cost)) < end:
        done += 1
        plan.changes.clear()
        if rng.random() < SMALL:
            changed = _disturb(plan, rng)
            complete = changed is not None and builder.shift(plan, changed)
        else:
            _ruin(plan, rng)
            builder.complete(plan, _bans(plan, rng))
            complete = True
        cost = plan.cost()
        warmth = warm * (COLD / warm) ** ((share - begin) / (end - begin)) * best_cost / len(best)
        value = plan.value()
        if complete and value <= current - warmth * log(1 - rng.random()):
            current = value
        else:
            plan.take_back()
        if complete and cost < best_cost:
            best, best_cost, last = tuple(plan.runs.values()), cost, done
        elif done - last > STALE:
            plan, last = Plan(board, best), done
            current = plan.value()
    return Plan(board, best), done


def _cheapest(plans: list[Plan]) -> Plan:
    return min(plans, key=lambda plan: plan.cost())


def _first_plan(board: Board, builder: Builder, known: Plan | None) -> Plan:
    plans = [Plan(board, known.runs.values())] if known else []
    for _ in range(FIRST):
        plan = Plan(board)
        builder.complete(plan)
        plans.append(plan)
    return _cheapest(plans)


def _bans(plan: Plan, rng: Random) -> frozenset[tuple[int, int]]:
    """Keep all prints off one medium now and then, so that the plan learns to do without it."""
    media = len(plan.board.problem.media)
    if media < 2 or rng.random() < 0.5:
        return frozenset()
    shut = rng.randrange(media)
    return frozenset((i, shut) for i, p in enumerate(plan.board.problem.prints) if len(p.media) > 1)


def _disturb(plan: Plan, rng: Random) -> int | None:
    """Make a print short: by a copy taken off a layout, or by buying fewer sheets of it. Return the run's number."""
    numbers = list(plan.runs)
    number = numbers[rng.randrange(len(numbers))]
    run = plan.runs[number]
    stock = plan.board.stocks[run.stock]
    if rng.random() < 0.5:
        beside = sorted(
            -(-(plan.board.need[i] - plan.cover[i] + count * run.quantity) // count) for i, count in run.counts
        )
        top = beside[-1]
        lower = [q for q in (*stock.table.steps(), *beside) if 0 < q < top]
        if not lower:
            plan.put(number, None)
            return number
        quantity, cost = stock.table.best(rng.choice(lower))
        if quantity >= run.quantity:
            return None
        plan.put(number, run._replace(quantity=quantity, cost=cost))
        return number
    i, _ = run.counts[rng.randrange(len(run.counts))]
    key = without(run.packing.key, (i,))
    packing = stock.packer.pack(key) if key else None
    if key and packing is None:
        return None
    plan.put(number, make_run(plan.board, run.stock, packing, run.quantity) if packing else None)
    return number


def _ruin(plan: Plan, rng: Random) -> None:
    """Take out one to six runs: any, or those that share prints with one of them; or lower one quantity."""
    numbers = list(plan.runs)
    kind = rng.random()
    centre = numbers[rng.randrange(len(numbers))]
    if kind < 0.15 and _lower(plan, centre, rng):
        return
    wanted = min(len(numbers), rng.choice(SIZES))
    if len(numbers) > NEAR:
        numbers = rng.sample(numbers, NEAR)
    near = kind < 0.6
    for number in _nearest(plan, centre, numbers, rng)[:wanted] if near else rng.sample(numbers, wanted):
        plan.put(number, None)


def _lower(plan: Plan, number: int, rng: Random) -> bool:
    """Buy fewer sheets of one run, down to a price step; return whether there is one."""
    run = plan.runs[number]
    table = plan.board.stocks[run.stock].table
    steps = [step for step in (1, *table.steps()) if step < run.quantity]
    if steps:
        quantity, cost = table.best(rng.choice(steps))
        plan.put(number, run._replace(quantity=quantity, cost=cost))
    return bool(steps)


def _nearest(plan: Plan, centre: int, numbers: list[int], rng: Random) -> list[int]:
    """Return a run's number, those of the runs with the same prints, and `numbers`: the most alike first."""
    middle = plan.runs[centre]
    held = {i for i, _ in middle.counts}
    near: dict[int, float] = {}
    for number in sorted({*numbers, *(other for i in held for other in plan.holders[i])}):
        run = plan.runs[number]
        shared = sum([i in held for i, _ in run.counts])
        apart = abs(run.quantity - middle.quantity) / (run.quantity + middle.quantity)
        near[number] = shared - apart + 2 * rng.random()
    return sorted(near, key=near.__getitem__, reverse=True)
