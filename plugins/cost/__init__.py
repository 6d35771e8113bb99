"""Money: what each order line costs, what is asked for it, and the bill."""

from datetime import date

from pipeline.hookspecs import hookimpl
from pipeline.model.account import CreditRequest
from pipeline.model.cost import Bill, BillBook, CostBook, Prepayment, PriceBook
from pipeline.model.order import Order
from pipeline.model.packing import PackingPlan
from pipeline.model.press import PressTaskList
from pipeline.model.prints import PrintList
from pipeline.model.sheet import SheetPlan
from pipeline.shop import Shop
from plugins.cost.bills import make_bill
from plugins.cost.charges import charges_of
from plugins.cost.costs import cost_lines
from plugins.cost.credits import make_credit
from plugins.cost.deposits import make_deposit
from plugins.cost.margins import margins_of
from plugins.cost.prices import price_line
from plugins.cost.shares import share_purchase


@hookimpl(trylast=True)
def cost_orders(
    orders: tuple[Order, ...],
    shop: Shop,
    prints: PrintList,
    sheets: SheetPlan,
    packing: PackingPlan,
    tasks: PressTaskList,
) -> CostBook:
    """Share out the purchase of transfers, then add up each line's blanks, work, packaging and overhead."""
    shared = share_purchase(orders, shop, prints, sheets)
    return CostBook(
        lines=cost_lines(orders, shop, shared.shares, packing, tasks),
        shares=shared.shares,
        orders=shared.orders,
        notes=shared.notes,
    )


@hookimpl(trylast=True)
def price_orders(orders: tuple[Order, ...], shop: Shop, costs: CostBook, packing: PackingPlan) -> PriceBook:
    """Price every line, as agreed or by the shop's rule, and add the charges of each order."""
    prices = PriceBook(
        lines=tuple(
            price_line(order, number, shop, costs) for order in orders for number in range(len(order.lines))
        )
    )
    return prices.with_charges(charge for order in orders for charge in charges_of(order, shop, prices, packing))


@hookimpl(trylast=True)
def bill_orders(
    orders: tuple[Order, ...],
    shop: Shop,
    costs: CostBook,
    prices: PriceBook,
    prepaid: tuple[Prepayment, ...],
    date: date,
) -> BillBook:
    """Make out the bills from whatever prices and charges arrive, and tell the margins."""
    bills = tuple(make_bill(order, shop, prices, prepaid, date) for order in orders)
    return BillBook(bills=bills, margins=margins_of(bills, costs, prices))


@hookimpl(trylast=True)
def bill_deposit(bill: Bill, shop: Shop, date: date) -> Bill:
    """Ask for the customer's share of the total, with its tax where that is due at once."""
    return make_deposit(bill, shop, date)


@hookimpl(trylast=True)
def bill_credit(invoice: Bill, credited: tuple[Bill, ...], request: CreditRequest, shop: Shop) -> Bill:
    """Give back lines, pieces or an amount, never more than is left."""
    return make_credit(invoice, credited, request, shop)
