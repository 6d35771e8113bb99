"""The ledger checked: everything in it that follows from something else is derived anew and compared."""

import json
import zlib
from collections.abc import Iterator, Mapping
from datetime import date
from itertools import groupby

from sqlalchemy import Connection, func, select

from pipeline.canonical import digest
from pipeline.ledger.bills import bill_faults, bill_of
from pipeline.ledger.cartons import check_digit
from pipeline.ledger.credits import credit_faults
from pipeline.ledger.numbers import Series
from pipeline.ledger.rows import content_of, seal
from pipeline.ledger.tables import (
    cartons,
    documents,
    invoices,
    jobs,
    lots,
    movements,
    payments,
    purchases,
    runs,
    state,
)
from pipeline.model.cost import Bill
from pipeline.problems import Problem

HINT = "do not go on with this ledger: compare it with a backup"


def problems(connection: Connection) -> Iterator[Problem]:
    """What is wrong with the ledger, whatever its database."""
    for code, check in (
        ("E611", _seals),
        ("E612", _totals),
        ("E613", _gaps),
        ("E613", _cartons),
        ("E614", _stock),
        ("E615", _contents),
    ):
        for message in check(connection):
            yield Problem(code=code, message=message, hint=HINT)


def _seals(connection: Connection) -> Iterator[str]:
    """Each invoice carries the seal of the one before, and its own fits what it says."""
    before = ""
    of_job = (jobs.c.job == invoices.c.job) & (invoices.c.series == str(Series.INVOICE))
    query = select(invoices, jobs.c.sha256.label("job_sha256")).outerjoin(jobs, of_job)
    for number, row in enumerate(connection.execute(query.order_by(invoices.c.id)).mappings(), 1):
        if row["id"] != number:
            yield f"before invoice {row['printed']} a row is missing"
            return
        if row["previous"] != before or row["seal"] != seal(dict(row), row["job_sha256"] or ""):
            yield f"invoice {row['printed']} was changed after it was recorded"
        before = row["seal"]
    if connection.execute(select(state.c.head)).scalar_one() != before:
        yield "the last invoice is not the last that was recorded"


def _totals(connection: Connection) -> Iterator[str]:
    """Bills add up, and the amounts beside them are theirs; every job has its invoice, and every invoice its job."""
    invoiced: dict[int, Bill] = {}
    credited: dict[int, list[Bill]] = {}
    for row in connection.execute(select(invoices).order_by(invoices.c.id)):
        try:
            data = json.loads(row.bill)
            bill = bill_of(data)
        except (ValueError, KeyError, TypeError):
            yield f"the bill of {row.series} {row.printed} cannot be read"
            continue
        if row.series == Series.CREDIT:
            before = credited.setdefault(row.corrects, [])
            found = credit_faults(invoiced[row.corrects], before, bill) if row.corrects in invoiced else ()
            before.append(bill)
        else:
            found = bill_faults(data)
            invoiced[row.id] = bill
        for fault in found:
            yield f"{row.series} {row.printed} does not add up: {fault}"
        if (data["job"], data["net"], data["tax"], data["total"]) != (row.job, row.net, row.tax, row.total):
            yield f"the amounts of {row.series} {row.printed} are not those of its bill"
    own = select(invoices.c.job).where(invoices.c.series == str(Series.INVOICE))
    for job in connection.execute(
        select(jobs.c.job).where(jobs.c.job.not_in(own)).order_by(jobs.c.job)
    ).scalars():
        yield f"job {job} has no invoice"
    for job in connection.execute(own.where(invoices.c.job.not_in(select(jobs.c.job)))).scalars():
        yield f"the invoice of job {job} has lost its job"
    yield from _payments(connection, invoiced)


def _payments(connection: Connection, invoiced: Mapping[int, Bill]) -> Iterator[str]:
    """Nobody got back more than was paid, deposits with it; payments belong to what can be paid."""
    total = func.sum(payments.c.amount).label("total")
    query = select(invoices.c.id, invoices.c.printed, invoices.c.series, total).join(
        payments, payments.c.invoice == invoices.c.id
    )
    for row in connection.execute(query.group_by(invoices.c.id).order_by(invoices.c.id)):
        bill = invoiced.get(row.id)
        prepaid = bill.total - bill.due if bill else 0
        if row.series == Series.CREDIT or row.total + prepaid < 0:
            yield f"the payments of {row.series} {row.printed} come to {row.total}"


def _gaps(connection: Connection) -> Iterator[str]:
    """Numbers run from 1 without a gap in each series and year; days of issue go back only where it was allowed."""
    given = select(invoices.c.series, invoices.c.year, invoices.c.number).order_by(invoices.c.id)
    bought = select(purchases.c.year, purchases.c.number).order_by(purchases.c.id)
    numbers = [tuple(row) for row in connection.execute(given)]
    numbers += [("purchase", *row) for row in connection.execute(bought)]
    for (series, year), found in groupby(sorted(numbers), key=lambda row: row[:2]):
        for expected, (*_, number) in enumerate(found, 1):
            if number != expected:
                yield f"number {expected} of the {series} series of {year} is missing"
                break
    latest: dict[str, date] = {}
    for row in connection.execute(select(invoices).order_by(invoices.c.id)):
        last = latest.get(row.series, date.min)
        if row.issued < last and not row.backdated:
            yield f"{row.series} {row.printed} is of {row.issued}, the one before it of {last}"
        latest[row.series] = max(last, row.issued)


def _cartons(connection: Connection) -> Iterator[str]:
    """Serials run from 1 without a gap, and every code is a valid one."""
    for serial, row in enumerate(connection.execute(select(cartons).order_by(cartons.c.id)), 1):
        if row.id != serial:
            yield f"before carton {row.sscc} a row is missing"
            return
        if not row.sscc.isdecimal() or len(row.sscc) != 18 or check_digit(row.sscc[:-1]) != int(row.sscc[-1]):
            yield f"the code of carton {row.carton} of {row.job} was changed"


def _stock(connection: Connection) -> Iterator[str]:
    """What is left of a lot is the sum of its movements."""
    total = func.coalesce(func.sum(movements.c.copies), 0)
    query = select(lots.c.id, lots.c.copies, total.label("moved")).outerjoin(
        movements, movements.c.lot == lots.c.id
    )
    for row in connection.execute(query.group_by(lots.c.id, lots.c.copies).order_by(lots.c.id)):
        if row.copies != row.moved:
            yield f"lot {row.id} has {row.copies} copies, by its movements {row.moved}"


def _contents(connection: Connection) -> Iterator[str]:
    """Job files and documents still have the hashes under which they were recorded."""
    for row in connection.execute(select(jobs.c.job, jobs.c.file, jobs.c.sha256).order_by(jobs.c.job)):
        if digest(row.file) != row.sha256:
            yield f"the file of job {row.job} was changed"
    query = select(documents, runs.c.label).join(runs, runs.c.id == documents.c.run)
    for found in connection.execute(query.order_by(documents.c.run, documents.c.position)).mappings():
        try:
            good = digest(content_of(found["content"])) == found["sha256"]
        except zlib.error:
            good = False
        if not good:
            yield f"the document {found['path']} of run {found['label']} was changed"
