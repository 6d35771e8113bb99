"""What is recorded beside the batches: deposit invoices, credit notes, counts of the floor, payments."""

import json
from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from attrs import frozen
from sqlalchemy import Connection, RowMapping, select

from pipeline.canonical import canonical, fields
from pipeline.failpoints import reach
from pipeline.ledger import rows
from pipeline.ledger.bills import bill_faults
from pipeline.ledger.counts import Counts, counts_of
from pipeline.ledger.credits import credit_faults
from pipeline.ledger.numbers import number_problems, printed
from pipeline.ledger.reading import CHUNK, next_of
from pipeline.ledger.snapshot import Snapshot
from pipeline.ledger.tables import (
    demands,
    invoices,
    lots,
    movements,
    payments,
    runs,
    state,
    tallies,
    uses,
)
from pipeline.ledger.writing import insert, moved, take, write_papers
from pipeline.model.account import AccountItem, Payment, Voucher, VoucherKind
from pipeline.model.document import Document
from pipeline.model.show import money
from pipeline.output import path_problems
from pipeline.problems import Problem, StopRun
from pipeline.shop import Numbering, Shop


@frozen(kw_only=True)
class Act:
    """What is recorded at one time: numbered vouchers, counts of jobs, and the papers that tell of them."""

    label: str
    date: date
    vouchers: tuple[Voucher, ...] = ()
    counts: tuple[Counts, ...] = ()
    papers: tuple[Document, ...] = ()


def next_numbers(kind: VoucherKind, count: int, numbering: Numbering, snapshot: Snapshot) -> tuple[str, ...]:
    """The next `count` numbers of credit notes or deposit invoices."""
    credit = kind is VoucherKind.CREDIT
    template = numbering.credit if credit else numbering.deposit
    first = snapshot.next_credit if credit else snapshot.next_deposit
    return tuple(printed(template, snapshot.on.year, first + position) for position in range(count))


def act_refusals(
    act: Act, snapshot: Snapshot, items: Mapping[str, AccountItem], shop: Shop, backdate: bool
) -> tuple[Problem, ...]:
    """Why an act must not be recorded: days and numbers (E602, E604), amounts (E610), documents (E620, E621).

    `items` are the invoices that its credit notes correct. Raises ValueError where the caller is at fault.
    """
    problems: list[Problem] = []
    for kind, last in ((VoucherKind.CREDIT, snapshot.last_credit), (VoucherKind.DEPOSIT, snapshot.last_deposit)):
        own = [voucher for voucher in act.vouchers if voucher.kind is kind]
        if tuple(v.number for v in own) != next_numbers(kind, len(own), shop.numbering, snapshot):
            raise ValueError("the numbers are not those that come next")
        if own:
            problems += number_problems(shop.numbering, act.date, None if backdate else last)
    for voucher in act.vouchers:
        for fault in _faults(voucher, items):
            message = f"{voucher.kind} {voucher.number} does not add up: {fault}"
            hint = "the plugin that reckons it is at fault"
            problems.append(Problem(code="E610", message=message, hint=hint, job=voucher.bill.job))
    return (*problems, *path_problems(act.papers))


def _faults(voucher: Voucher, items: Mapping[str, AccountItem]) -> tuple[str, ...]:
    if voucher.corrects is None:
        return bill_faults(fields(voucher.bill))
    item = items[voucher.corrects.number]
    return credit_faults(item.bill, [credit.bill for credit in item.credits], voucher.bill)


def write_act(connection: Connection, act: Act, snapshot: Snapshot, currency: str) -> None:
    """The act with its papers. Raises StopRun (E638) when more prints were used than there were."""
    run = next_of(connection, runs.c.id)
    row = {"id": run, "label": act.label, "date": act.date, "start": "", "currency": currency}
    insert(connection, runs, [row])
    write_papers(connection, act.papers, run)
    _write_vouchers(connection, act.vouchers, run, snapshot)
    reach("ledger.vouchers")
    for counts in act.counts:
        text = canonical(counts.data()).decode()
        insert(connection, tallies, [{"job": counts.job, "run": run, "counts": text}])
    _settle_prints(connection, act.counts, run)


