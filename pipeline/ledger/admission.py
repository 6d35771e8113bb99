"""Which runs may be recorded. Everything is held against the snapshot on which the run was planned."""

from collections.abc import Mapping, Sequence

from pipeline.canonical import digest, fields
from pipeline.ledger.bills import bill_faults
from pipeline.ledger.numbers import number, number_problems
from pipeline.ledger.snapshot import Snapshot
from pipeline.model.cost import Bill
from pipeline.model.document import Document
from pipeline.model.run import Run, RunKind
from pipeline.output import path_problems
from pipeline.problems import Problem


def refusals(
    run: Run, snapshot: Snapshot, documents: Sequence[Document], backdate: bool = False
) -> tuple[Problem, ...]:
    """What a person or a plugin did that keeps the run from being recorded.

    Days and templates of numbers (E602, E604), bills that do not add up (E610), stock that is not there or
    another's (E608), documents that cannot be delivered (E620, E621). `backdate` allows a day before the last.
    """
    return (
        *number_problems(run.shop.numbering, run.date, None if backdate else snapshot.last_issue),
        *_bill_problems(run, snapshot),
        *_stock_problems(run, snapshot),
        *path_problems(documents),
    )


def insist(run: Run, snapshot: Snapshot, files: Mapping[str, bytes]) -> None:
    """Raise ValueError where the caller is at fault: what no user and no plugin can bring about."""
    if run.kind is not RunKind.RUN:
        raise ValueError("a quote is never recorded")
    if snapshot.free_label(run.label) != run.label:
        raise ValueError(f"there is a run {run.label} already")
    if run != number(run, snapshot):
        raise ValueError("the numbers are not those that come next")
    known = {recorded.job for recorded in snapshot.recorded}
    for order in run.orders:
        if order.job in known:
            raise ValueError(f"{order.job} is recorded already")
        if digest(files[order.job]) != order.sha256:
            raise ValueError(f"the file of {order.job} is not the one that was read")


def _bill_problems(run: Run, snapshot: Snapshot) -> tuple[Problem, ...]:
    bills = {bill.job: bill for bill in run.plan.bills.bills}
    prepaid = snapshot.prepaid()

    def faults(bill: Bill) -> tuple[str, ...]:
        paid = tuple(payment for payment in prepaid if payment.job == bill.job)
        unpaid = () if bill.prepaid == paid else ("it does not take off what was paid of deposits",)
        return (*bill_faults(fields(bill)), *unpaid)

    return tuple(
        Problem(
            code="E610",
            message=f"the bill of {order.job} does not add up: {fault}",
            hint="the plugin that makes the bills is at fault",
            origin=order.origin,
            job=order.job,
        )
        for order in run.orders
        for fault in faults(bills[order.job])
    )


def _stock_problems(run: Run, snapshot: Snapshot) -> tuple[Problem, ...]:
    problems: list[Problem] = []
    demands = {demand.id: demand for demand in run.plan.prints.demands}
    lots = {lot.lot: lot for lot in snapshot.stock}
    left = {lot.lot: lot.copies for lot in snapshot.stock}
    for use in run.plan.prints.stock_uses:
        demand, lot = demands[use.demand], lots.get(use.lot)
        if use.copies <= 0 or left.get(use.lot, 0) < use.copies:
            fault = f"{use.copies} copies are not in stock"
        elif lot and (lot.customer, lot.sha256) != (demand.customer, demand.artwork.sha256):
            fault = "it holds another customer's or another picture's prints"
        else:
            left[use.lot] -= use.copies
            continue
        message = f"demand {use.demand} takes from lot {use.lot} of leftover prints: {fault}"
        hint = "the plugin that lists the prints is at fault"
        problems.append(Problem(code="E608", message=message, hint=hint))
    return tuple(problems)
