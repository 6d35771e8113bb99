"""The hooks, ready to be called: one typed call site for each.

What a plugin raises is a fault of that plugin, not of the user: it leaves here as `PluginFailed`, which names
the plugin, the hook and the line.
"""

import traceback
from collections.abc import Callable, Iterator
from datetime import date, datetime
from itertools import chain
from pathlib import Path
from typing import Any, TypeVar

import pluggy
from attrs import frozen

from pipeline import hookspecs
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
from pipeline.problems import Problem, StopRun
from pipeline.shop import Shop

R = TypeVar("R")
_END = object()


class PluginFailed(Exception):
    """A plugin raised, or returned what its hook does not allow. `__cause__` is what it raised, if it did."""


@frozen(kw_only=True)
class Link:
    """One plugin's part in a hook's chain."""

    hook: str
    plugin: str
    wraps: bool


class Stages:
    """The hooks, ready to be called. Each method is the one call site of the hook of its name."""

    def __init__(self, manager: pluggy.PluginManager) -> None:
        self._manager = manager

    def chain(self) -> tuple[Link, ...]:
        """Every hook's implementations in the order in which they are called, hook by hook as specified."""
        return tuple(
            Link(
                hook=name,
                plugin=implementation.plugin_name,
                wraps=implementation.wrapper or implementation.hookwrapper,
            )
            for name in hook_names()
            for implementation in reversed(getattr(self._manager.hook, name).get_hookimpls())
        )

    def plugin_names(self) -> tuple[str, ...]:
        """All plugins in the order of their registration."""
        return tuple(name for name, plugin in self._manager.list_name_plugin() if plugin is not None)

    def fit_transfers(self, *, orders: tuple[Order, ...], shop: Shop, date: date) -> TransferFits:
        """See `hookspecs.fit_transfers`; so for all the following."""
        return self._first("fit_transfers", TransferFits, orders=orders, shop=shop, date=date)

    def check_orders(
        self, *, orders: tuple[Order, ...], shop: Shop, fits: TransferFits, date: date
    ) -> tuple[Problem, ...]:
        """What every plugin finds wrong."""
        return self._all("check_orders", Problem, orders=orders, shop=shop, fits=fits, date=date)

    def list_prints(
        self, *, orders: tuple[Order, ...], shop: Shop, fits: TransferFits, stock: tuple[StockLot, ...]
    ) -> PrintList:
        """The prints needed."""
        return self._first("list_prints", PrintList, orders=orders, shop=shop, fits=fits, stock=stock)

    def gang_sheets(self, *, orders: tuple[Order, ...], shop: Shop, prints: PrintList) -> SheetPlan:
        """The sheets to buy."""
        return self._first("gang_sheets", SheetPlan, orders=orders, shop=shop, prints=prints)

    def pack_orders(self, *, orders: tuple[Order, ...], shop: Shop) -> PackingPlan:
        """The cartons."""
        return self._first("pack_orders", PackingPlan, orders=orders, shop=shop)

    def list_press_runs(
        self,
        *,
        orders: tuple[Order, ...],
        shop: Shop,
        prints: PrintList,
        sheets: SheetPlan,
        date: date,
        start: datetime,
    ) -> PressTaskList:
        """The work to press."""
        return self._first(
            "list_press_runs",
            PressTaskList,
            orders=orders,
            shop=shop,
            prints=prints,
            sheets=sheets,
            date=date,
            start=start,
        )

    def cost_orders(
        self,
        *,
        orders: tuple[Order, ...],
        shop: Shop,
        prints: PrintList,
        sheets: SheetPlan,
        packing: PackingPlan,
        tasks: PressTaskList,
    ) -> CostBook:
        """The costs."""
        return self._first(
            "cost_orders",
            CostBook,
            orders=orders,
            shop=shop,
            prints=prints,
            sheets=sheets,
            packing=packing,
            tasks=tasks,
        )

    def price_orders(
        self, *, orders: tuple[Order, ...], shop: Shop, costs: CostBook, packing: PackingPlan
    ) -> PriceBook:
        """The prices and charges."""
        return self._first("price_orders", PriceBook, orders=orders, shop=shop, costs=costs, packing=packing)

    def bill_orders(
        self,
        *,
        orders: tuple[Order, ...],
        shop: Shop,
        costs: CostBook,
        prices: PriceBook,
        prepaid: tuple[Prepayment, ...],
        date: date,
    ) -> BillBook:
        """The bills and margins."""
        return self._first(
            "bill_orders",
            BillBook,
            orders=orders,
            shop=shop,
            costs=costs,
            prices=prices,
            prepaid=prepaid,
            date=date,
        )

    def bill_deposit(self, *, bill: Bill, shop: Shop, date: date) -> Bill:
        """The bill of a deposit invoice."""
        return self._first("bill_deposit", Bill, bill=bill, shop=shop, date=date)

    def bill_credit(
        self, *, invoice: Bill, credited: tuple[Bill, ...], request: CreditRequest, shop: Shop
    ) -> Bill:
        """The bill of a credit note."""
        return self._first("bill_credit", Bill, invoice=invoice, credited=credited, request=request, shop=shop)

    def schedule_presses(
        self,
        *,
        orders: tuple[Order, ...],
        shop: Shop,
        tasks: PressTaskList,
        start: datetime,
        so_far: SoFar | None,
    ) -> PressSchedule:
        """The schedule."""
        return self._first(
            "schedule_presses", PressSchedule, orders=orders, shop=shop, tasks=tasks, start=start, so_far=so_far
        )

    def make_documents(self, *, run: Run) -> Iterator[Document]:
        """All papers and tables of all plugins, each made when it is asked for."""
        return self._each("make_documents", Document, run=run)

    def make_vouchers(self, *, vouchers: tuple[Voucher, ...], shop: Shop) -> Iterator[Document]:
        """The papers of deposit invoices and credit notes."""
        return self._each("make_vouchers", Document, vouchers=vouchers, shop=shop)

    def make_statements(self, *, statements: tuple[Statement, ...], shop: Shop) -> Iterator[Document]:
        """The statements of account."""
        return self._each("make_statements", Document, statements=statements, shop=shop)

    def make_replan_documents(self, *, replan: Replan) -> Iterator[Document]:
        """The floor's papers of a week that was planned again."""
        return self._each("make_replan_documents", Document, replan=replan)

    def index_replan_documents(self, *, replan: Replan, documents: tuple[Document, ...]) -> Iterator[Document]:
        """What ties those together."""
        return self._each("index_replan_documents", Document, replan=replan, documents=documents)

    def index_documents(self, *, run: Run, documents: tuple[Document, ...]) -> Iterator[Document]:
        """What ties all of those together."""
        return self._each("index_documents", Document, run=run, documents=documents)

    def show_folder(self, *, folder: WatchedFolder, shop: Shop) -> Document:
        """The page of the watched folder."""
        return self._first("show_folder", Document, folder=folder, shop=shop)

    def _first(self, hook: str, kind: type[R], /, **arguments: object) -> R:
        value = self._guarded(hook, lambda: getattr(self._manager.hook, hook)(**arguments))
        if not isinstance(value, kind):
            answered = (
                "nobody answered, or a wrapper returned nothing"
                if value is None
                else f"the answer is of type {type(value).__name__}"
            )
            raise PluginFailed(f"`{hook}` must give a {kind.__name__}, but {answered}{self._asked(hook)}")
        return value

    def _all(self, hook: str, kind: type[R], /, **arguments: object) -> tuple[R, ...]:
        return tuple(self._each(hook, kind, **arguments))

    def _each(self, hook: str, kind: type[R], /, **arguments: object) -> Iterator[R]:
        # pluggy asks the plugin registered last first; people read results in the order of registration.
        answers = self._guarded(hook, lambda: reversed(getattr(self._manager.hook, hook)(**arguments)))
        items = chain.from_iterable(answers)
        # A hook written as a generator runs only when it is read: each item is read inside a guarded call.
        while (item := self._guarded(hook, lambda: next(items, _END))) is not _END:
            if not isinstance(item, kind):
                wrong = f"`{hook}` must give {kind.__name__} values, not one of type {type(item).__name__}"
                raise PluginFailed(f"{wrong}{self._asked(hook)}")
            yield item

    def _asked(self, hook: str) -> str:
        """Who may have given a wrong answer: pluggy does not tell whose it is."""
        return f" (asked: {', '.join(link.plugin for link in self.chain() if link.hook == hook)})"

    def _guarded(self, hook: str, call: Callable[[], Any]) -> Any:
        try:
            return call()
        except (StopRun, PluginFailed):
            raise
        except (Exception, SystemExit) as error:
            # A plugin that calls sys.exit would end the command as if all were done.
            plugin, where = self._culprit(error)
            raise PluginFailed(f"plugin '{plugin}' failed in {hook}, {where}: {error!r}") from error

    def _culprit(self, error: BaseException) -> tuple[str, str]:
        """The plugin deepest in the traceback, and the file and line where it was."""
        found = ("unknown", "")
        for frame, line in traceback.walk_tb(error.__traceback__):
            module = str(frame.f_globals.get("__name__", ""))
            for name, plugin in self._manager.list_name_plugin():
                own = getattr(plugin, "__name__", "")
                if own and (module == own or module.startswith(own + ".")):
                    found = (name, f"{Path(frame.f_code.co_filename).name}:{line}")
        return found


def hook_names() -> tuple[str, ...]:
    """The hooks in the order of the work, as the contract has them."""
    return tuple(
        name
        for name, value in vars(hookspecs).items()
        if callable(value) and hasattr(value, f"{hookspecs.PROJECT}_spec")
    )