def _write_vouchers(connection: Connection, vouchers: Sequence[Voucher], run: int, snapshot: Snapshot) -> None:
    numbers = [voucher.corrects.number for voucher in vouchers if voucher.corrects]
    found = connection.execute(select(invoices.c.printed, invoices.c.id).where(invoices.c.printed.in_(numbers)))
    head = connection.execute(select(state.c.head)).scalar_one()
    first = next_of(connection, invoices.c.id)
    corrected = {row.printed: row.id for row in found}
    made = list(rows.voucher_rows(vouchers, run, first, snapshot, head, corrected))
    insert(connection, invoices, made)
    moved(connection, made[-1]["seal"] if made else head)


def counted(connection: Connection, names: Sequence[str]) -> dict[str, Counts]:
    """What was counted of those of these jobs that were."""
    found = {}
    for start in range(0, len(names), CHUNK):
        query = select(tallies).where(tallies.c.job.in_(names[start : start + CHUNK]))
        for row in connection.execute(query):
            found[row.job] = counts_of(row.job, json.loads(row.counts))
    return found


def _settle_prints(connection: Connection, counts: Sequence[Counts], run: int) -> None:
    """Prints left over become lots, once every job that shares them is counted; what was missing came from lots."""
    jobs = [count.job for count in counts]
    touched = select(uses.c.run, uses.c.demand).where(uses.c.job.in_(jobs)).distinct()
    for of_run, demand in connection.execute(touched.order_by(uses.c.run, uses.c.demand)).all():
        own = select(uses).where(uses.c.run == of_run, uses.c.demand == demand)
        where = connection.execute(own.order_by(uses.c.job, uses.c.line, uses.c.print, uses.c.size)).all()
        known = counted(connection, sorted({use.job for use in where}))
        if not {use.job for use in where} <= set(known):
            continue
        query = select(demands).where(demands.c.run == of_run, demands.c.demand == demand)
        row = connection.execute(query).mappings().one()
        used = sum(known[use.job].used(use.line, use.print, use.size) for use in where)
        left = row["copies"] - used
        if left > 0:
            lot = next_of(connection, lots.c.id)
            kept = {name: row[name] for name in _OF_LOTS}
            insert(connection, lots, [{**kept, "id": lot, "copies": left, "run": run}])
            _move(connection, lot, left, demand, run)
        for lot, copies in _from_stock(connection, row, -left) if left < 0 else ():
            take(connection, lot, copies)
            _move(connection, lot, -copies, demand, run)


_OF_LOTS = ("customer", "artwork", "sha256", "width", "height", "transfer", "use_by")


def _from_stock(connection: Connection, row: RowMapping, missing: int) -> Iterator[tuple[int, int]]:
    """Lots of the same prints that `missing` copies were taken from, the oldest first."""
    same = [lots.c[name] == row[name] for name in ("customer", "sha256", "width", "height", "transfer")]
    for lot in connection.execute(select(lots).where(lots.c.copies > 0, *same).order_by(lots.c.id)).all():
        copies = min(missing, lot.copies)
        yield lot.id, copies
        missing -= copies
        if not missing:
            return
    message = f"{missing} more prints of {row['artwork']} were used than there were, those in stock with them"
    hint = "correct the counts of spoiled prints"
    raise StopRun([Problem(code="E638", message=message, hint=hint)])


def _move(connection: Connection, lot: int, copies: int, demand: str, run: int) -> None:
    row = {"id": next_of(connection, movements.c.id), "lot": lot, "run": run, "copies": copies, "demand": demand}
    insert(connection, movements, [row])


def payment_fault(item: AccountItem, payment: Payment, currency: str) -> Problem | None:
    """Why a payment cannot be recorded (E634): it is nothing, more than is open, or more back than came in."""
    hint = "an amount above zero is money that came in, below zero money that went back"
    if payment.amount > max(item.open, 0):
        fault = f"{money(item.open, currency)} is open"
        hint = "record what belongs to other invoices with their numbers"
    elif -payment.amount > item.received:
        fault = f"{money(item.received, currency)} was paid"
    elif not payment.amount:
        fault = "it is nothing"
    else:
        return None
    message = f"{money(payment.amount, currency)} cannot be a payment of {item.number}: {fault}"
    return Problem(code="E634", message=message, hint=hint, job=item.bill.job)


def write_payment(connection: Connection, number: str, payment: Payment) -> None:
    """A payment of the invoice or deposit invoice of this number."""
    invoice = connection.execute(select(invoices.c.id).where(invoices.c.printed == number)).scalar_one()
    paid = {"paid": payment.paid, "amount": payment.amount, "note": payment.note}
    insert(connection, payments, [{"id": next_of(connection, payments.c.id), "invoice": invoice, **paid}])
    moved(connection)
