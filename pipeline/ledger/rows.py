"""A run, a deposit, a credit note as rows of the ledger's tables. Pure: the same goes in, the same bytes come out."""

import zlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from pipeline.canonical import canonical, digest, plain
from pipeline.ledger.numbers import Series
from pipeline.ledger.snapshot import Snapshot
from pipeline.model.account import Voucher, VoucherKind
from pipeline.model.cost import Bill
from pipeline.model.document import Audience, Document
from pipeline.model.run import Run

Row = Mapping[str, Any]

SEALED = (
    *("id", "series", "year", "number", "printed", "job", "issued", "net", "tax", "total", "bill"),
    *("corrects", "reason", "backdated", "previous"),
)
"""What an invoice's seal covers, besides the job file's hash. `previous` is the seal of the invoice before."""


def seal(invoice: Row, job_sha256: str) -> str:
    """SHA-256 of the canonical JSON of an invoice's row and its job file's hash ("" for other papers than invoices).

    Columns that hold nothing are left out: so a column that is added does not break the seals of before.

    Whoever changes an invoice must change every seal after it, and the head; whoever compares a seal with an old
    backup sees it.
    """
    covered = {name: plain(invoice[name]) for name in SEALED if invoice[name] is not None}
    return digest(canonical({**covered, "job_sha256": job_sha256}))


def job_rows(run: Run, run_id: int, files: Mapping[str, bytes]) -> Iterator[Row]:
    """One row for each order."""
    for order in run.orders:
        yield {
            "job": order.job,
            "customer": order.customer,
            "sha256": order.sha256,
            "file": files[order.job],
            "run": run_id,
        }


def invoice_rows(run: Run, run_id: int, first_id: int, snapshot: Snapshot, head: str) -> Iterator[Row]:
    """One row for each order, each sealed to the one before; `head` is the seal of the last row so far."""
    bills = {bill.job: bill for bill in run.plan.bills.bills}
    for position, (order, numbered) in enumerate(zip(run.orders, run.invoices, strict=True)):
        row = {
            **_paper(bills[order.job], Series.INVOICE, numbered.number, run.date, run_id),
            "id": first_id + position,
            "number": snapshot.next_invoice + position,
            "backdated": _backdated(run.date, snapshot.last_issue),
            "previous": head,
        }
        head = seal(row, order.sha256)
        yield {**row, "seal": head}


def voucher_rows(
    vouchers: Sequence[Voucher],
    act: int,
    first_id: int,
    snapshot: Snapshot,
    head: str,
    corrected: Mapping[str, int],
) -> Iterator[Row]:
    """One row for each deposit invoice or credit note; `corrected` gives the rows of invoices by their numbers."""
    upcoming = {VoucherKind.CREDIT: snapshot.next_credit, VoucherKind.DEPOSIT: snapshot.next_deposit}
    last = {VoucherKind.CREDIT: snapshot.last_credit, VoucherKind.DEPOSIT: snapshot.last_deposit}
    for position, voucher in enumerate(vouchers):
        kind, correction = voucher.kind, voucher.corrects
        row = {
            **_paper(voucher.bill, Series(kind), voucher.number, voucher.issued, act),
            "id": first_id + position,
            "number": upcoming[kind],
            "corrects": corrected[correction.number] if correction else None,
            "reason": correction.reason if correction else None,
            "backdated": _backdated(voucher.issued, last[kind]),
            "previous": head,
        }
        upcoming[kind] += 1
        head = seal(row, "")
        yield {**row, "seal": head}


def _paper(bill: Bill, series: Series, printed: str, issued: date, run_id: int) -> dict[str, Any]:
    """What invoices, deposits and credit notes have in common."""
    return {
        "series": str(series),
        "year": issued.year,
        "printed": printed,
        "job": bill.job,
        "run": run_id,
        "issued": issued,
        "net": bill.net,
        "tax": bill.tax,
        "total": bill.total,
        "bill": canonical(plain(bill)).decode(),
        "corrects": None,
        "reason": None,
    }


def _backdated(issued: date, last: date | None) -> int | None:
    return 1 if last is not None and issued < last else None


