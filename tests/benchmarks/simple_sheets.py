"""Sheets without a search: a shop's plugin that gives each print a layout of its own.

It stands in for the grouping where the other steps are measured on weeks so large that the search would take hours.
"""

from pipeline.hookspecs import hookimpl
from pipeline.model.money import Money
from pipeline.model.order import Order
from pipeline.model.prints import PrintDemand, PrintList
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
