"""A run as rows of the ledger's tables. Pure: what goes in decides what comes out, byte for byte."""

import zlib
from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta
from typing import Any

from pipeline.canonical import canonical, digest, plain
from pipeline.ledger.numbers import Series
from pipeline.model.document import Audience, Document
from pipeline.model.run import Run

Row = Mapping[str, Any]

SEALED = ("id", "series", "year", "number", "printed", "job", "issued", "net", "tax", "total", "bill", "previous")
"""What an invoice's seal covers, besides the job file's hash. `previous` is the seal of the invoice before."""


def seal(invoice: Row, job_sha256: str) -> str:
    """SHA-256 of the canonical JSON of an invoice's row and its job file's hash.

    Whoever changes an invoice must change every seal after it, and the head; whoever compares a seal with an old
    backup sees it.
    """
    covered = {name: plain(invoice[name]) for name in SEALED}
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


def invoice_rows(run: Run, run_id: int, first_id: int, first_number: int, head: str) -> Iterator[Row]:
    """One row for each order, each sealed to the one before; `head` is the seal of the last invoice so far."""
    bills = {bill.job: bill for bill in run.plan.bills.bills}
    for position, (order, numbered) in enumerate(zip(run.orders, run.invoices, strict=True)):
        bill = bills[order.job]
        row = {
            "id": first_id + position,
            "series": str(Series.INVOICE),
            "year": run.date.year,
            "number": first_number + position,
            "printed": numbered.number,
            "job": order.job,
            "run": run_id,
            "issued": run.date,
            "net": bill.net,
            "tax": bill.tax,
            "total": bill.total,
            "bill": canonical(plain(bill)).decode(),
            "previous": head,
        }
        head = seal(row, order.sha256)
        yield {**row, "seal": head}


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


def movement_rows(run: Run, run_id: int, first_id: int, first_lot: int) -> Iterator[Row]:
    """What the run takes out of old lots, and puts into new ones."""
    taken = [(use.lot, -use.copies, use.demand) for use in run.plan.prints.stock_uses]
    left = [(first_lot + n, item.copies, item.demand) for n, item in enumerate(run.plan.sheets.surplus)]
    for position, (lot, copies, demand) in enumerate(taken + left):
        yield {"id": first_id + position, "lot": lot, "run": run_id, "copies": copies, "demand": demand}


def document_rows(documents: Sequence[Document], run_id: int) -> Iterator[Row]:
    """The documents, to be delivered."""
    for position, document in enumerate(documents):
        yield {
            "run": run_id,
            "path": document.path,
            "position": position,
            "title": document.title,
            "audience": str(document.audience),
            "job": document.job,
            "sha256": digest(document.content),
            "content": zlib.compress(document.content),
            "delivered": 0,
        }


def document_of(row: Row) -> Document:
    """A document as it was recorded. Raises zlib.error where its content is damaged."""
    return Document(
        path=row["path"],
        title=row["title"],
        content=zlib.decompress(row["content"]),
        audience=Audience(row["audience"]),
        job=row["job"],
    )
