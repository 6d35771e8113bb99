"""The door, as the watched folder has it: one file's bytes, and what is said of them."""

import shutil
from datetime import UTC, datetime
from pathlib import Path

from attrs import define, field

import sample_jobs
from pipeline.batch import Batch, JobFile, open_batch, with_files
from pipeline.model.order import Artwork
from pipeline.model.run import RunKind
from pipeline.plugin_manager import load_plugins
from pipeline.problems import Outcome, Problem
from pipeline.request import Request
from pipeline.run import at_the_door
from pipeline.stages import Stages

SAMPLE = Path(sample_jobs.__file__).parent
NAME = "orders/order.yaml"


@define
class Door:
    """A copy of the sample shop on the Monday of its week, read once."""

    batch: Batch
    stages: Stages
    measured: dict[str, Outcome[Artwork]] = field(factory=dict)

    def ask(self, content: bytes) -> tuple[Problem, ...]:
        """What is wrong with an order, warnings with it."""
        file = JobFile(name=NAME, content=Outcome(value=content))
        batch = with_files(self.batch, [file], self.measured)
        report, _ = at_the_door(batch, self.stages, RunKind.QUOTE)
        return report.problems


def open_door(folder: Path) -> Door:
    """The shop copied into a new folder, and its plugins loaded."""
    shutil.copytree(SAMPLE, folder, ignore=shutil.ignore_patterns("out", "*.sqlite*", "__pycache__"))
    now = datetime(2026, 11, 30, 8, tzinfo=UTC)
    week = folder / "2026-W49" / "week.yaml"
    batch = open_batch(Request(kind=RunKind.QUOTE, shop=folder.resolve(), week=week, now=now))
    return Door(batch, load_plugins(batch.shop))


def orders() -> dict[str, bytes]:
    """The sample week's job files, all of them good."""
    files = sorted((SAMPLE / "2026-W49").glob("w*-*.yaml"))
    return {path.name: path.read_bytes() for path in files}
