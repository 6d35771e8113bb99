"""What each order line costs the shop, part by part. Every part is rounded once, where it is made."""

from pipeline.model.cost import CostKind, CostPart, LineCost, SheetShare
from pipeline.model.money import ZERO, Money, rounded, split
from pipeline.model.order import Blanks, Line, Order
from pipeline.model.packing import Carton, PackingPlan
from pipeline.model.press import PressTaskList
from pipeline.shop import Shop
from plugins.cost.labour import labour_of


def cost_lines(
    orders: tuple[Order, ...],
    shop: Shop,
    shares: tuple[SheetShare, ...],
    packing: PackingPlan,
    tasks: PressTaskList,
) -> tuple[LineCost, ...]:
    """The cost of every line, in the order of the orders. All six kinds are told, also where they are 0."""
    transfers: dict[tuple[str, int], int] = {}
    for share in shares:
        key = share.job, share.line
        transfers[key] = transfers.get(key, 0) + share.amount
    costs: list[LineCost] = []
    for order in orders:
        cartons = _carton_costs(packing.of(order.job), shop)
        for number, line in enumerate(order.lines):
            labour = labour_of(line, tasks.of_line(order.job, number), shop)
            packaging = Money(cartons.get(number, 0) + line.quantity * shop.packing.bag_cost)
            own = labour.pieces + labour.set_up + packaging
            amounts = {
                CostKind.BLANKS: blanks_of(line, shop),
                CostKind.TRANSFERS: Money(transfers.get((order.job, number), 0)),
                CostKind.LABOUR: labour.pieces,
                CostKind.SET_UP: labour.set_up,
                CostKind.PACKAGING: packaging,
                CostKind.OVERHEAD: rounded(own * shop.rates.overhead),
            }
            parts = tuple(CostPart(kind=kind, amount=amount) for kind, amount in amounts.items())
            costs.append(LineCost(job=order.job, line=number, parts=parts))
    return tuple(costs)


def blanks_of(line: Line, shop: Shop) -> Money:
    """What the blanks of a line cost the shop: nothing when the customer brings them.

    Raises KeyError for a garment or size that the shop lacks.
    """
    if line.blanks is Blanks.CUSTOMER:
        return ZERO
    cost_of = {size.name: size.cost for size in shop.garment(line.garment).sizes}
    return Money(sum(cost_of[item.size] * item.count for item in line.pieces))


def _carton_costs(cartons: tuple[Carton, ...], shop: Shop) -> dict[int, int]:
    """Line -> its part of the cartons: each carton's cost by the pieces that lie in it."""
    costs: dict[int, int] = {}
    for carton in cartons:
        parts = split(shop.packing.carton_cost, [item.count for item in carton.contents])
        for item, part in zip(carton.contents, parts, strict=True):
            costs[item.line] = costs.get(item.line, 0) + part
    return costs
