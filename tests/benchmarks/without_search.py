"""A plan without a search: a shop's plugin with a layout for each print and the presses loaded in turn.

It stands in for grouping and scheduling where the other steps are measured on weeks so large that the searches would
take hours.
"""

from datetime import datetime, timedelta
from fractions import Fraction

from pipeline.hookspecs import hookimpl
from pipeline.model.money import Money
from pipeline.model.order import Order
from pipeline.model.press import PressTask, PressTaskList
from pipeline.model.prints import PrintDemand, PrintList
from pipeline.model.schedule import PressRun, PressSchedule, PressUse
from pipeline.model.sheet import Layout, OrderAlone, PlacedPrint, SheetPlan, TransferOrder
from pipeline.shop import Shop


@hookimpl
def gang_sheets(orders: tuple[Order, ...], shop: Shop, prints: PrintList) -> SheetPlan:
    """One copy on each sheet, of the first transfer that may be used; every order pays what it would pay alone."""
    layouts = tuple(_layout(f"S{number}", demand, shop) for number, demand in enumerate(prints.demands, 1))
    alone = dict.fromkeys((order.job for order in orders), 0)
    bought: dict[str, list[Layout]] = {}
    for demand, layout in zip(prints.demands, layouts, strict=True):
        bought.setdefault(layout.transfer, []).append(layout)
        for job in demand.jobs:
            alone[job] += layout.cost
    return SheetPlan(
        layouts=layouts,
        orders=tuple(
            TransferOrder(
                transfer=name,
                layouts=tuple(layout.id for layout in own),
                sheets=sum(layout.sheets for layout in own),
                order_charge=Money(0),
                cost=Money(sum(layout.cost for layout in own)),
            )
            for name, own in bought.items()
        ),
        surplus=(),
        chosen=tuple((demand.id, demand.transfers[0]) for demand in prints.demands),
        alone=tuple(OrderAlone(job=job, cost=Money(cost)) for job, cost in alone.items()),
        lower_bound=Money(0),
        simple_cost=Money(sum(layout.cost for layout in layouts)),
        iterations=0,
    )


@hookimpl
def schedule_presses(shop: Shop, tasks: PressTaskList, start: datetime) -> PressSchedule:
    """Each task on the next of its presses, after what was put there before; nobody's hours are minded."""
    free = {press.name: start for press in shop.presses}
    runs = [_run(task, number, free, shop) for number, task in enumerate(tasks.tasks)]
    nothing = timedelta(0)
    uses = tuple(
        PressUse(press=name, pressing=end - start, changing=nothing, share=Fraction(int(end > start)))
        for name, end in free.items()
    )
    ordered = tuple(sorted(runs, key=lambda run: (run.start, run.task)))
    return PressSchedule(start=start, runs=ordered, late=(), presses=uses, iterations=0)


def _run(task: PressTask, number: int, free: dict[str, datetime], shop: Shop) -> PressRun:
    press = shop.press(task.presses[number % len(task.presses)])
    begin = free[press.name]
    end = free[press.name] = begin + task.labour
    recipe = shop.transfer(task.transfer).recipe
    return PressRun(
        task=task.id,
        press=press.name,
        platen=next(name for name in task.platens if name in press.platens),
        pad=task.pad,
        operator=shop.operators[number % len(shop.operators)].name,
        pressure_setting=press.pressure_settings[recipe.pressure],
        changes=(),
        change_start=begin,
        start=begin,
        end=end,
        done=end,
    )


def _layout(name: str, demand: PrintDemand, shop: Shop) -> Layout:
    transfer = shop.transfer(demand.transfers[0])
    size = transfer.sheets[0]
    return Layout(
        id=name,
        transfer=transfer.name,
        sheet_size=size.name,
        width=size.width,
        height=size.height,
        prints=(
            PlacedPrint(demand=demand.id, x=size.margin, y=size.margin, width=demand.width, height=demand.height),
        ),
        cuts=(),
        sheets=demand.to_buy,
        price=size.prices[0].price,
        set_up=transfer.set_up,
    )
