"""A whole run: everything that the documents are made from."""

from datetime import date, datetime
from enum import StrEnum
from functools import cached_property

from attrs import frozen

from pipeline.model.cost import BillBook, CostBook, PriceBook
from pipeline.model.order import Order
from pipeline.model.packing import PackingPlan
from pipeline.model.press import PressTaskList
from pipeline.model.prints import PrintList, TransferFits
from pipeline.model.schedule import PressSchedule
from pipeline.model.sheet import SheetPlan
from pipeline.model.without import Without
from pipeline.problems import Problem
from pipeline.shop import Shop


class RunKind(StrEnum):
    """A run gives numbers and is recorded; a quote does neither."""

    RUN = "run"
    QUOTE = "quote"


@frozen(kw_only=True)
class Plan:
    """What the stages decided for one batch, before it has numbers."""

    orders: tuple[Order, ...]
    fits: TransferFits
    prints: PrintList
    sheets: SheetPlan
    packing: PackingPlan
    tasks: PressTaskList
    costs: CostBook
    prices: PriceBook
    bills: BillBook
    schedule: PressSchedule


@frozen(kw_only=True)
class Numbered:
    """The number given to one thing: an order's invoice, or a purchase from one supplier."""

    name: str
    number: str


@frozen(kw_only=True)
class CartonCode:
    """The Serial Shipping Container Code of one carton: 18 digits that no other carton ever has."""

    job: str
    carton: int
    sscc: str


@frozen(kw_only=True)
class Run:
    """One batch of orders from one shop, planned and numbered."""

    #: `2026-W49`: the output folder's name.
    label: str
    kind: RunKind
    #: The day of issue, and when pressing may start.
    date: date
    start: datetime
    shop: Shop
    plan: Plan
    #: Orders that stay behind, by job or file name, and everything that was found wrong or worth knowing.
    held: tuple[str, ...]
    problems: tuple[Problem, ...]
    #: Job -> invoice number; supplier -> purchase number. Empty for a quote.
    invoices: tuple[Numbered, ...] = ()
    purchases: tuple[Numbered, ...] = ()
    #: Where the shop has a GS1 Company Prefix; empty for a quote.
    cartons: tuple[CartonCode, ...] = ()
    #: A quote to see what taking off some orders does to the others: they are not in the plan.
    without: Without | None = None

    @property
    def orders(self) -> tuple[Order, ...]:
        """The orders that go on."""
        return self.plan.orders

    @property
    def tasks(self) -> PressTaskList:
        """What is pressed."""
        return self.plan.tasks

    @property
    def schedule(self) -> PressSchedule:
        """Who presses it, where and when."""
        return self.plan.schedule

    def order(self, job: str) -> Order:
        """The order of this job. Raises KeyError."""
        return self._orders_by_job[job]

    def invoice_number(self, job: str) -> str:
        """The invoice number of an order, "" for a quote."""
        return self._invoice_by_job.get(job, "")

    def sscc(self, job: str, carton: int) -> str:
        """The code of a carton, "" where there is none."""
        return self._sscc_by_carton.get((job, carton), "")

    def purchase_number(self, supplier: str) -> str:
        """The purchase order number for a supplier, "" for a quote."""
        return next((n.number for n in self.purchases if n.name == supplier), "")

    @cached_property
    def _orders_by_job(self) -> dict[str, Order]:
        return {order.job: order for order in self.orders}

    @cached_property
    def _sscc_by_carton(self) -> dict[tuple[str, int], str]:
        return {(code.job, code.carton): code.sscc for code in self.cartons}

    @cached_property
    def _invoice_by_job(self) -> dict[str, str]:
        return {item.name: item.number for item in self.invoices}


@frozen(kw_only=True)
class Replan:
    """Runs of which the presses were planned again: what the floor's papers are made from."""

    #: `2026-W49-at-1202-1030`: the output folder's name; and the runs' labels, the earliest first.
    label: str
    runs: tuple[str, ...]
    #: The day from which on it is planned.
    date: date
    shop: Shop
    orders: tuple[Order, ...]
    tasks: PressTaskList
    schedule: PressSchedule

    def order(self, job: str) -> Order:
        """The order of this job. Raises KeyError."""
        return self._orders_by_job[job]

    @cached_property
    def _orders_by_job(self) -> dict[str, Order]:
        return {order.job: order for order in self.orders}
