"""Group: orders and stock -> the prints needed -> the sheets to buy.

This page is the stage's hook implementations and nothing else. What the shop saves is decided in the modules
beside it. Two know orders and transfers: `demands` lists the prints, `sheets` puts them to the solver and tells
its answer. The rest is the solver, which knows plain integers only; `solve` is where to begin reading.
"""

from pipeline.hookspecs import hookimpl
from pipeline.model.order import Order
from pipeline.model.prints import PrintList, StockLot, TransferFits
from pipeline.model.sheet import SheetPlan
from pipeline.shop import Shop
from plugins.group.demands import demands_of
from plugins.group.sheets import plan_sheets


@hookimpl(trylast=True)
def list_prints(
    orders: tuple[Order, ...], shop: Shop, fits: TransferFits, stock: tuple[StockLot, ...]
) -> PrintList:
    """List each picture once per size and choice of transfers, with spares, less what lies in stock."""
    return demands_of(orders, shop, fits, stock)


@hookimpl(trylast=True)
def gang_sheets(orders: tuple[Order, ...], shop: Shop, prints: PrintList) -> SheetPlan:
    """Search for the cheapest sheets, and what each order would have paid alone."""
    return plan_sheets(orders, shop, prints)
