"""A small shop on the disk with a folder of orders, for a test to run and to break."""

import shutil
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from pipeline.model.run import RunKind
from pipeline.request import Request, find_jobs
from tests.refused.gallery import SHOP

MONDAY = date(2026, 11, 30)
NOON = datetime(2026, 11, 30, 12, tzinfo=UTC)

ORDER = """\
job: {job}
customer: harbour-bakery
due: 2026-12-18
delivery: pick-up
lines:
  - garment: tee
    colour: white
    pieces: {{M: {pieces}}}
    price: "9.00"
    prints:
      - artwork: art/gull.svg
        placement: left-chest
        width: 3in
"""


def make_shop(root: Path) -> Path:
    """The shop of the gallery with one transfer only, which the plain plan uses."""
    shutil.copytree(SHOP, root)
    for name in ("film", "ink-paper"):
        (root / "transfers" / f"{name}.yaml").unlink()
    return root.resolve()


def write(shop: Path, job: str, pieces: int = 6, week: str = "week") -> Path:
    """An order of so many tees in the folder `week`."""
    path = shop / week / f"{job.lower()}.yaml"
    path.parent.mkdir(exist_ok=True)
    path.write_text(ORDER.format(job=job, pieces=pieces), "utf-8")
    return path


def add_plugin(shop: Path, text: str, name: str = "own") -> Path:
    """A plugin of the shop."""
    path = shop / "shop_plugins" / f"{name}.py"
    path.parent.mkdir(exist_ok=True)
    path.write_text("from pipeline.hookspecs import hookimpl\n" + text, "utf-8")
    return path


def request(shop: Path, kind: RunKind = RunKind.RUN, week: str = "week", **changes: Any) -> Request:
    """A run of the folder `week` on the Monday."""
    files, file, label = find_jobs([shop / week])
    given = {"kind": kind, "shop": shop, "files": files, "week": file, "label": label, "day": MONDAY, "now": NOON}
    return Request(**{**given, **changes})
