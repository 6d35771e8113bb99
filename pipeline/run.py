"""The whole journey of a batch, order to documents, on one screen.

Reading and recording happen here; every decision of the trade is a stage's.
"""

from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime
from pathlib import Path

from attrs import evolve, frozen

from pipeline.batch import Batch, JobFile, open_batch, read_batch, read_files, with_files
from pipeline.canonical import Json
from pipeline.door import check_orders
from pipeline.durable import make_folders
from pipeline.ledger import (
    Drop,
    Ledger,
    LedgerMoved,
    Recorded,
    Snapshot,
    carton_problems,
    number,
    number_problems,
)
from pipeline.ledger.changes import changed_job
from pipeline.model.cost import Prepayment
from pipeline.model.order import Order
from pipeline.model.prints import StockLot, TransferFits
from pipeline.model.run import Plan, Run, RunKind
from pipeline.model.show import money
from pipeline.outbox import deliver_run, deliver_waiting
from pipeline.output import Delivery, deliver, papers_in, withdraw_quote
from pipeline.plugin_manager import load_plugins, versions
from pipeline.problems import Outcome, Problem, StopRun, has_errors, in_order, showing
from pipeline.record import run_record
from pipeline.request import Request, as_typed
from pipeline.shop import Shop
from pipeline.source import parse
from pipeline.spool import Spool
from pipeline.stages import Stages
from pipeline.without import cannot_take_off, compared, label_without

Progress = Callable[[str], None]
"""Told what begins, in a word."""

TRIES = 5
"""How often a batch is planned anew because another run was recorded meanwhile."""


@frozen(kw_only=True)
class Report:
    """What a run did, for the terminal and for tools."""

    kind: RunKind
    shop: Shop
    problems: tuple[Problem, ...]
    #: File name -> text, to show the lines that problems point at.
    sources: Mapping[str, str]
    #: Orders that go on, and those that stay behind, by job or, where that could not be read, by file.
    orders: tuple[Order, ...] = ()
    held: tuple[str, ...] = ()
    #: Orders that the ledger knew already, unchanged.
    repeated: tuple[Recorded, ...] = ()
    #: What was planned now; None when nothing new was left to plan.
    run: Run | None = None
    #: The run's folder, as people would type it, and what was written there.
    folder: str = ""
    delivery: Delivery | None = None
    #: The folders of the runs that took the repeated orders, and which papers were missing or changed there.
    earlier: tuple[str, ...] = ()
    restored: tuple[str, ...] = ()


def run(request: Request, progress: Progress = lambda _: None) -> Report:
    """Take a batch of job files through everything. Raises StopRun, PluginFailed, LedgerError and OSError.

    A quote reads the ledger, for the prints in stock, and writes nothing to it.
    """
    for _ in range(TRIES):
        try:
            return _run_once(request, progress)
        except LedgerMoved:
            continue
    raise LedgerMoved


def check(request: Request) -> Report:
    """Validate only: nothing is planned, written or recorded. What `run` would say of recorded jobs is said."""
    batch = read_batch(request)
    with showing(batch.sources), Ledger.of(batch.shop, create=False) as ledger:
        stages = _stages(batch)
        snapshot = ledger.read([order.job for order in batch.orders], on=batch.date)
        batch, repeated = without_recorded(batch, ledger, snapshot)
        batch = _without_unpaid(batch, snapshot)
        report, _ = at_the_door(batch, stages, request.kind)
        return evolve(report, repeated=repeated)


def look_over(request: Request, ledger: Ledger, stages: Stages) -> tuple[Batch, Snapshot, Report, TransferFits]:
    """A batch read and checked on what the ledger knows, invoiced orders set apart; nothing is planned yet."""
    batch = read_batch(request)
    snapshot = ledger.read([order.job for order in batch.orders], on=batch.date)
    batch, repeated = without_recorded(batch, ledger, snapshot)
    report, fits = at_the_door(batch, stages, request.kind)
    return batch, snapshot, evolve(report, repeated=repeated), fits


def _run_once(request: Request, progress: Progress) -> Report:
    progress("reading")
    batch = open_batch(request)
    keeps = request.kind is RunKind.RUN
    _insist(_in_the_way(request.out or batch.shop.root / "out"))
    with Ledger.of(batch.shop, create=keeps) as ledger:
        batch = with_files(batch, _files(request, batch.shop, ledger))
        with showing(batch.sources):
            return _journey(request, batch, ledger, progress)


