"""Two weeks against one ledger: what the first has left over, the second does not buy again."""

from collections import Counter
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from attrs import evolve
from hypothesis import given, settings

from pipeline.canonical import digest
from pipeline.ledger import Ledger, number
from pipeline.model.prints import StockLot
from pipeline.model.run import Run, RunKind
from pipeline.record import run_record
from tests.builders import MONDAY
from tests.properties.judges import faults, short_prints
from tests.properties.small_weeks import START, Planned, Week, planned, weeks

Picture = tuple[str, str, int, int]
"""Customer, content, width, height."""


def recorded(ledger: Ledger, week: Week, on: date) -> tuple[Planned, tuple[StockLot, ...]]:
    """Plan a week on what the ledger has in stock, and record it; the plan and that stock."""
    snapshot = ledger.read([order.job for order in week.orders], on=on)
    done = planned(week, snapshot.stock, on)
    run = Run(
        label=snapshot.free_label(f"{on.isocalendar().year}-W{on.isocalendar().week:02}"),
        kind=RunKind.RUN,
        date=on,
        start=START + (on - MONDAY),
        shop=done.shop,
        plan=done.plan,
        held=(),
        problems=(),
    )
    run = number(run, snapshot)
    files = {order.job: order.job.encode() for order in done.plan.orders}
    ledger.record(run, snapshot, files, [run_record(run, [], inputs={}, plugins=[], versions={})])
    return done, snapshot.stock


def a_week_later(week: Week) -> Week:
    """The same customers order the same again."""
    orders = []
    for order in week.orders:
        job = order.job.replace("H-", "K-")
        orders.append(evolve(order, job=job, due=order.due + timedelta(weeks=1), sha256=digest(job.encode())))
    return evolve(week, orders=tuple(orders))


def lying(stock: tuple[StockLot, ...]) -> Counter[Picture]:
    """Copies in stock."""
    copies: Counter[Picture] = Counter()
    for lot in stock:
        copies[lot.customer, lot.sha256, lot.width, lot.height] += lot.copies
    return copies


def left_over(done: Planned) -> Counter[Picture]:
    """Copies bought above pieces and spares, counted from the sheets."""
    demands = {demand.id: demand for demand in done.plan.prints.demands}
    bought = Counter(
        {d.id: d.from_stock - d.spares - sum(use.pieces for use in d.uses) for d in demands.values()}
    )
    for layout in done.plan.sheets.layouts:
        for item in layout.prints:
            bought[item.demand] += layout.sheets
    copies: Counter[Picture] = Counter()
    for name, count in bought.items():
        demand = demands[name]
        copies[demand.customer, demand.artwork.sha256, demand.width, demand.height] += count
    return +copies


@settings(max_examples=6)
@given(weeks())
def test_leftover_prints_are_used_before_any_is_bought(week: Week) -> None:
    """Nothing in stock is forgotten, given out twice, or paid for again by the week that uses it."""
    with TemporaryDirectory() as folder, Ledger.open(Path(folder) / "ledger.sqlite") as ledger:
        first, nothing = recorded(ledger, week, MONDAY)
        assert nothing == ()
        second, stock = recorded(ledger, a_week_later(week), MONDAY + timedelta(weeks=1))
        after = ledger.read([], on=MONDAY + timedelta(weeks=1)).stock

    assert lying(stock) == left_over(first)
    used: Counter[Picture] = Counter()
    for demand in second.plan.prints.demands:
        used[demand.customer, demand.artwork.sha256, demand.width, demand.height] += demand.from_stock
    # The same is ordered again: of each picture in stock, some is used, and none is used that is not there.
    assert {picture for picture, copies in used.items() if copies} == set(lying(stock))
    assert used <= lying(stock)
    assert lying(after) == lying(stock) - used + left_over(second)
    assert list(short_prints(second.plan, stock)) == []
    assert faults(second.shop, second.plan, MONDAY + timedelta(weeks=1)) == []
