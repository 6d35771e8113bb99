"""What stands in the ledger, as values."""

import json
from collections.abc import Iterator, Sequence
from datetime import date

from sqlalchemy import Column, ColumnElement, Connection, RowMapping, func, select

from pipeline.ledger.bills import bill_of
from pipeline.ledger.numbers import Series
from pipeline.ledger.snapshot import Recorded, Snapshot
from pipeline.ledger.tables import cartons, invoices, jobs, lots, payments, purchases, runs, state
from pipeline.model.account import AccountItem, Correction, Payment, Voucher, VoucherKind
from pipeline.model.measure import Length
from pipeline.model.money import Money
from pipeline.model.prints import StockLot

CHUNK = 500
"""Names asked for in one query; databases limit them."""


def snapshot(connection: Connection, names: Sequence[str], on: date) -> Snapshot:
    """What is known on the day `on`, and about the jobs of these names."""

    def upcoming(series: Series) -> int:
        return next_of(connection, invoices.c.number, invoices.c.year == on.year, invoices.c.series == series)

    def last(series: Series) -> date | None:
        issued = select(func.max(invoices.c.issued)).where(invoices.c.series == series)
        found: date | None = connection.execute(issued).scalar_one()
        return found

    return Snapshot(
        on=on,
        version=version(connection),
        recorded=tuple(_recorded(connection, names)),
        stock=tuple(stock(connection, on)),
        next_invoice=upcoming(Series.INVOICE),
        next_purchase=next_of(connection, purchases.c.number, purchases.c.year == on.year),
        next_carton=next_of(connection, cartons.c.id),
        next_credit=upcoming(Series.CREDIT),
        next_deposit=upcoming(Series.DEPOSIT),
        last_issue=last(Series.INVOICE),
        last_credit=last(Series.CREDIT),
        last_deposit=last(Series.DEPOSIT),
        deposits=tuple(_deposits(connection, names)),
        labels=frozenset(connection.execute(select(runs.c.label)).scalars()),
    )


def version(connection: Connection) -> int:
    """Grows with everything that is recorded."""
    found: int = connection.execute(select(state.c.version)).scalar_one()
    return found


def currencies(connection: Connection) -> set[str]:
    """Of all that is recorded."""
    return set(connection.execute(select(runs.c.currency).distinct()).scalars())


def next_of(connection: Connection, column: Column[int], *where: ColumnElement[bool]) -> int:
    """One more than the largest value so far."""
    return (connection.execute(select(func.max(column)).where(*where)).scalar_one() or 0) + 1


def run_id(connection: Connection, label: str) -> int:
    """The row of a run. Raises KeyError for an unknown one."""
    found: int | None = connection.execute(select(runs.c.id).where(runs.c.label == label)).scalar_one_or_none()
    if found is None:
        raise KeyError(label)
    return found


def stock(connection: Connection, on: date) -> Iterator[StockLot]:
    """Lots with copies left whose last day is not past, the oldest first."""
    query = select(lots).where(lots.c.copies > 0, lots.c.use_by >= on).order_by(lots.c.id)
    for row in connection.execute(query):
        yield StockLot(
            lot=row.id,
            customer=row.customer,
            artwork=row.artwork,
            sha256=row.sha256,
            width=Length(row.width),
            height=Length(row.height),
            transfer=row.transfer,
            copies=row.copies,
            use_by=row.use_by,
            place=row.place,
        )


def items(connection: Connection, *where: ColumnElement[bool]) -> Iterator[AccountItem]:
    """Invoices and deposit invoices of which `where` holds, as they were recorded, with all that belongs to them."""
    query = select(invoices).where(invoices.c.series != str(Series.CREDIT), *where).order_by(invoices.c.id)
    rows = connection.execute(query).mappings().all()
    wanted = {row["id"]: row for row in rows}
    notes: dict[int, list[Voucher]] = {}
    ids = select(invoices.c.id).where(invoices.c.series != str(Series.CREDIT), *where)
    corrections = select(invoices).where(invoices.c.corrects.in_(ids)).order_by(invoices.c.id)
    for note in connection.execute(corrections).mappings():
        notes.setdefault(note["corrects"], []).append(_credit(note, wanted[note["corrects"]]))
    paid: dict[int, list[Payment]] = {}
    for row in connection.execute(select(payments).where(payments.c.invoice.in_(ids)).order_by(payments.c.id)):
        payment = Payment(paid=row.paid, amount=Money(row.amount), note=row.note)
        paid.setdefault(row.invoice, []).append(payment)
    for item in rows:
        yield AccountItem(
            kind=VoucherKind(item["series"]),
            number=item["printed"],
            issued=item["issued"],
            bill=bill_of(json.loads(item["bill"])),
            credits=tuple(notes.get(item["id"], ())),
            payments=tuple(paid.get(item["id"], ())),
        )


def _credit(row: RowMapping, invoice: RowMapping) -> Voucher:
    return Voucher(
        kind=VoucherKind.CREDIT,
        number=row["printed"],
        issued=row["issued"],
        bill=bill_of(json.loads(row["bill"])),
        corrects=Correction(number=invoice["printed"], issued=invoice["issued"], reason=row["reason"]),
    )


def _recorded(connection: Connection, names: Sequence[str]) -> Iterator[Recorded]:
    query = (
        select(jobs.c.job, jobs.c.sha256, runs.c.label, invoices.c.printed, invoices.c.issued)
        .join(invoices, (invoices.c.job == jobs.c.job) & (invoices.c.series == str(Series.INVOICE)))
        .join(runs, runs.c.id == jobs.c.run)
        .order_by(invoices.c.id)
    )
    for start in range(0, len(names), CHUNK):
        for row in connection.execute(query.where(jobs.c.job.in_(names[start : start + CHUNK]))):
            yield Recorded(job=row.job, sha256=row.sha256, run=row.label, invoice=row.printed, issued=row.issued)


def _deposits(connection: Connection, names: Sequence[str]) -> Iterator[AccountItem]:
    deposit = invoices.c.series == str(Series.DEPOSIT)
    for start in range(0, len(names), CHUNK):
        yield from items(connection, deposit, invoices.c.job.in_(names[start : start + CHUNK]))
