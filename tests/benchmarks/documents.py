"""Measure the papers of a week: `python -m tests.benchmarks.documents --orders 30,300`.

Each size is a generated week in a process of its own, planned with short searches, with presses loaded in turn.
Prints one JSON line for the papers, the page and both: documents, seconds by the clock and of CPU (workers included),
megabytes made, and the most memory until then, of the process and of its largest worker; at last how much more memory
than planning: that should not grow with the week. Papers are put aside as a run does.
Beside the seconds stands a baseline of the same run, to deflate and inflate 10 MB before each part, so that machines
can be compared, and loads of one machine.

Last a sheet of 40 artworks by itself, 20 of pixels and 20 drawings, none like another.
"""

import argparse
import gc
import json
import subprocess
import sys
import zlib
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from time import monotonic, process_time

from PIL import Image, ImageDraw

from pipeline.batch import read_batch
from pipeline.ledger import Ledger, number
from pipeline.model.document import Document
from pipeline.model.order import ArtworkKind
from pipeline.model.run import Run, RunKind
from pipeline.plugin_manager import load_plugins
from pipeline.request import LEDGER_FILE, Request, find_jobs
from pipeline.run import make_plan
from pipeline.spool import Spool
from plugins.documents import index_documents, make_documents
from plugins.documents.art_page import art_page
from plugins.documents.gang import Item, gang_sheet
from tests.benchmarks.watch import cpu_seconds, peak_mb, worker_peak_mb
from tests.generated_week import write_week

PLUGIN = "from tests.benchmarks.without_search import schedule_presses\n"


def main() -> int:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--orders", default="30,300", help="sizes, with commas between them")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    sizes = [int(size) for size in given.orders.split(",")]
    if len(sizes) == 1:
        _measure(sizes[0], given.seed)
        return 0
    for size in sizes:
        command = [
            sys.executable,
            "-m",
            "tests.benchmarks.documents",
            "--orders",
            str(size),
            "--seed",
            str(given.seed),
        ]
        subprocess.run(command, check=True)
    return 0


def _measure(orders: int, seed: int) -> None:
    with TemporaryDirectory() as folder, Spool() as spool:
        run = _run(Path(folder).resolve(), orders, seed)
        papers: tuple[Document, ...] = ()
        clock, seconds, baselines, planned = 0.0, 0.0, [], peak_mb() or 0.0
        for name in ("papers", "page"):
            baselines.append(_baseline())
            begun, cpu = monotonic(), cpu_seconds()
            made = spool.keep(
                make_documents(run=run) if name == "papers" else index_documents(run=run, documents=papers)
            )
            passed, taken = monotonic() - begun, cpu_seconds() - cpu
            papers, clock, seconds = papers + made, clock + passed, seconds + taken
            _tell(
                orders=orders,
                part=name,
                documents=len(made),
                clock_seconds=passed,
                seconds=taken,
                made_mb=_megabytes(made),
                peak_mb=peak_mb(),
                worker_peak_mb=worker_peak_mb(),
            )
        baseline = sum(baselines) / len(baselines)
        _tell(
            orders=orders,
            part="all",
            documents=len(papers),
            clock_seconds=clock,
            seconds=seconds,
            to_baseline=seconds / baseline,
            ms_each=1000 * seconds / len(papers),
            made_mb=_megabytes(papers),
            planned_mb=planned,
            more_than_planned_mb=(peak_mb() or 0.0) - planned,
        )
    gc.collect()
    _sheet(baseline)


def _megabytes(papers: tuple[Document, ...]) -> float:
    return sum(len(paper.content) for paper in papers) / 1e6


def _baseline() -> float:
    data, begun = Random(1).randbytes(100_000) * 100, process_time()
    zlib.decompress(zlib.compress(data, 1))
    return process_time() - begun


def _run(shop: Path, orders: int, seed: int) -> Run:
    options = {"group": {"iterations": 1}, "schedule": {"iterations": 1}}
    week = write_week(shop, orders, seed, options)
    (shop / "shop_plugins").mkdir()
    (shop / "shop_plugins" / "in_turn.py").write_text(PLUGIN, encoding="utf-8")
    jobs, week_folder, label = find_jobs([week])
    now = datetime(2031, 5, 5, tzinfo=UTC)
    batch = read_batch(Request(kind=RunKind.RUN, shop=shop, files=jobs, week=week_folder, label=label, now=now))
    stages = load_plugins(batch.shop)
    with Ledger.open(shop / LEDGER_FILE) as ledger:
        snapshot = ledger.read([order.job for order in batch.orders], on=batch.date)
    fits = stages.fit_transfers(orders=batch.orders, shop=batch.shop, date=batch.date)
    plan = make_plan(stages, batch.orders, batch.shop, fits, snapshot.stock, batch.date, batch.start)
    run = Run(
        label=batch.label,
        kind=RunKind.RUN,
        date=batch.date,
        start=batch.start,
        shop=batch.shop,
        plan=plan,
        held=(),
        problems=(),
    )
    return number(run, snapshot)


def _sheet(baseline: float) -> None:
    """40 artworks on 22 x 60 in, each 2.5 in wide; the pixels have 300 to the inch, with transparency."""
    draw = Random(1)
    _gang([_pixels(draw), _drawing(draw)])  # what is imported once for all sheets is not this sheet's
    arts = [_pixels(draw) for _ in range(20)] + [_drawing(draw) for _ in range(20)]
    begun = process_time()
    sheet = _gang(arts)
    seconds = process_time() - begun
    _tell(part="sheet of 40 artworks", seconds=seconds, to_baseline=seconds / baseline, made_mb=len(sheet) / 1e6)


def _gang(arts: list[tuple[bytes, ArtworkKind]]) -> bytes:
    step = 68_000
    items = tuple(
        Item(
            page=art_page(data, kind),
            x=10_000 + place % 8 * step,
            y=10_000 + place // 8 * step,
            width=63_500,
            height=63_500,
        )
        for place, (data, kind) in enumerate(arts)
    )
    return gang_sheet(width=558_800, height=1_524_000, items=items, label="benchmark")


def _pixels(draw: Random) -> tuple[bytes, ArtworkKind]:
    image = Image.new("RGBA", (750, 750), (0, 0, 0, 0))
    pen = ImageDraw.Draw(image)
    for _ in range(60):
        x, y, wide = draw.randrange(700), draw.randrange(700), draw.randrange(10, 200)
        pen.ellipse((x, y, x + wide, y + wide), fill=(*draw.randbytes(3), 255))
    out = BytesIO()
    image.save(out, "PNG")
    return out.getvalue(), ArtworkKind.PNG


def _drawing(draw: Random) -> tuple[bytes, ArtworkKind]:
    shapes = "".join(
        f'<path fill="#{draw.randbytes(3).hex()}" d="M{draw.randrange(90)} {draw.randrange(90)}'
        f'q{draw.randrange(20)} 9 {draw.randrange(20)} {draw.randrange(20)}t8 -9z"/>'
        for _ in range(120)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100" width="90mm" height="90mm">{shapes}</svg>'
    ).encode(), ArtworkKind.SVG


def _tell(**line: object) -> None:
    shown = {key: round(value, 2) if isinstance(value, float) else value for key, value in line.items()}
    sys.stdout.write(json.dumps(shown) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
