"""A plan that adds up and a run of it, for tests that need a whole one.

A plan made here is a plain one, worked out on paper, not by the stages: each print has a layout of its own with
one copy a sheet, runs follow one another on one press, and each piece costs what its line says.
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from typing import Any

from pipeline.model.cost import (
    Bill,
    BillBook,
    BillLine,
    CostBook,
    CostKind,
    CostPart,
    LineCost,
    LinePrice,
    Margin,
    MarginLevel,
    OrderShare,
    PriceBasis,
    PriceBook,
    SheetShare,
    TaxLine,
)
from pipeline.model.money import Money, rounded
from pipeline.model.order import Line, Order, Print
from pipeline.model.packing import Carton, PackedPieces, PackingPlan
from pipeline.model.press import PieceTime, PressTask, PressTaskList
from pipeline.model.prints import PrintDemand, PrintList, PrintRef, PrintUse, StockUse, TransferFit, TransferFits
from pipeline.model.run import Plan, Run, RunKind
from pipeline.model.schedule import OperatorUse, PressRun, PressSchedule, PressUse
from pipeline.model.sheet import Layout, OrderAlone, PlacedPrint, SheetPlan, Surplus, TransferOrder
from pipeline.shop import Shop
from tests.builders import MONDAY, make_order, make_shop

START = datetime(2026, 12, 3, 8, tzinfo=UTC)


def make_demands(orders: Sequence[Order], stock_uses: Sequence[StockUse] = ()) -> PrintList:
    """One demand for each print of each line, without spares; every size is printed alike."""
    demands: list[PrintDemand] = []
    for order, line, item, ref in _prints(orders):
        width, height = item.size_on("")
        demand = f"P{len(demands) + 1:02}"
        demands.append(
            PrintDemand(
                id=demand,
                customer=order.customer,
                artwork=item.picture,
                width=width,
                height=height,
                transfers=("full-colour",),
                uses=tuple(PrintUse(ref=ref, size=s.size, pieces=s.count) for s in line.pieces),
                spares=0,
                from_stock=sum(use.copies for use in stock_uses if use.demand == demand),
            )
        )
    return PrintList(demands=tuple(demands), stock_uses=tuple(stock_uses))


def make_sheets(shop: Shop, orders: Sequence[Order], prints: PrintList, surplus: int = 0) -> SheetPlan:
    """A layout for each demand with one copy on it; `surplus` copies of each are bought beyond need."""
    transfer = shop.transfers[0]
    size = transfer.sheets[0]
    layouts = tuple(
        Layout(
            id=f"S{number}",
            transfer=transfer.name,
            sheet_size=size.name,
            width=size.width,
            height=size.height,
            prints=(
                PlacedPrint(
                    demand=demand.id, x=size.margin, y=size.margin, width=demand.width, height=demand.height
                ),
            ),
            cuts=(),
            sheets=demand.to_buy + surplus,
            price=size.prices[0].price,
            set_up=Money(0),
        )
        for number, demand in enumerate(prints.demands, 1)
    )
    cost = Money(sum(layout.cost for layout in layouts))
    bought = TransferOrder(
        transfer=transfer.name,
        layouts=tuple(layout.id for layout in layouts),
        sheets=sum(layout.sheets for layout in layouts),
        order_charge=Money(0),
        cost=cost,
    )
    left = tuple(Surplus(demand=d.id, transfer=transfer.name, copies=surplus) for d in prints.demands if surplus)
    return SheetPlan(
        layouts=layouts,
        orders=(bought,),
        surplus=left,
        chosen=tuple((demand.id, transfer.name) for demand in prints.demands),
        alone=tuple(OrderAlone(job=order.job, cost=_paid(prints, layouts, order.job)) for order in orders),
        lower_bound=Money(0),
        simple_cost=cost,
        iterations=0,
    )


def make_bill(order: Order, shop: Shop, on: date = MONDAY) -> Bill:
    """One line on the bill for each of the order's, taxed at the rate of the goods."""
    lines = tuple(
        BillLine(
            number=number,
            line=number - 1,
            description=f"{line.garment} {line.colour}",
            quantity=line.quantity,
            unit_price=line.price or Fraction(0),
            net=rounded(line.quantity * (line.price or Fraction(0))),
            tax=shop.tax.goods,
        )
        for number, line in enumerate(order.lines, 1)
    )
    net = Money(sum(line.net for line in lines))
    rate = shop.tax_rate(shop.tax.goods)
    tax = rounded(net * rate.percent)
    return Bill(
        job=order.job,
        customer=order.customer,
        lines=lines,
        taxes=(TaxLine(tax=rate.name, title=rate.title, percent=rate.percent, base=net, amount=tax),),
        net=net,
        tax=tax,
        total=Money(net + tax),
        deposit=Money(0),
        pay_by=on + timedelta(days=30),
        terms="30 days net",
    )