def purchase_rows(run: Run, run_id: int, first_id: int, first_number: int) -> Iterator[Row]:
    """One row for each supplier."""
    for position, numbered in enumerate(run.purchases):
        yield {
            "id": first_id + position,
            "year": run.date.year,
            "number": first_number + position,
            "printed": numbered.number,
            "supplier": numbered.name,
            "run": run_id,
        }


def carton_rows(run: Run, run_id: int, first_id: int) -> Iterator[Row]:
    """One row for each carton that has a code."""
    for serial, code in enumerate(run.cartons, first_id):
        yield {"id": serial, "sscc": code.sscc, "job": code.job, "carton": code.carton, "run": run_id}


def lot_rows(run: Run, run_id: int, first_id: int) -> Iterator[Row]:
    """The surplus of the run as lots that belong to the customer whose art it is.

    The shelf life is counted from the day of the run, as if they had been printed then: never too long.
    """
    demands = {demand.id: demand for demand in run.plan.prints.demands}
    for position, surplus in enumerate(run.plan.sheets.surplus):
        demand = demands[surplus.demand]
        transfer = run.shop.transfer(surplus.transfer)
        yield {
            "id": first_id + position,
            "customer": demand.customer,
            "artwork": demand.artwork.path,
            "sha256": demand.artwork.sha256,
            "width": demand.width,
            "height": demand.height,
            "transfer": transfer.name,
            "copies": surplus.copies,
            "use_by": run.date + timedelta(days=transfer.shelf_life_days),
            "run": run_id,
        }


def demand_rows(run: Run, run_id: int) -> Iterator[Row]:
    """The prints that the orders need, spares with them: what a tally holds the counts of the floor against."""
    for demand in run.plan.prints.demands:
        transfer = run.shop.transfer(run.plan.sheets.transfer_of(demand.id))
        yield {
            "run": run_id,
            "demand": demand.id,
            "customer": demand.customer,
            "artwork": demand.artwork.path,
            "sha256": demand.artwork.sha256,
            "width": demand.width,
            "height": demand.height,
            "transfer": transfer.name,
            "copies": demand.from_stock + demand.to_buy,
            "use_by": run.date + timedelta(days=transfer.shelf_life_days),
        }


def use_rows(run: Run, run_id: int) -> Iterator[Row]:
    """Where each demand's prints go."""
    for demand in run.plan.prints.demands:
        for use in demand.uses:
            yield {
                "run": run_id,
                "demand": demand.id,
                "job": use.ref.job,
                "line": use.ref.line,
                "print": use.ref.print,
                "size": use.size,
                "pieces": use.pieces,
            }


def movement_rows(run: Run, run_id: int, first_id: int, first_lot: int) -> Iterator[Row]:
    """What the run takes out of old lots, and puts into new ones."""
    taken = [(use.lot, -use.copies, use.demand) for use in run.plan.prints.stock_uses]
    left = [(first_lot + n, item.copies, item.demand) for n, item in enumerate(run.plan.sheets.surplus)]
    for position, (lot, copies, demand) in enumerate(taken + left):
        yield {"id": first_id + position, "lot": lot, "run": run_id, "copies": copies, "demand": demand}


def document_rows(documents: Sequence[Document], run_id: int) -> Iterator[Row]:
    """The documents, to be delivered."""
    for position, document in enumerate(documents):
        content = document.content
        yield {
            "run": run_id,
            "path": document.path,
            "position": position,
            "title": document.title,
            "audience": str(document.audience),
            "job": document.job,
            "sha256": digest(content),
            "content": zlib.compress(content),
            "delivered": 0,
        }


def content_of(packed: bytes) -> bytes:
    """A document's content as it was recorded. Raises zlib.error where it is damaged."""
    return zlib.decompress(packed)


def document_of(row: Row, read: Callable[[], bytes]) -> Document:
    """A document as it was recorded, its content to be read by `read`."""
    return Document(
        path=row["path"],
        title=row["title"],
        content=read,
        audience=Audience(row["audience"]),
        job=row["job"],
    )
