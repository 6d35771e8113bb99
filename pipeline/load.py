"""Files -> Order, Week, Tally, Progress: what is wrong with a file is a problem, never an exception."""

import hashlib
from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from typing import TypeVar

from attrs import evolve, frozen

from pipeline.model.order import Order
from pipeline.model.tally import Tally
from pipeline.problems import FromFile, Origin, Outcome, Problem
from pipeline.readings import Loaded, build, checked
from pipeline.schema import Examples, no_examples, validator
from pipeline.source import MAX_BYTES, Source

F = TypeVar("F", bound=FromFile)


@frozen(kw_only=True)
class Week(FromFile):
    """`week.yaml` beside the job files of a week: when it is planned, and when pressing begins (local, no zone)."""

    date: date
    start: datetime | None = None


@frozen(kw_only=True)
class RunProgress(FromFile):
    """A press run that has begun. Times are local, without a zone; "" = as it was planned."""

    run: str
    started: datetime
    finished: datetime | None = None
    pressed: int | None = None
    peeled: datetime | None = None
    press: str = ""
    operator: str = ""


@frozen(kw_only=True)
class GoodsProgress(FromFile):
    """Garments and prints of an order, or of its `line`th line (from 1), that come at another time; local time."""

    job: str
    expected: datetime
    line: int | None = None


@frozen(kw_only=True)
class Progress(FromFile):
    """`progress.yaml` beside the job files of a week: what the floor has done of it, and which goods are late."""

    runs: tuple[RunProgress, ...] = ()
    goods: tuple[GoodsProgress, ...] = ()


def load_order(content: bytes, file: str, currency: str, examples: Examples = no_examples) -> Loaded[Order]:
    """The order of one job file. `file` is the name that messages give; amounts are in `currency`.

    Artwork is not looked at (`pipeline.artwork` does). Problems: E1xx, E201-E209, W101.
    """
    source, problems = checked(content, file, "job", examples)
    if other := _another_kind(source):
        problems = (other,)
    if source.data is None or other:
        return Loaded(value=None, problems=problems, sources={file: source.text})
    loaded = build(source, problems, "job", Order, currency)
    sha256 = hashlib.sha256(content).hexdigest()
    read = loaded.readings
    if read is None:
        return loaded
    # An order whose job id cannot be read has none in either reading: what is said of it may not differ by that.
    job = read.least.job if read.least.job == read.most.job else ""
    read = read.map(lambda order: evolve(order, job=job, sha256=sha256))
    told = [evolve(problem, job=job) for problem in loaded.problems]
    return evolve(loaded, value=read.least if loaded.value else None, problems=told, readings=read)


_OTHERS = {
    "tally": ("a count of the floor", "`peelwright ledger tally FILE` books it"),
    "intake": ("a map of columns", "`peelwright intake TABLE --map FILE` goes by it"),
    "progress": ("a report of progress", "`peelwright run JOBS --as-of TIME` reads it as progress.yaml"),
    "week": ("the day of a week", "call it week.yaml, beside the orders"),
    "garment": ("a garment", "it belongs into garments/"),
    "transfer": ("a transfer", "it belongs into transfers/"),
    "press": ("a press", "it belongs into presses/"),
    "customer": ("a customer", "it belongs into customers/"),
}
"""Schema -> what such a file is, and where it belongs."""


def _another_kind(source: Source) -> Problem | None:
    """E119 for a file that has nothing of an order, and all that another kind of file needs."""
    keys = set(source.data) if isinstance(source.data, dict) else set()
    if not keys or keys & {"job", "lines"}:
        return None
    for name, (what, hint) in _OTHERS.items():
        rule = validator(name).schema
        if isinstance(rule, Mapping) and set(rule.get("required", ())) <= keys <= set(rule["properties"]):
            message = f"this is {what}, not an order"
            return Problem(code="E119", message=message, hint=hint, origin=source.origin(()))
    return None


def load_week(content: bytes, file: str) -> Loaded[Week]:
    """When the orders of a folder are planned."""
    return _load(content, file, "week", Week, currency="USD")


def load_tally(content: bytes, file: str, currency: str) -> Loaded[Tally]:
    """What a tally file says was counted. `file` is the name that messages give. Problems: E1xx, E201-E209, W101."""
    return _load(content, file, "tally", Tally, currency)


def load_progress(content: bytes, file: str) -> Loaded[Progress]:
    """What the floor has done of a week. Names are not looked up here."""
    return _load(content, file, "progress", Progress, currency="USD")


def read_file(path: Path, file: str) -> Outcome[bytes]:
    """The bytes of a file, at most one more than may be read; E101 when there are none.

    `file` is the name that messages give.
    """
    message, hint = "there is no such file", "look for it under another name"
    try:
        if path.is_file():
            with path.open("rb") as stream:
                return Outcome(value=stream.read(MAX_BYTES + 1))
    except OSError as error:
        message, hint = f"the file cannot be read: {error.strerror}", "look at its permissions"
    problem = Problem(code="E101", message=message, hint=hint, origin=Origin(file=file))
    return Outcome(value=None, problems=[problem])


def _load(content: bytes, file: str, schema: str, of: type[F], currency: str) -> Loaded[F]:
    return build(*checked(content, file, schema), schema, of, currency)
