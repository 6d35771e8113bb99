"""run.json: a run as data, for other programs and for whoever asks years later how a paper came about.

Canonical JSON without a clock in it: the same run gives the same bytes. `schemas/run.schema.json` describes it.
Amounts are in minor units of the currency, lengths in micrometres, times as in ISO 8601 with their offset.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from pipeline.canonical import Json, canonical, digest, fields, plain
from pipeline.model.account import Voucher
from pipeline.model.cost import MarginLevel
from pipeline.model.document import Audience, Document
from pipeline.model.press import PressTaskList
from pipeline.model.run import Run
from pipeline.model.schedule import PressSchedule
from pipeline.problems import Problem
from pipeline.shop import Shop

RECORD = "run.json"
"""The name of the record in a run's folder."""

VOUCHERS = "vouchers.json"
"""The name of the record in a folder of deposit invoices or credit notes."""

FORMAT = "peelwright run 1"
VOUCHERS_FORMAT = "peelwright vouchers 1"
"""How the records say what they are; the number grows when a reader must know."""


def run_record(
    run: Run,
    documents: Iterable[Document],
    inputs: Mapping[str, str],
    plugins: Sequence[str],
    versions: Mapping[str, str],
) -> Document:
    """The record of a run with these documents.

    `inputs` gives the SHA-256 of each file that was read, by its name relative to the shop; `plugins` stand in
    the order in which they were found; `versions` gives those of peelwright and of the packages that plugins
    came from.
    """
    record: dict[str, Json] = {
        "format": FORMAT,
        "label": run.label,
        "kind": str(run.kind),
        "date": plain(run.date),
        "start": plain(run.start),
        "shop": run.shop.name,
        "currency": run.shop.currency,
        "inputs": [{"path": path, "sha256": inputs[path]} for path in sorted(inputs)],
        "plugins": list(plugins),
        "versions": dict(versions),
        "orders": _orders(run),
        "held": list(run.held),
        "purchases": [{"supplier": item.name, "number": item.number} for item in run.purchases],
        "prints": _prints(run),
        "stock_uses": plain(run.plan.prints.stock_uses),
        "sheets": [
            {**fields(layout), "cost": layout.cost, "stages": layout.stages} for layout in run.plan.sheets.layouts
        ],
        "transfer_orders": plain(run.plan.sheets.orders),
        "cost_of_transfers": run.plan.sheets.cost,
        "sharing": _sharing(run),
        "without": plain(run.without),
        "surplus": plain(run.plan.sheets.surplus),
        "cartons": [
            {**fields(carton), "sscc": run.sscc(carton.job, carton.number)} for carton in run.plan.packing.cartons
        ],
        "tasks": plain(run.plan.tasks.tasks),
        "schedule": runs_record(run.plan.tasks, run.plan.schedule),
        "late": plain(run.plan.schedule.late),
        "press_use": plain(run.plan.schedule.presses),
        "operator_use": plain(run.plan.schedule.operators),
        "least_tardiness": run.plan.schedule.bound,
        "problems": [_problem(problem) for problem in run.problems],
        "documents": documents_record(documents),
    }
    return Document(path=RECORD, title="The run as data", content=canonical(record), audience=Audience.OFFICE)


def vouchers_record(
    label: str, on: date, shop: Shop, vouchers: Iterable[Voucher], documents: Iterable[Document]
) -> Document:
    """vouchers.json: deposit invoices and credit notes that were given at one time, as data."""
    record: dict[str, Json] = {
        "format": VOUCHERS_FORMAT,
        "label": label,
        "date": plain(on),
        "shop": shop.name,
        "currency": shop.currency,
        "vouchers": plain(tuple(vouchers)),
        "documents": documents_record(documents),
    }
    return Document(path=VOUCHERS, title="The same as data", content=canonical(record), audience=Audience.OFFICE)


def documents_record(documents: Iterable[Document]) -> list[Json]:
    """Each document with the hash of its content."""
    return [
        {
            "path": document.path,
            "title": document.title,
            "audience": str(document.audience),
            "job": document.job,
            "sha256": digest(document.content),
        }
        for document in documents
    ]


def _orders(run: Run) -> list[Json]:
    """Each order with its number, its cost and its whole bill."""
    bills = {bill.job: bill for bill in run.plan.bills.bills}
    costs = {m.name: m.cost for m in run.plan.bills.margins if m.level is MarginLevel.ORDER}
    numbers = {item.name: item.number for item in run.invoices}
    return [
        {
            "job": order.job,
            "customer": order.customer,
            "sha256": order.sha256,
            "due": plain(order.due),
            "pieces": order.quantity,
            "invoice": numbers.get(order.job, ""),
            "cost": costs.get(order.job),
            "bill": plain(bills[order.job]),
        }
        for order in run.orders
    ]


def _sharing(run: Run) -> Json:
    """How good the sheets are: what is proven, what the simple way costs, what each order would pay alone."""
    sheets = run.plan.sheets
    return {
        "lower_bound": sheets.lower_bound,
        "extra_labour": sheets.extra_labour,
        "within": None if sheets.gap is None else plain(sheets.gap),
        "one_layout_per_order": sheets.simple_cost,
        "orders": [{"job": o.job, "paid": o.shared, "alone": o.alone} for o in run.plan.costs.orders],
    }


def _prints(run: Run) -> list[Json]:
    """Each demand with the transfer that prints it."""
    return [
        {
            "id": demand.id,
            "customer": demand.customer,
            "artwork": demand.artwork.path,
            "sha256": demand.artwork.sha256,
            "width": demand.width,
            "height": demand.height,
            "transfer": run.plan.sheets.transfer_of(demand.id),
            "pieces": demand.pieces,
            "spares": demand.spares,
            "from_stock": demand.from_stock,
            "jobs": list(demand.jobs),
        }
        for demand in run.plan.prints.demands
    ]


def runs_record(tasks: PressTaskList, schedule: PressSchedule) -> list[Json]:
    """Each press run with what is pressed."""
    made: list[Json] = []
    for press_run in schedule.runs:
        task = tasks.task(press_run.task)
        made.append(
            {
                **fields(press_run),
                "job": task.ref.job,
                "order_line": task.ref.line + 1,
                "print": task.ref.print + 1,
                "transfer": task.transfer,
                "pieces": task.quantity,
            }
        )
    return made


def _problem(problem: Problem) -> Json:
    return {
        "code": problem.code,
        "severity": str(problem.severity),
        "message": problem.message,
        "hint": problem.hint,
        "job": problem.job,
        "file": problem.origin.file,
        "line": problem.origin.line,
        "column": problem.origin.column,
    }