def make_plan(
    shop: Shop,
    orders: Sequence[Order],
    surplus: int = 0,
    stock_uses: Sequence[StockUse] = (),
    on: date = MONDAY,
    start: datetime = START,
) -> Plan:
    """The plain plan of the module's docstring."""
    prints = make_demands(orders, stock_uses)
    sheets = make_sheets(shop, orders, prints, surplus)
    tasks = _tasks(orders, prints, start)
    lines = [(order, number, line) for order in orders for number, line in enumerate(order.lines)]
    shares = tuple(
        SheetShare(
            job=demand.uses[0].ref.job,
            line=demand.uses[0].ref.line,
            demand=demand.id,
            amount=layout.cost,
            spares=Money(0),
        )
        for demand, layout in zip(prints.demands, sheets.layouts, strict=True)
    )
    costs = CostBook(
        lines=tuple(
            LineCost(
                job=order.job,
                line=number,
                parts=(
                    CostPart(kind=CostKind.BLANKS, amount=Money(250 * line.quantity)),
                    CostPart(
                        kind=CostKind.TRANSFERS,
                        amount=Money(sum(s.amount for s in shares if (s.job, s.line) == (order.job, number))),
                    ),
                ),
            )
            for order, number, line in lines
        ),
        shares=shares,
        orders=tuple(OrderShare(job=alone.job, shared=alone.cost, alone=alone.cost) for alone in sheets.alone),
    )
    prices = PriceBook(
        lines=tuple(
            LinePrice(
                job=order.job, line=number, unit_price=line.price or Fraction(0), basis=PriceBasis.AGREED_ORDER
            )
            for order, number, line in lines
        )
    )
    bills = tuple(make_bill(order, shop, on) for order in orders)
    margins = tuple(
        Margin(level=MarginLevel.ORDER, name=bill.job, net=bill.net, cost=costs.of_order(bill.job))
        for bill in bills
    )
    return Plan(
        orders=tuple(orders),
        fits=TransferFits(
            fits=tuple(TransferFit(ref=ref, transfer=shop.transfers[0].name) for *_, ref in _prints(orders))
        ),
        prints=prints,
        sheets=sheets,
        packing=PackingPlan(
            cartons=tuple(
                Carton(
                    job=order.job,
                    number=1,
                    contents=tuple(
                        PackedPieces(line=number, size=s.size, count=s.count)
                        for number, line in enumerate(order.lines)
                        for s in line.pieces
                    ),
                    weight=500 + 150 * order.quantity,
                )
                for order in orders
            )
        ),
        tasks=tasks,
        costs=costs,
        prices=prices,
        bills=BillBook(bills=bills, margins=margins),
        schedule=_schedule(tasks, start),
    )


def make_run(orders: Sequence[Order] | None = None, shop: Shop | None = None, **changes: Any) -> Run:
    """A run, without numbers, of the given orders (one, when none are given) by the plain plan."""
    shop = shop or make_shop()
    on = changes.get("date", MONDAY)
    given = {
        "label": "2026-W49",
        "kind": RunKind.RUN,
        "date": on,
        "start": START,
        "shop": shop,
        "held": (),
        "problems": (),
    }
    if "plan" not in changes:
        given["plan"] = make_plan(shop, orders if orders is not None else (make_order(),), on=on)
    return Run(**{**given, **changes})


def _prints(orders: Sequence[Order]) -> list[tuple[Order, Line, Print, PrintRef]]:
    return [
        (order, line, item, PrintRef(job=order.job, line=at, print=index))
        for order in orders
        for at, line in enumerate(order.lines)
        for index, item in enumerate(line.prints)
    ]


def _paid(prints: PrintList, layouts: Sequence[Layout], job: str) -> Money:
    pairs = zip(prints.demands, layouts, strict=True)
    return Money(sum(layout.cost for demand, layout in pairs if job in demand.jobs))


def _tasks(orders: Sequence[Order], prints: PrintList, start: datetime) -> PressTaskList:
    """One task for each print; prints of one line follow one another."""
    tasks: list[PressTask] = []
    for (order, line, _, ref), demand in zip(_prints(orders), prints.demands, strict=True):
        earlier = tuple(task.id for task in tasks if (task.ref.job, task.ref.line) == (ref.job, ref.line))
        tasks.append(
            PressTask(
                id=f"R{len(tasks) + 1:02}",
                ref=ref,
                demands=(demand.id,),
                pieces=line.pieces,
                transfer="full-colour",
                presses=("press-a",),
                platens=("16x20",),
                pad="",
                piece_time=PieceTime(
                    load=timedelta(seconds=10), closed=timedelta(seconds=10), unload=timedelta(seconds=8)
                ),
                set_up=timedelta(minutes=10),
                cool=timedelta(0),
                release=start,
                due=datetime.combine(order.due, time(16), tzinfo=start.tzinfo),
                weight=1,
                spares=0,
                after=earlier[-1:],
            )
        )
    return PressTaskList(tasks=tuple(tasks))


def _schedule(tasks: PressTaskList, start: datetime) -> PressSchedule:
    """All tasks after one another on the first press, from `start` on, nights not minded."""
    runs: list[PressRun] = []
    at = start
    for task in tasks.tasks:
        begin = at + task.set_up
        end = begin + task.quantity * task.piece_time.on_press
        runs.append(
            PressRun(
                task=task.id,
                press="press-a",
                platen="16x20",
                pad="",
                operator="Ada",
                pressure_setting="4",
                changes=(),
                change_start=at,
                start=begin,
                end=end,
                done=end,
            )
        )
        at = end
    pressing = sum((run.end - run.start for run in runs), timedelta(0))
    use = PressUse(
        press="press-a", pressing=pressing, changing=(at - start) - pressing, share=Fraction(int(at > start))
    )
    tending = OperatorUse(
        operator="Ada", tending=at - start, peeling=timedelta(0), share=Fraction(int(at > start))
    )
    return PressSchedule(
        start=start, runs=tuple(runs), late=(), presses=(use,), iterations=0, operators=(tending,)
    )
