"""The contract: one typed function per hook, in the order of the work.

A hook implementation lists only the arguments that it reads. Where "first answer wins", built-in
implementations come last, so that a shop's own is asked first; to change a result instead of replacing it,
write a wrapper:

    @hookimpl(wrapper=True)
    def price_orders(orders):
        prices = yield
        return prices.with_charges(...)

A stage gets finished values and returns one value. It never gets a clock, a database, a place to write to, or
the plugin manager.
"""

from collections.abc import Iterable
from datetime import date, datetime

import pluggy

from pipeline.model.account import CreditRequest, Statement, Voucher
from pipeline.model.cost import Bill, BillBook, CostBook, Prepayment, PriceBook
from pipeline.model.document import Document
from pipeline.model.folder import WatchedFolder
from pipeline.model.order import Order
from pipeline.model.packing import PackingPlan
from pipeline.model.press import PressTaskList
from pipeline.model.prints import PrintList, StockLot, TransferFits
from pipeline.model.run import Replan, Run
from pipeline.model.schedule import PressSchedule, SoFar
from pipeline.model.sheet import SheetPlan
from pipeline.problems import Problem
from pipeline.shop import Shop

PROJECT = "peelwright"
hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)

# --- validate ------------------------------------------------------------------------------------------


@hookspec(firstresult=True)
def fit_transfers(orders: tuple[Order, ...], shop: Shop, date: date) -> TransferFits:  # type: ignore[empty-body]
    """Hold every transfer of the shop against every print: may it be used, and if not, why.

    First answer wins. `orders` are not checked yet: a print whose garment or placement is unknown, or whose
    artwork could not be read, gets no entry. `date` is the day on which transfers are ordered.
    """


@hookspec
def check_orders(  # type: ignore[empty-body]
    orders: tuple[Order, ...], shop: Shop, fits: TransferFits, date: date
) -> Iterable[Problem]:
    """Find what is wrong with the orders. Every plugin is asked.

    A problem with a `job` and severity error holds that order; the others go on. Past this point a batch is all
    or nothing, since sheets are shared between orders: whatever can be known beforehand is checked here.

    Where a file cannot be read whole, this is asked twice, with the least and the most that may be meant there, and
    problems that are found both times are told. So the answer must follow from the arguments alone.
    """


# --- group ---------------------------------------------------------------------------------------------


@hookspec(firstresult=True)
def list_prints(  # type: ignore[empty-body]
    orders: tuple[Order, ...], shop: Shop, fits: TransferFits, stock: tuple[StockLot, ...]
) -> PrintList:
    """List what has to be printed: copies and spares of each picture at each size, less what lies in stock.

    First answer wins. Lots in `stock` have not passed their last day of use.
    """


@hookspec(firstresult=True)
def gang_sheets(orders: tuple[Order, ...], shop: Shop, prints: PrintList) -> SheetPlan:  # type: ignore[empty-body]
    """Put the prints on sheets: layouts, how many of each, of which transfer. First answer wins."""


# --- pack ----------------------------------------------------------------------------------------------


@hookspec(firstresult=True)
def pack_orders(orders: tuple[Order, ...], shop: Shop) -> PackingPlan:  # type: ignore[empty-body]
    """Say what goes into which carton. First answer wins."""


# --- schedule, first half: the work --------------------------------------------------------------------


@hookspec(firstresult=True)
def list_press_runs(  # type: ignore[empty-body]
    orders: tuple[Order, ...], shop: Shop, prints: PrintList, sheets: SheetPlan, date: date, start: datetime
) -> PressTaskList:
    """Say what has to be pressed, how long a piece takes and which presses can do it. First answer wins."""


# --- cost ----------------------------------------------------------------------------------------------


@hookspec(firstresult=True)
def cost_orders(  # type: ignore[empty-body]
    orders: tuple[Order, ...],
    shop: Shop,
    prints: PrintList,
    sheets: SheetPlan,
    packing: PackingPlan,
    tasks: PressTaskList,
) -> CostBook:
    """Say what each order line costs the shop. First answer wins."""