def _files(request: Request, shop: Shop, ledger: Ledger) -> Iterable[JobFile]:
    if request.gathered is None:
        return read_files(request.files, shop)
    return [
        JobFile(name=drop.name, content=Outcome(value=drop.file))
        for drop in ledger.waiting()
        if drop.job in request.gathered or not request.gathered
    ]


def _journey(request: Request, batch: Batch, ledger: Ledger, progress: Progress) -> Report:
    shop, keeps = batch.shop, request.kind is RunKind.RUN
    stages = _stages(batch)
    out = request.out or shop.root / "out"
    snapshot = ledger.read([order.job for order in batch.orders], on=batch.date)
    repeated: tuple[Recorded, ...] = ()
    earlier: dict[str, Delivery] = {}
    if keeps:
        _insist(ledger.unknown(papers_in(out)))
        deliver_waiting(ledger, out)
    if keeps or request.without:
        batch, repeated = without_recorded(batch, ledger, snapshot)
    if keeps or request.gathered is not None:
        batch = _without_unpaid(batch, snapshot)
    if keeps:
        earlier = {
            name: deliver_run(ledger, name, out) for name in dict.fromkeys(known.run for known in repeated)
        }
    progress("checking")
    report, fits = at_the_door(batch, stages, request.kind)
    report = evolve(
        report,
        repeated=repeated,
        earlier=tuple(as_typed(out / name) for name in earlier),
        restored=tuple(as_typed(out / name / path) for name, done in earlier.items() for path in done.written),
    )
    _insist(
        tuple(cannot_take_off(request.without, report.orders, report.held, repeated)) if request.without else ()
    )
    if not report.orders or (request.strict and report.held):
        return report
    if keeps:
        last = None if request.backdate else snapshot.last_issue
        _insist(number_problems(shop.numbering, batch.date, last))
    # Where the papers cannot go is better known before the work, and before numbers are given.
    make_folders(out)
    given = (shop, fits, snapshot.stock, batch.date, batch.start, progress, snapshot.prepaid())
    plan, without = make_plan(stages, report.orders, *given), None
    if request.without:
        report = evolve(report, orders=tuple(o for o in report.orders if o.job not in request.without))
        whole, plan = plan, make_plan(stages, report.orders, *given)
        without = compared(whole, plan)
    made = Run(
        label=snapshot.free_label(_label(request, batch)),
        kind=request.kind,
        date=batch.date,
        start=batch.start,
        shop=shop,
        plan=plan,
        held=report.held,
        problems=in_order((*report.problems, *plan.costs.notes)),
        without=without,
    )
    if keeps:
        _insist(carton_problems(made, snapshot))
        made = number(made, snapshot)
    progress("documents")
    with Spool() as spool:
        papers = spool.keep(stages.make_documents(run=made))
        papers += spool.keep(stages.index_documents(run=made, documents=papers))
        papers += (run_record(made, papers, batch.inputs, stages.plugin_names(), versions(shop)),)
        progress("writing")
        withdraw_quote(out / made.label, papers)
        if keeps:
            files = {order.job: batch.files[order.job] for order in report.orders}
            ledger.record(made, snapshot, files, papers, request.backdate)
            delivery = deliver_run(ledger, made.label, out)
        else:
            delivery = deliver(out / made.label, papers)
    return evolve(report, run=made, problems=made.problems, folder=as_typed(out / made.label), delivery=delivery)


def _label(request: Request, batch: Batch) -> str:
    if request.kind is RunKind.RUN:
        return batch.label
    return f"quote-{label_without(batch.label, request.without) if request.without else batch.label}"


def _stages(batch: Batch) -> Stages:
    """The plugins. Stops, too, when the shop's numbers could not tell invoices apart, whoever asks and whenever."""
    _insist(number_problems(batch.shop.numbering, batch.date, last_issue=None))
    return load_plugins(batch.shop)


def _in_the_way(out: Path) -> tuple[Problem, ...]:
    if not out.exists() or out.is_dir():
        return ()
    hint = "choose a folder with --out, or move the file away"
    return (Problem(code="E622", message=f"`{as_typed(out)}` is a file, not a folder", hint=hint),)


def _insist(problems: tuple[Problem, ...]) -> None:
    """Stop when there is an error: what concerns the ledger concerns every order."""
    if has_errors(problems):
        raise StopRun(problems)


