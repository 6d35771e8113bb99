"""Two runs of a small shop, by the real ledger or by a naive writer; a program, so that it can be killed.

`python -m tests.ledger.journey ledger FOLDER` does what a run does: the second run uses up leftover prints of the
first. The naive writer is how one would write it without thinking of power cuts: it is here to be caught.
"""

import json
import sys
from collections.abc import Mapping
from datetime import timedelta
from pathlib import Path

from pipeline.canonical import digest
from pipeline.failpoints import reach
from pipeline.ledger import Ledger, number
from pipeline.model.prints import StockUse
from pipeline.outbox import deliver_run, deliver_waiting
from pipeline.record import run_record
from tests.builders import MONDAY, make_document, make_order, make_shop
from tests.plans import make_plan, make_run

BATCHES: tuple[Mapping[str, bytes], ...] = (
    {"H-101": b"six tees", "H-102": b"six more"},
    {"H-201": b"with leftovers"},
)


def with_ledger(folder: Path) -> None:
    """What `peelwright run` does with each batch, the trade apart."""
    out = folder / "out"
    shop = make_shop()
    with Ledger.open(folder / "ledger.sqlite") as ledger:
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


def naively(folder: Path) -> None:
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


WRITERS = {"ledger": with_ledger, "naive": naively}

if __name__ == "__main__":
    WRITERS[sys.argv[1]](Path(sys.argv[2]))
