"""Files -> Shop, Order, Week: read, checked, built. What is wrong with a file is a problem, never an exception.

A shop is a folder: `shop.yaml`, and in `presses/`, `transfers/`, `garments/` and `customers/` one file for each
thing. A thing is called by its `name`, or without one by its file's name.
"""

import hashlib
import re
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from attrs import evolve, field, frozen

from pipeline.model.order import Order
from pipeline.model.tally import Tally
from pipeline.problems import FromFile, Origin, Outcome, Problem, has_errors, in_order
from pipeline.schema import check
from pipeline.shop import Customer, Garment, Press, Shop, Transfer
from pipeline.shop_rules import check_shop
from pipeline.source import MAX_BYTES, Source, parse
from pipeline.structure import structure

T = TypeVar("T")
F = TypeVar("F", bound=FromFile)

PARTS: Mapping[str, tuple[str, type[FromFile]]] = {
    "presses": ("press", Press),
    "transfers": ("transfer", Transfer),
    "garments": ("garment", Garment),
    "customers": ("customer", Customer),
}
"""Folder of a shop, and field of Shop -> schema and class of what one of its files describes."""

_NAME = re.compile(r"[a-z0-9]+([-.][a-z0-9]+)*")


@frozen(kw_only=True)
class Loaded(Outcome[T]):
    """An outcome, and the text of every file that was read for it, to print its problems with."""

    sources: Mapping[str, str] = field(factory=dict)


@frozen(kw_only=True)
class Week(FromFile):
    """`week.yaml` beside the job files of a week: when it is planned, and when pressing begins (zone-aware)."""

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


def load_order(content: bytes, file: str, currency: str) -> Loaded[Order]:
    """The order of one job file. `file` is the name that messages give; amounts are in `currency`.

    Artwork is not looked at (`pipeline.artwork` does). Problems: E1xx, E201-E209, W101.
    """
    loaded = _load(content, file, "job", Order, currency)
    if loaded.value is None:
        return loaded
    order = evolve(loaded.value, sha256=hashlib.sha256(content).hexdigest())
    return evolve(loaded, value=order, problems=[evolve(p, job=order.job) for p in loaded.problems])


def load_week(content: bytes, file: str, time_zone: str) -> Loaded[Week]:
    """When the orders of a folder are planned. `start` is written in local time of `time_zone`."""
    source, problems = checked(content, file, "week")
    sources = {file: source.text}
    if has_errors(problems):
        return Loaded(value=None, problems=problems, sources=sources)
    start = source.data.get("start")
    week = Week(
        date=date.fromisoformat(source.data["date"]),
        start=datetime.fromisoformat(start).replace(tzinfo=ZoneInfo(time_zone)) if start else None,
        origin=source.origin(()),
        marks={key: source.origin((key,)) for key in source.data},
    )
    return Loaded(value=week, problems=problems, sources=sources)


def load_tally(content: bytes, file: str, currency: str) -> Loaded[Tally]:
    """What a tally file says was counted. `file` is the name that messages give. Problems: E1xx, E201-E209, W101."""
    return _load(content, file, "tally", Tally, currency)


def load_progress(content: bytes, file: str) -> Loaded[Progress]:
    """What the floor has done of a week. Names are not looked up here."""
    return _load(content, file, "progress", Progress, currency="USD")


def load_shop(root: Path) -> Loaded[Shop]:
    """The shop in the folder `root`, with what its files say about each other checked.

    Problems: E101 and those of `load_order` for its files, E203, E210 and E211 between them.
    """
    problems: list[Problem] = []
    sources: dict[str, str] = {}

    def read(path: Path, schema: str) -> Source | None:
        file = path.relative_to(root).as_posix()
        content = read_file(path, file)
        problems.extend(content.problems)
        if content.value is None:
            return None
        source, found = checked(content.value, file, schema)
        problems.extend(found)
        sources[file] = source.text
        return None if has_errors(found) else source

    office = read(root / "shop.yaml", "shop")
    currency = office.data["currency"] if office else "USD"
    parts: dict[str, Any] = {}
    for folder, (schema, of) in PARTS.items():
        files = [(path, read(path, schema)) for path in _yaml_files(root / folder)]
        outcomes = [_part(source, of, currency, path) for path, source in files if source is not None]
        problems.extend(problem for outcome in outcomes for problem in outcome.problems)
        parts[folder] = tuple(outcome.value for outcome in outcomes if outcome.value is not None)
        if not files:
            problems.append(_nothing_in(folder, schema))
    shop = structure(office, Shop, currency, root=root, **parts) if office else Outcome[Shop](value=None)
    problems.extend(shop.problems)
    if shop.value is not None and not has_errors(problems):
        problems.extend(check_shop(shop.value))
    value = None if has_errors(problems) else shop.value
    return Loaded(value=value, problems=in_order(problems), sources=sources)


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
    source, problems = checked(content, file, schema)
    sources = {file: source.text}
    if has_errors(problems):
        return Loaded(value=None, problems=problems, sources=sources)
    built = structure(source, of, currency)
    return Loaded(value=built.value, problems=(*problems, *built.problems), sources=sources)


def checked(content: bytes, file: str, schema: str) -> tuple[Source, tuple[Problem, ...]]:
    """A file's text and data, and what is wrong with them by themselves."""
    outcome = parse(content, file)
    if outcome.value is None:
        raise AssertionError("the reader always gives a source")
    if not outcome.ok:
        return outcome.value, outcome.problems
    faults = check(outcome.value, schema)
    # A word that is wrong anyway need not also be told about its quotes.
    wrong = {problem.origin for problem in faults}
    return outcome.value, (*(p for p in outcome.problems if p.origin not in wrong), *faults)


def _part(source: Source, of: type[F], currency: str, path: Path) -> Outcome[F]:
    """What one file of a shop's folders describes, called by the file's name if it gives none."""
    if "name" in source.data:
        return structure(source, of, currency)
    if _NAME.fullmatch(path.stem):
        return structure(source, of, currency, name=path.stem)
    message = f"`{path.stem}` cannot be a name: small letters, digits and hyphens only"
    hint = "rename the file, or add a line `name: ...`"
    problem = Problem(code="E206", message=message, hint=hint, origin=Origin(file=source.file))
    return Outcome(value=None, problems=[problem])


def _yaml_files(folder: Path) -> Iterable[Path]:
    if not folder.is_dir():
        return []
    return sorted(
        path
        for path in folder.iterdir()
        if path.suffix in (".yaml", ".yml") and not path.name.startswith((".", "~", "#"))
    )


def _nothing_in(folder: str, what: str) -> Problem:
    message = f"the shop has no {what}: `{folder}/` holds no .yaml file"
    return Problem(
        code="E202", message=message, hint=f"add a file for each {what}", origin=Origin(file="shop.yaml")
    )
