"""Take out of a plan what is bought for nothing."""

from plugins.group.packer import Key
from plugins.group.plan import Plan, Run


def settle(plan: Plan) -> None:
    """Lower the quantities as far as everything stays covered, and drop runs that are not needed.

    Only what the plan's last changes touched is looked at.
    """
    merge(plan)
    table = [stock.table for stock in plan.board.stocks]
    touched = {i for _, _, run in plan.changes if run for i, _ in run.counts}
    loose = {number for i in touched for number in plan.holders[i]}
    while loose:
        best_gain, best_number, best_run = 0, -1, None
        for number in sorted(loose):
            run = plan.runs[number]
            least = _least(plan, run)
            if least >= run.quantity:
                loose.remove(number)
                continue
            quantity, cost = table[run.stock].best(least) if least else (0, 0)
            if run.cost - cost > best_gain:
                best_gain, best_number = run.cost - cost, number
                best_run = run._replace(quantity=quantity, cost=cost)
        if best_run is None:
            return
        if best_run.quantity:
            plan.put(best_number, best_run)
        else:
            plan.put(best_number, None)
            loose.remove(best_number)


def _least(plan: Plan, run: Run) -> int:
    """Return how many sheets of a run are needed beside all others."""
    need, cover, quantity = plan.board.need, plan.cover, run.quantity
    least = 0
    for i, count in run.counts:
        missing = need[i] - cover[i] + count * quantity
        if missing > least * count:
            least = -(-missing // count)
    return least


def merge(plan: Plan) -> None:
    """Make one run of runs of the same prints on the same kind of sheet: together they cost no more."""
    first: dict[tuple[int, Key], int] = {}
    for number, run in list(plan.runs.items()):
        same = first.setdefault((run.stock, run.packing.key), number)
        if same != number:
            other = plan.runs[same]
            quantity, cost = plan.board.stocks[run.stock].table.best(run.quantity + other.quantity)
            plan.put(number, None)
            plan.put(same, other._replace(quantity=quantity, cost=cost))
