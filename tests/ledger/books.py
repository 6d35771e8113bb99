"""Ledgers with something in them, for tests."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from pipeline.canonical import digest
from pipeline.ledger import Act, Ledger, Snapshot, number
from pipeline.ledger.database import Place
from pipeline.model.account import Correction, CreditedLine, CreditRequest, Payment, Voucher, VoucherKind
from pipeline.model.document import Document
from pipeline.model.money import Money
from pipeline.model.prints import StockUse
from pipeline.model.run import Run
from pipeline.shop import Shop
from plugins.cost.credits import make_credit
from tests.builders import MONDAY, make_document, make_order, make_shop
from tests.plans import make_plan, make_run

DOCUMENTS = (make_document(), make_document("run.json", b"{}"))


def file_of(job: str) -> bytes:
    """The job file that is used throughout."""
    return f"job: {job}\n".encode()


def planned(at: Snapshot, jobs: Sequence[str] = ("H-101", "H-102"), shop: Shop | None = None, **plan: Any) -> Run:
    """A numbered run of these jobs; further arguments are those of `make_plan`."""
    shop = shop or make_shop()
    orders = [make_order(job, sha256=digest(file_of(job))) for job in jobs]
    made = make_plan(shop, orders, on=at.on, **plan)
    return number(make_run(shop=shop, plan=made, date=at.on, label=at.free_label("2026-W49")), at)


def record(ledger: Ledger, run: Run, at: Snapshot, documents: Sequence[Document] = DOCUMENTS) -> None:
    """Record a planned run."""
    ledger.record(run, at, {order.job: file_of(order.job) for order in run.orders}, documents)


def filled(place: Place, on: date = MONDAY) -> Place:
    """A ledger of two runs with three invoices and leftover prints, some of them used up."""
    with Ledger.open(place) as ledger:
        at = ledger.read([], on)
        record(ledger, planned(at, surplus=3), at)
        at = ledger.read([], on)
        record(ledger, planned(at, ["H-201"], stock_uses=[StockUse(lot=1, demand="P01", copies=2)]), at)
    return place


def credit_of(ledger: Ledger, number: str, request: CreditRequest, on: date, named: str) -> Voucher:
    """A credit note on an invoice, under this number."""
    item = ledger.item(number)
    earlier = tuple(note.bill for note in item.credits)
    return Voucher(
        kind=VoucherKind.CREDIT,
        number=named,
        issued=on,
        bill=make_credit(item.bill, earlier, request, make_shop()),
        corrects=Correction(number=number, issued=item.issued, reason="Torn"),
    )


def with_money(place: Place, on: date = MONDAY) -> Place:
    """The ledger with a payment of the first invoice, and two credit notes on the second: a part, then the rest."""
    with Ledger.open(place) as ledger:
        ledger.pay("2026-0001", Payment(paid=on, amount=Money(500)), "USD")
        for request in (CreditRequest(lines=(CreditedLine(number=1, pieces=1),)), CreditRequest()):
            at = ledger.read([], on)
            named = f"C{on.year}-{at.next_credit:03}"
            voucher = credit_of(ledger, "2026-0002", request, on, named)
            ledger.give(Act(label=at.free_label("credit"), date=on, vouchers=(voucher,)), at, make_shop())
    return place
