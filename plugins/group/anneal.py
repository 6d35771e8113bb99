"""Disturb a good plan, complete it again, keep what is better.

Either some layouts are taken out and new ones designed (ruin and recreate), or a single copy or a few sheets are
taken away and the other layouts make up for it, which is much quicker.
"""

from math import log
from typing import NamedTuple

from plugins.group.build import Builder
from plugins.group.chance import Chance
from plugins.group.packer import without
from plugins.group.plan import Board, Plan, Run, make_run
from plugins.group.stop import StopRule

SMALL = 0.6
"""How often one copy is taken away instead of whole runs."""
SIZES = (1, 1, 2, 2, 2, 3, 3, 4, 5, 6)
"""How many runs are taken out, each as likely."""
NEAR = 40
"""Most runs looked at for those to take out, besides those with the same prints."""
COLD = 0.001
"""How much dearer a plan may become at the end, as a share of a mean run."""
STALE = 5000
"""Iterations without a new best after which the search goes back to the best plan."""
FIRST = 3
"""Plans made from nothing, of which the cheapest is improved."""


class Span(NamedTuple):
    """From when to when, as shares of the time, and how warm it is at first: how much dearer a plan may become."""

    begin: float
    end: float
    warm: float


class Annealer:
    """Improves plans on one board: worse plans are gone on from the more readily the earlier it is."""

    def __init__(self, board: Board, rng: Chance) -> None:
        self.board = board
        self._rng = rng
        self._builder = Builder(board, rng)
        for stock in board.stocks:
            stock.packer.forget()

    def first(self) -> tuple[Run, ...]:
        """Return the cheapest of a few plans made from nothing."""
        plans = []
        for _ in range(FIRST):
            plan = Plan(self.board)
            self._builder.complete(plan)
            plans.append(plan)
        return tuple(min(plans, key=lambda plan: plan.cost()).runs.values())

    def anneal(
        self, runs: tuple[Run, ...], bound: int, stop: StopRule, done: int, span: Span
    ) -> tuple[tuple[Run, ...], int]:
        """Return the best plan found from one on in this span of the time, and the iterations done by then."""
        rng, builder, (begin, end, warm) = self._rng, self._builder, span
        plan = Plan(self.board, runs)
        best, best_cost = runs, plan.cost()
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
                builder.complete(plan, _shut(plan, rng))
                complete = True
            cost = plan.cost()
            warmth = warm * (COLD / warm) ** ((share - begin) / (end - begin)) * best_cost / len(best)
            value = plan.value()
            if complete and cost < best_cost:
                best, best_cost, last = tuple(plan.runs.values()), cost, done
            if complete and value <= current - warmth * log(1 - rng.random()):
                current = value
            else:
                plan.take_back()
            if done - last > STALE:
                plan, last = Plan(self.board, best), done
                current = plan.value()
        return best, done


def _shut(plan: Plan, rng: Chance) -> int | None:
    """Keep all prints off one medium now and then, so that the plan learns to do without it."""
    media = len(plan.board.problem.media)
    return None if media < 2 or rng.random() < 0.5 else rng.below(media)


def _disturb(plan: Plan, rng: Chance) -> int | None:
    """Make a print short: by a copy taken off a layout, or by buying fewer sheets of it. Return the run's number."""
    numbers = list(plan.runs)
    number = rng.choice(numbers)
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
    i, _ = rng.choice(run.counts)
    key = without(run.packing.key, (i,))
    packing = stock.packer.pack(key) if key else None
    if key and packing is None:
        return None
    plan.put(number, make_run(plan.board, run.stock, packing, run.quantity) if packing else None)
    return number


def _ruin(plan: Plan, rng: Chance) -> None:
    """Take out one to six runs: any, or those that share prints with one of them; or lower one quantity."""
    numbers = list(plan.runs)
    kind = rng.random()
    centre = rng.choice(numbers)
    if kind < 0.15 and _lower(plan, centre, rng):
        return
    wanted = min(len(numbers), rng.choice(SIZES))
    if len(numbers) > NEAR:
        numbers = rng.sample(numbers, NEAR)
    near = kind < 0.6
    for number in _nearest(plan, centre, numbers, rng)[:wanted] if near else rng.sample(numbers, wanted):
        plan.put(number, None)


def _lower(plan: Plan, number: int, rng: Chance) -> bool:
    """Buy fewer sheets of one run, down to a price step; return whether there is one."""
    run = plan.runs[number]
    table = plan.board.stocks[run.stock].table
    steps = [step for step in (1, *table.steps()) if step < run.quantity]
    if steps:
        quantity, cost = table.best(rng.choice(steps))
        plan.put(number, run._replace(quantity=quantity, cost=cost))
    return bool(steps)


def _nearest(plan: Plan, centre: int, numbers: list[int], rng: Chance) -> list[int]:
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