@hookspec(firstresult=True)
def price_orders(  # type: ignore[empty-body]
    orders: tuple[Order, ...], shop: Shop, costs: CostBook, packing: PackingPlan
) -> PriceBook:
    """Say what is asked for each line, and what is charged beside the lines. First answer wins.

    Tax is no part of it: whatever a wrapper changes here is taxed and added up by `bill_orders`.
    """


@hookspec(firstresult=True)
def bill_orders(  # type: ignore[empty-body]
    orders: tuple[Order, ...],
    shop: Shop,
    costs: CostBook,
    prices: PriceBook,
    prepaid: tuple[Prepayment, ...],
    date: date,
) -> BillBook:
    """Make the bills: net amounts, tax per rate, deposit, terms; and the margins. First answer wins.

    `prepaid` are the deposits of these orders that were paid: each bill takes off its own.
    """


# --- beside the weeks: money back and forth ----------------------------------------------------------------


@hookspec(firstresult=True)
def bill_deposit(bill: Bill, shop: Shop, date: date) -> Bill:  # type: ignore[empty-body]
    """Make the bill of a deposit invoice for an order that would be billed as `bill`. First answer wins."""


@hookspec(firstresult=True)
def bill_credit(  # type: ignore[empty-body]
    invoice: Bill, credited: tuple[Bill, ...], request: CreditRequest, shop: Shop
) -> Bill:
    """Make the bill of a credit note on `invoice`, above zero for what is given back. First answer wins.

    `credited` are the bills of its earlier credit notes. The request was checked: lines, pieces and amount are
    there to be credited. Each line has the number of the invoice's line; `line` is None where no pieces are.
    """


# --- schedule, second half: who, where, when -------------------------------------------------------------


@hookspec(firstresult=True)
def schedule_presses(  # type: ignore[empty-body]
    orders: tuple[Order, ...], shop: Shop, tasks: PressTaskList, start: datetime, so_far: SoFar | None
) -> PressSchedule:
    """Give each task a press, a platen, an operator and its time, not before `start`. First answer wins.

    `so_far` is None for a new week. When a week is planned again, what has begun stands as it tells, `start` is
    the moment from which on the rest is planned, and the schedule holds all of the week's tasks.
    """


# --- documents -----------------------------------------------------------------------------------------


@hookspec
def make_documents(run: Run) -> Iterable[Document]:  # type: ignore[empty-body]
    """Make papers and tables. Every plugin may add some; two of the same path are an error.

    Yield each as it is made: the host puts it aside at once, and the week's papers are never in memory together.
    """


@hookspec
def make_vouchers(vouchers: tuple[Voucher, ...], shop: Shop) -> Iterable[Document]:  # type: ignore[empty-body]
    """Make the papers of deposit invoices and credit notes. Every plugin may add some."""


@hookspec
def make_statements(statements: tuple[Statement, ...], shop: Shop) -> Iterable[Document]:  # type: ignore[empty-body]
    """Make the statements of account. Every plugin may add some."""


@hookspec
def make_replan_documents(replan: Replan) -> Iterable[Document]:  # type: ignore[empty-body]
    """Make the floor's papers anew for a week that was planned again. Every plugin may add some.

    Nothing was bought or numbered by it, so there is no plan and no bill: orders, tasks and their schedule only.
    """


@hookspec
def index_replan_documents(replan: Replan, documents: tuple[Document, ...]) -> Iterable[Document]:  # type: ignore[empty-body]
    """Make what ties those together, as `index_documents` does for a run. Every plugin may add some."""


@hookspec
def index_documents(run: Run, documents: tuple[Document, ...]) -> Iterable[Document]:  # type: ignore[empty-body]
    """Make what ties the others together, such as a page of links. Every plugin may add some.

    `documents` are those of all plugins' `make_documents`.
    """


@hookspec(firstresult=True)
def show_folder(folder: WatchedFolder, shop: Shop) -> Document:  # type: ignore[empty-body]
    """Make the page that shows the watched folder as it stands. First answer wins.

    It is written as `out/status.html`, whatever its path, and must ask the browser to fetch it again by itself.
    """