def without_recorded(batch: Batch, ledger: Ledger, snapshot: Snapshot) -> tuple[Batch, tuple[Recorded, ...]]:
    """Set apart what was invoiced before; a job that is recorded, or waits, with another file is an error."""
    fresh, repeated, changed = [], [], []
    waiting = {drop.job: drop for drop in ledger.waiting()}
    for order in batch.orders:
        known = snapshot.of(order.job)
        if known is None:
            fresh.append(order)
            waits = waiting.get(order.job)
            if waits is not None and waits.sha256 != order.sha256:
                changed.append(_waits(order, waits))
        elif known.sha256 == order.sha256:
            repeated.append(known)
        else:
            fresh.append(order)
            changed.append(
                changed_job(order, known, as_data(ledger.file(order.job)), as_data(batch.files[order.job]))
            )
    return evolve(batch, orders=tuple(fresh), problems=(*batch.problems, *changed)), tuple(repeated)


def _without_unpaid(batch: Batch, snapshot: Snapshot) -> Batch:
    """Hold the orders whose deposit was asked for and is not paid (E635): work begins when it is."""
    waiting = []
    for order in batch.orders:
        deposit = snapshot.deposit_of(order.job)
        if deposit is not None and deposit.open > 0:
            number, amount = deposit.number, money(deposit.open, batch.shop.currency)
            problem = Problem(
                code="E635",
                message=f"of the deposit {number}, {amount} is not paid",
                hint=f"`peelwright ledger pay {number}` records a payment, `ledger credit {number}` takes it back",
                origin=order.at("job"),
                job=order.job,
            )
            waiting.append(problem)
    return evolve(batch, problems=(*batch.problems, *waiting))


def _waits(order: Order, drop: Drop) -> Problem:
    return Problem(
        code="E640",
        message=f"{order.job} waits in the watched folder with another file, `{drop.name}`",
        hint="close the week for that one, or withdraw it first",
        origin=order.at("job"),
        job=order.job,
    )


def as_data(content: bytes) -> Json:
    """A job file that was read before, as plain data."""
    source = parse(content, "job").value
    return source.data if source else None


def at_the_door(batch: Batch, stages: Stages, kind: RunKind) -> tuple[Report, TransferFits]:
    """Hold what is wrong; the others go on."""
    fits = stages.fit_transfers(orders=batch.orders, shop=batch.shop, date=batch.date)
    problems = in_order((*batch.problems, *check_orders(batch, stages, fits)))
    wrong_jobs = {p.job for p in problems if p.is_error and p.job}
    wrong_files = {p.origin.file for p in problems if p.is_error}
    held = [o for o in batch.orders if o.job in wrong_jobs or o.origin.file in wrong_files]
    report = Report(
        kind=kind,
        shop=batch.shop,
        problems=problems,
        sources=batch.sources,
        orders=tuple(order for order in batch.orders if order not in held),
        held=(*dict.fromkeys(order.job for order in held), *batch.unreadable),
    )
    return report, fits


def make_plan(
    stages: Stages,
    orders: tuple[Order, ...],
    shop: Shop,
    fits: TransferFits,
    stock: tuple[StockLot, ...],
    date: date,
    start: datetime,
    progress: Progress = lambda _: None,
    prepaid: tuple[Prepayment, ...] = (),
) -> Plan:
    """The stages in the order of the work. The same arguments give the same plan."""
    progress("grouping")
    prints = stages.list_prints(orders=orders, shop=shop, fits=fits, stock=stock)
    sheets = stages.gang_sheets(orders=orders, shop=shop, prints=prints)
    packing = stages.pack_orders(orders=orders, shop=shop)
    tasks = stages.list_press_runs(orders=orders, shop=shop, prints=prints, sheets=sheets, date=date, start=start)
    progress("costing")
    costs = stages.cost_orders(
        orders=orders, shop=shop, prints=prints, sheets=sheets, packing=packing, tasks=tasks
    )
    prices = stages.price_orders(orders=orders, shop=shop, costs=costs, packing=packing)
    bills = stages.bill_orders(orders=orders, shop=shop, costs=costs, prices=prices, prepaid=prepaid, date=date)
    progress("scheduling")
    schedule = stages.schedule_presses(orders=orders, shop=shop, tasks=tasks, start=start, so_far=None)
    return Plan(
        orders=orders,
        fits=fits,
        prints=prints,
        sheets=sheets,
        packing=packing,
        tasks=tasks,
        costs=costs,
        prices=prices,
        bills=bills,
        schedule=schedule,
    )
