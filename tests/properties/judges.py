"""Everything that any referee finds wrong with a plan, and the sums that the whole journey promises."""

from collections import Counter
from collections.abc import Iterator
from datetime import date

from pipeline.model.order import Order
from pipeline.model.prints import StockLot
from pipeline.model.run import Plan
from pipeline.model.workdays import Workdays, ready_by
from pipeline.shop import Shop
from tests.referee_money import faults_of_bill, faults_of_costs, faults_of_margins, faults_of_shares
from tests.referee_packing import faults_of_packing
from tests.referee_schedule import violations
from tests.referee_sheets import faults_of_plan

Pieces = Counter[tuple[str, int, str]]
"""(job, line, size) -> pieces."""


def faults(shop: Shop, plan: Plan, on: date) -> list[str]:
    """What the referees of sheets, cartons, money and schedule find, in sentences."""
    bills = {bill.job: bill for bill in plan.bills.bills}
    found = faults_of_plan(shop, plan.prints, plan.sheets)
    found += faults_of_packing(plan.orders, shop, plan.packing)
    found += faults_of_shares(plan.orders, shop, plan.prints, plan.sheets, plan.costs)
    found += faults_of_costs(plan.orders, shop, plan.packing, plan.tasks, plan.costs)
    for order in plan.orders:
        found += faults_of_bill(order, shop, plan.prices, bills[order.job], on)
    found += faults_of_margins(plan.orders, plan.costs, plan.prices, plan.bills)
    found += violations(plan.schedule, plan.tasks, plan.orders, shop)
    return found


def ordered(orders: tuple[Order, ...]) -> Pieces:
    """What customers asked for."""
    return Counter(
        {(o.job, at, p.size): p.count for o in orders for at, line in enumerate(o.lines) for p in line.pieces}
    )


def packed(plan: Plan) -> Pieces:
    """What lies in the cartons."""
    pieces: Pieces = Counter()
    for carton in plan.packing.cartons:
        for item in carton.contents:
            pieces[carton.job, item.line, item.size] += item.count
    return pieces


def pressed(plan: Plan) -> dict[int, Pieces]:
    """What is pressed by the runs of the schedule: for the first print of each line, the second, and so on."""
    tasks = {task.id: task for task in plan.tasks.tasks}
    pieces: dict[int, Pieces] = {}
    for run in plan.schedule.runs:
        task = tasks[run.task]
        for item in task.pieces:
            pieces.setdefault(task.ref.print, Counter())[task.ref.job, task.ref.line, item.size] += item.count
    return pieces


def late_transfers(shop: Shop, plan: Plan, on: date) -> Iterator[str]:
    """Orders whose prints are bought on a transfer that arrives after the day on which the order must be ready."""
    workdays = Workdays.of(shop.calendar)
    orders = {order.job: order for order in plan.orders}
    for demand in plan.prints.demands:
        arrives = workdays.after(on, shop.transfer(plan.sheets.transfer_of(demand.id)).lead_days)
        for job in demand.jobs if demand.to_buy else ():
            if arrives > ready_by(orders[job], shop):
                yield f"{job}: {demand.id} arrives on {arrives}"


def short_prints(plan: Plan, stock: tuple[StockLot, ...] = ()) -> Iterator[str]:
    """Demands that get fewer prints, from new sheets and from stock together, than pieces and spares need."""
    lots = {lot.lot: lot for lot in stock}
    taken: Counter[str] = Counter()
    from_lot: Counter[int] = Counter()
    for use in plan.prints.stock_uses:
        taken[use.demand] += use.copies
        from_lot[use.lot] += use.copies
    bought: Counter[str] = Counter()
    for layout in plan.sheets.layouts:
        for item in layout.prints:
            bought[item.demand] += layout.sheets
    for demand in plan.prints.demands:
        need = sum(use.pieces for use in demand.uses) + demand.spares
        if bought[demand.id] + taken[demand.id] < need:
            yield f"{demand.id}: {bought[demand.id]} bought and {taken[demand.id]} in stock, {need} needed"
    for number, copies in from_lot.items():
        if copies > lots[number].copies:
            yield f"lot {number}: {copies} taken of {lots[number].copies}"
