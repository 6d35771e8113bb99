"""Measure how time and memory grow with a week: `python -m tests.benchmarks.week --orders 30,300,3000`.

Each size is a generated week in a process of its own, taken through everything that `peelwright run` does. Prints one
JSON line per size and step (CPU seconds; the most memory until the step's end), and for each two sizes one line per
step with the exponent of its growth: 1 grows like the work, 2 like its square. The two searches, `gang_sheets` and
`schedule_presses`, are bounded by their stop rules, set by `--group` and `--schedule`; `--without-search` puts
plain plans in their place, and `--no-papers` leaves out the documents, one for each order, press run and sheet.
"""

import argparse
import json
import math
import subprocess
import sys
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

from pipeline.batch import read_batch
from pipeline.ledger import Ledger, number
from pipeline.model.run import Run, RunKind
from pipeline.outbox import deliver_run
from pipeline.plugin_manager import load_plugins, versions
from pipeline.record import run_record
from pipeline.request import LEDGER_FILE, Request, find_jobs
from pipeline.run import make_plan
from pipeline.spool import Spool
from tests.benchmarks.watch import TAKEN, step
from tests.generated_week import write_week

SHORTEST = 0.05
"""Seconds under which a step's growth says nothing."""


def main() -> int:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--orders", default="30,300", help="sizes, with commas between them")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--group", type=int, default=10, help="iterations of the grouping")
    parser.add_argument("--schedule", type=int, default=2000, help="iterations of the schedule")
    parser.add_argument("--without-search", action="store_true", help="plain sheets, plain schedule")
    parser.add_argument("--no-papers", action="store_true", help="make no documents")
    given = parser.parse_args()
    sizes = [int(size) for size in given.orders.split(",")]
    if len(sizes) == 1:
        _measure(sizes[0], given)
        return 0
    lines = [line for size in sizes for line in _in_a_process(size, sys.argv[1:])]
    _tell_growth(sizes, lines)
    return 0


def _in_a_process(size: int, arguments: list[str]) -> list[dict[str, object]]:
    command = [sys.executable, "-m", "tests.benchmarks.week", *arguments, "--orders", str(size)]
    done = subprocess.run(command, stdout=subprocess.PIPE, check=True, text=True)
    sys.stdout.write(done.stdout)
    sys.stdout.flush()
    return [json.loads(line) for line in done.stdout.splitlines()]


def _tell_growth(sizes: list[int], lines: list[dict[str, object]]) -> None:
    seconds = {(line["orders"], line["step"]): line["seconds"] for line in lines}
    for small, large in pairwise(sizes):
        for name in dict.fromkeys(line["step"] for line in lines):
            before, after = (float(str(seconds.get((size, name), 0))) for size in (small, large))
            if before > 0 and after > SHORTEST:
                exponent = round(math.log(after / before) / math.log(large / small), 2)
                _tell({"from": small, "to": large, "step": name, "exponent": exponent})


def _measure(orders: int, given: argparse.Namespace) -> None:
    with TemporaryDirectory() as folder:
        shop = Path(folder).resolve()
        options = {"group": {"iterations": given.group}, "schedule": {"iterations": given.schedule}}
        week = write_week(shop, orders, given.seed, options)
        (shop / "shop_plugins").mkdir()
        for plugin in ("watch", *(["without_search"] if given.without_search else [])):
            path = shop / "shop_plugins" / f"{plugin}.py"
            path.write_text(f"from tests.benchmarks.{plugin} import *\n", encoding="utf-8")
        run = journey(shop, week, papers=not given.no_papers)
    assert len(run.orders) == orders, run.held
    for name, taken in TAKEN.items():
        peak = taken.peak_mb and round(taken.peak_mb)
        _tell({"orders": orders, "step": name, "seconds": round(taken.seconds, 3), "peak_mb": peak})
    tasks, demands = len(run.plan.tasks.tasks), len(run.plan.prints.demands)
    _tell({"orders": orders, "step": "work", "press_runs": tasks, "prints": demands, "seconds": 0})


def journey(shop_folder: Path, week_folder: Path, papers: bool) -> Run:
    """What `pipeline.run.run` does with a new week, step by step under the watch."""
    jobs, week, label = find_jobs([week_folder])
    with step("reading"):
        now = datetime(2031, 5, 5, tzinfo=UTC)
        request = Request(kind=RunKind.RUN, shop=shop_folder, files=jobs, week=week, label=label, now=now)
        batch = read_batch(request)
        stages = load_plugins(batch.shop)
    with Ledger.open(shop_folder / LEDGER_FILE) as ledger:
        with step("ledger"):
            snapshot = ledger.read([order.job for order in batch.orders], on=batch.date)
        fits = stages.fit_transfers(orders=batch.orders, shop=batch.shop, date=batch.date)
        with step("check_orders"):
            found = stages.check_orders(orders=batch.orders, shop=batch.shop, fits=fits, date=batch.date)
        wrong = {problem.job: str(problem) for problem in (*batch.problems, *found) if problem.is_error}
        assert not wrong, wrong
        plan = make_plan(stages, batch.orders, batch.shop, fits, snapshot.stock, batch.date, batch.start)
        run = Run(
            label=batch.label,
            kind=RunKind.RUN,
            date=batch.date,
            start=batch.start,
            shop=batch.shop,
            plan=plan,
            held=(),
            problems=(*found, *plan.costs.notes),
        )
        with step("numbers"):
            run = number(run, snapshot)
        with Spool() as spool:
            with step("make_documents"):
                made = spool.keep(stages.make_documents(run=run) if papers else ())
                made += spool.keep(stages.index_documents(run=run, documents=made) if papers else ())
            with step("record"):
                record = run_record(run, made, batch.inputs, stages.plugin_names(), versions(batch.shop))
            with step("ledger"):
                ledger.record(run, snapshot, batch.files, (*made, record))
            with step("delivery"):
                deliver_run(ledger, run.label, shop_folder / "out")
    return run


def _tell(line: dict[str, object]) -> None:
    sys.stdout.write(json.dumps(line) + "\n")


if __name__ == "__main__":
    sys.exit(main())
