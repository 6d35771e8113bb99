"""Take some layouts out of a good plan, complete it again, keep what is better: ruin and recreate."""

from random import Random

from plugins.group.build import Builder
from plugins.group.plan import Board, Plan
from plugins.group.stop import StopRule

SIZES = (1, 1, 2, 2, 2, 3, 3, 4, 5, 6)
"""How many runs are taken out, each as likely."""
LENIENT = 0.01
"""Share above the best cost up to which a worse plan may be gone on from, rarely."""
STALE = 400
"""Iterations without a new best after which the search goes back to the best plan."""


def improve(board: Board, bound: int, stop: StopRule, rng: Random, known: Plan | None) -> tuple[Plan, int]:
    """Return the best plan found until `stop` says so, and the number of iterations.

    It costs no more than the one that is `known`. A plan that costs `bound` is the best there is.
    """
    builder = Builder(board, rng)
    best = current = _first_plan(board, builder, known)
    best_cost = current_cost = current.cost()
    done, last_gain = 0, 0
    while best_cost > bound and not stop(done, best_cost):
        done += 1
        plan = current.copy()
        _ruin(plan, rng)
        builder.complete(plan, _bans(plan, rng))
        cost = plan.cost()
        if cost <= current_cost or cost < best_cost * (1 + LENIENT * rng.random() ** 3):
            current, current_cost = plan, cost
        if cost < best_cost:
            best, best_cost, last_gain = plan, cost, done
        if done - last_gain > STALE:
            current, current_cost, last_gain = best, best_cost, done
    return best, done


def _first_plan(board: Board, builder: Builder, known: Plan | None) -> Plan:
    plans = [known] if known else []
    for _ in range(5):
        plan = Plan(board)
        builder.complete(plan)
        plans.append(plan)
    return min(plans, key=lambda plan: plan.cost())


def _bans(plan: Plan, rng: Random) -> frozenset[tuple[int, int]]:
    """Keep all prints off one medium now and then, so that the plan learns to do without it."""
    media = len(plan.board.problem.media)
    if media < 2 or rng.random() < 0.5:
        return frozenset()
    shut = rng.randrange(media)
    return frozenset((i, shut) for i, p in enumerate(plan.board.problem.prints) if len(p.media) > 1)


def _ruin(plan: Plan, rng: Random) -> None:
    """Take out one to six runs: any, or those that share prints with one of them."""
    if not plan.runs:
        return
    wanted = min(len(plan.runs), rng.choice(SIZES))
    kind = rng.random()
    if kind < 0.15:
        position = rng.randrange(len(plan.runs))
        run = plan.runs[position]
        steps = [step for step in (1, *plan.board.stocks[run.stock].table.steps()) if step < run.quantity]
        if steps:
            quantity, cost = plan.board.stocks[run.stock].table.best(rng.choice(steps))
            plan.replace(position, run._replace(quantity=quantity, cost=cost))
            return
    if kind < 0.6:
        centre = plan.runs[rng.randrange(len(plan.runs))]
        held = {i for i, _ in centre.counts}

        def nearness(position: int) -> float:
            run = plan.runs[position]
            shared = sum(i in held for i, _ in run.counts)
            apart = abs(run.quantity - centre.quantity) / (run.quantity + centre.quantity)
            return shared - apart + 2 * rng.random()

        chosen = sorted(range(len(plan.runs)), key=nearness, reverse=True)[:wanted]
    else:
        chosen = rng.sample(range(len(plan.runs)), wanted)
    for position in sorted(chosen, reverse=True):
        plan.remove(position)
