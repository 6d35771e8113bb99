"""Two runs of a small shop, by the real ledger or by a naive writer; work that may be killed.

`with_ledger` does what a run does: the second run uses up leftover prints of the first. The naive writer is how one
would write it without thinking of power cuts: it is here to be caught.
"""

import json
from collections.abc import Mapping
from datetime import timedelta
from pathlib import Path

from pipeline.canonical import digest
from pipeline.failpoints import reach
from pipeline.ledger import Act, Counts, Ledger, LineCount, number
from pipeline.ledger.database import Place
from pipeline.model.account import (
    Correction,
    CreditedLine,
    CreditRequest,
    Payment,
    Voucher,
    VoucherKind,
)
from pipeline.model.money import Money
from pipeline.model.prints import StockUse
from pipeline.outbox import deliver_run, deliver_waiting
from pipeline.record import run_record
from plugins.cost.credits import make_credit
from tests.builders import MONDAY, make_document, make_order, make_shop
from tests.plans import make_plan, make_run

AFTER = MONDAY + timedelta(weeks=2)

BATCHES: tuple[Mapping[str, bytes], ...] = (
    {"H-101": b"six tees", "H-102": b"six more"},
    {"H-201": b"with leftovers"},
)


def with_ledger(folder: Path, place: Place | None = None) -> None:
    """What `peelwright run`, `ledger pay`, `credit` and `tally` do, the trade apart."""
    out = folder / "out"
    shop = make_shop()
    with Ledger.open(place or folder / "ledger.sqlite") as ledger:
        for week, batch in enumerate(BATCHES):
            deliver_waiting(ledger, out)
            snapshot = ledger.read(list(batch), on=MONDAY + timedelta(weeks=week))
            if snapshot.recorded:
                for label in {known.run for known in snapshot.recorded}:
                    deliver_run(ledger, label, out)
                continue
            orders = [make_order(job, sha256=digest(file)) for job, file in batch.items()]
            uses = [StockUse(lot=lot.lot, demand="P01", copies=1) for lot in snapshot.stock]
            plan = make_plan(shop, orders, surplus=2, stock_uses=uses, on=snapshot.on)
            label = snapshot.free_label(f"2026-W{49 + week}")
            run = number(make_run(shop=shop, plan=plan, date=snapshot.on, label=label), snapshot)
            papers = [
                make_document(f"invoices/{job.lower()}.txt", f"{run.invoice_number(job)} {job}".encode(), job=job)
                for job in batch
            ]
            record = run_record(run, papers, inputs={}, plugins=[], versions={})
            ledger.record(run, snapshot, batch, [*papers, record])
            deliver_run(ledger, label, out)
        _pay(ledger)
        _credit(ledger, out)


def _pay(ledger: Ledger) -> None:
    """A payment on account, once."""
    payment = Payment(paid=AFTER, amount=Money(1_000))
    if payment not in ledger.item("2026-0001").payments:
        ledger.pay("2026-0001", payment, "USD")


def _credit(ledger: Ledger, out: Path) -> None:
    """A piece of the first order was not shipped, and prints are left: a credit note, and a lot."""
    snapshot = ledger.read(["H-101"], on=AFTER)
    item = ledger.item("2026-0001")
    if item.credits:
        deliver_run(ledger, ledger.label_of(item.credits[0].number), out)
        return
    voucher = Voucher(
        kind=VoucherKind.CREDIT,
        number="C2026-001",
        issued=AFTER,
        bill=make_credit(item.bill, (), CreditRequest(lines=(CreditedLine(number=1, pieces=1),)), make_shop()),
        corrects=Correction(number=item.number, issued=item.issued, reason="One short"),
    )
    counts = Counts(job="H-101", lines=(LineCount(shipped={"M": 3, "L": 2}, spoiled={}),))
    paper = make_document("c2026-001.txt", b"C2026-001")
    act = Act(label="credit-1", date=AFTER, vouchers=(voucher,), counts=(counts,), papers=(paper,))
    ledger.give(act, snapshot, make_shop())
    deliver_run(ledger, act.label, out)


def naively(folder: Path, _: Place | None = None) -> None:
    """A counter in a file, papers written in place, and a list of jobs done, one after the other."""
    counter, done = folder / "counter", folder / "done.json"
    for week, batch in enumerate(BATCHES):
        for job in batch:
            known = json.loads(done.read_text()) if done.exists() else []
            if job in known:
                continue
            given = int(counter.read_text()) + 1 if counter.exists() else 1
            counter.write_text(str(given))
            reach("naive.counted")
            paper = folder / "out" / f"2026-W{49 + week}" / "invoices" / f"{job.lower()}.txt"
            paper.parent.mkdir(parents=True, exist_ok=True)
            paper.write_text(f"2026-{given:04} {job}")
            reach("naive.written")
            done.write_text(json.dumps([*known, job]))
            reach("naive.done")
