"""A stage that answers every hook but the checks by the plain plan of `tests/plans.py`.

The host's tests need answers, and need them at once.
"""

from collections.abc import Iterator
from datetime import date, datetime

from attrs import evolve

from pipeline.hookspecs import hookimpl
from pipeline.model.account import CreditRequest, Statement, Voucher
from pipeline.model.cost import Bill, BillBook, CostBook, Margin, MarginLevel, Prepayment, PriceBook
from pipeline.model.document import Audience, Document
from pipeline.model.folder import WatchedFolder
from pipeline.model.money import Money, rounded
from pipeline.model.order import Order
from pipeline.model.packing import PackingPlan
from pipeline.model.press import PressTaskList
from pipeline.model.prints import PrintList, StockLot, StockUse
from pipeline.model.run import Run
from pipeline.model.schedule import PressSchedule
from pipeline.model.sheet import SheetPlan
from pipeline.shop import Shop
from plugins.cost.credits import make_credit
from plugins.cost.deposits import make_deposit
from tests.plans import make_demands, make_plan, make_sheets

STAGES = ("plugins.validate", __name__)
"""The real checks, and plain answers to all else."""

SURPLUS = 1
"""So many prints of each demand are left over."""

Orders = tuple[Order, ...]


@hookimpl(trylast=True)
def list_prints(orders: Orders, stock: tuple[StockLot, ...]) -> PrintList:
    """One demand for each print; a lot of the first picture in stock gives one copy."""
    return make_demands(orders, [StockUse(lot=lot.lot, demand="P01", copies=1) for lot in stock[:1]])


@hookimpl(trylast=True)
def gang_sheets(orders: Orders, shop: Shop, prints: PrintList) -> SheetPlan:
    """A layout for each demand."""
    return make_sheets(shop, orders, prints, SURPLUS)


@hookimpl(trylast=True)
def pack_orders(orders: Orders, shop: Shop) -> PackingPlan:
    """A carton for each order."""
    return make_plan(shop, orders).packing


@hookimpl(trylast=True)
def list_press_runs(orders: Orders, shop: Shop, start: datetime) -> PressTaskList:
    """A task for each print."""
    return make_plan(shop, orders, start=start).tasks


@hookimpl(trylast=True)
def cost_orders(orders: Orders, shop: Shop) -> CostBook:
    """What lines cost."""
    return make_plan(shop, orders, SURPLUS).costs


@hookimpl(trylast=True)
def price_orders(orders: Orders, shop: Shop) -> PriceBook:
    """Agreed prices."""
    return make_plan(shop, orders).prices


@hookimpl(trylast=True)
def bill_orders(
    orders: Orders, shop: Shop, costs: CostBook, prepaid: tuple[Prepayment, ...], date: date
) -> BillBook:
    """A bill for each order, half of it as a deposit where the customer pays one, and the margin of all."""
    book = make_plan(shop, orders, SURPLUS, on=date).bills
    book = evolve(
        book,
        bills=tuple(
            evolve(
                bill,
                deposit=rounded(bill.total * shop.customer(bill.customer).deposit),
                prepaid=tuple(paid for paid in prepaid if paid.job == bill.job),
            )
            for bill in book.bills
        ),
    )
    net = Money(sum(bill.net for bill in book.bills))
    cost = Money(sum(costs.of_order(order.job) for order in orders))
    whole = Margin(level=MarginLevel.BATCH, name="", net=net, cost=cost)
    return evolve(book, margins=(*book.margins, whole))


@hookimpl(trylast=True)
def schedule_presses(orders: Orders, shop: Shop, start: datetime) -> PressSchedule:
    """One run after the other."""
    return make_plan(shop, orders, start=start).schedule


@hookimpl
def make_documents(run: Run) -> Iterator[Document]:
    """A paper for each order, with its number."""
    for order in run.orders:
        yield Document(
            path=f"orders/{order.job.lower()}.txt",
            title=order.job,
            content=f"{run.invoice_number(order.job) or 'quote'} {order.job} {order.quantity}\n".encode(),
            audience=Audience.CUSTOMER,
            job=order.job,
        )


@hookimpl(trylast=True)
def show_folder(folder: WatchedFolder) -> Document:
    """A line with the counts."""
    text = f"{folder.waiting_count} waiting, {folder.rejected_count} rejected; {'; '.join(folder.faults) or 'well'}\n"
    return Document(path="status.html", title="Status", content=text.encode(), audience=Audience.OFFICE)


@hookimpl(trylast=True)
def bill_deposit(bill: Bill, shop: Shop, date: date) -> Bill:
    """As the built-in stage reckons it."""
    return make_deposit(bill, shop, date)


@hookimpl(trylast=True)
def bill_credit(invoice: Bill, credited: tuple[Bill, ...], request: CreditRequest, shop: Shop) -> Bill:
    """As the built-in stage reckons it."""
    return make_credit(invoice, credited, request, shop)


@hookimpl
def make_vouchers(vouchers: tuple[Voucher, ...]) -> Iterator[Document]:
    """A paper for each."""
    for voucher in vouchers:
        yield Document(
            path=f"{voucher.number.lower()}.txt",
            title=voucher.number,
            content=f"{voucher.number} {voucher.bill.total}\n".encode(),
            audience=Audience.CUSTOMER,
            job=voucher.bill.job,
        )


@hookimpl
def make_statements(statements: tuple[Statement, ...]) -> Iterator[Document]:
    """A paper for each."""
    for statement in statements:
        yield Document(
            path=f"{statement.customer}.txt",
            title=statement.customer,
            content=f"{statement.as_of} {statement.total}\n".encode(),
            audience=Audience.CUSTOMER,
        )
