"""Packing: which pieces go into which carton."""

from pipeline.hookspecs import hookimpl
from pipeline.model.order import Order
from pipeline.model.packing import PackingPlan
from pipeline.shop import Shop
from plugins.pack.cartons import pack_order


@hookimpl(trylast=True)
def pack_orders(orders: tuple[Order, ...], shop: Shop) -> PackingPlan:
    """Pack each order by itself, whether it is shipped or picked up: no carton holds two orders."""
    return PackingPlan(cartons=tuple(carton for order in orders for carton in pack_order(order, shop)))
