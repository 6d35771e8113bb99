"""A batch as it was read: the shop, its orders with their artwork measured, and every file that went into it."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from attrs import evolve, field, frozen

from pipeline.artwork import measure_artwork
from pipeline.examples import Examples
from pipeline.load import Week, load_order, load_week, read_file
from pipeline.load_shop import load_shop
from pipeline.model.order import Artwork, Order
from pipeline.problems import Outcome, Problem, StopRun, has_errors
from pipeline.readings import Loaded, Readings, said_of_both
from pipeline.request import SHOP_FOLDERS, Request, display_name
from pipeline.shop import Shop

_QUARTER = timedelta(minutes=15)


@frozen(kw_only=True)
class JobFile:
    """A job file as it was read, and how messages call it."""

    name: str
    content: Outcome[bytes]


@frozen(kw_only=True)
class Batch:
    """What a run starts from."""

    shop: Shop
    date: date
    start: datetime
    label: str
    #: In the order of their job ids, whatever the order of the files.
    orders: tuple[Order, ...] = ()
    #: Files that gave no order, and what can be checked of them nevertheless.
    unreadable: tuple[str, ...] = ()
    readings: tuple[Readings[Order], ...] = ()
    problems: tuple[Problem, ...] = ()
    #: File name -> text, to show the lines that problems point at.
    sources: Mapping[str, str]
    #: Job -> its file's bytes.
    files: Mapping[str, bytes] = field(factory=dict)
    #: Every file that was read -> SHA-256.
    inputs: Mapping[str, str]


def read_shop(folder: Path) -> Loaded[Shop]:
    """The shop of a folder. Raises StopRun, with the lines to show, when its files are wrong."""
    loaded = load_shop(folder)
    if loaded.value is None:
        raise StopRun(loaded.problems, loaded.sources)
    return loaded


def read_batch(request: Request) -> Batch:
    """Read everything that a request names. Raises StopRun when the shop's or the week's file is wrong."""
    batch = open_batch(request)
    return with_files(batch, read_files(request.files, batch.shop))


def read_files(paths: Iterable[Path], shop: Shop) -> Iterator[JobFile]:
    """The files at these paths."""
    for path in paths:
        name = display_name(path, shop.root)
        yield JobFile(name=name, content=read_file(path, name))


def open_batch(request: Request) -> Batch:
    """The batch before its orders are read.

    When the shop's or the week's file is wrong: StopRun, with what is wrong with the orders' files, too.
    """
    loaded = load_shop(request.shop)
    shop = loaded.value
    week = _read_week(request)
    if shop is None or has_errors(week.problems):
        raise _stopped(request, loaded, week)
    on, start = _moment(request, week.value, shop)
    return Batch(
        shop=shop,
        date=on,
        start=start,
        label=request.label or f"{on.isocalendar().year}-W{on.isocalendar().week:02}",
        problems=loaded.problems,
        sources=loaded.sources,
        inputs=dict(_shop_inputs(shop)),
    )


def with_files(
    batch: Batch, given: Iterable[JobFile], measured: dict[str, Outcome[Artwork]] | None = None
) -> Batch:
    """The batch with the orders of these files. `measured` keeps the artwork that was opened, for the next call."""
    shop = batch.shop
    orders: list[Order] = []
    unreadable: list[str] = []
    readings: list[Readings[Order]] = []
    problems = list(batch.problems)
    sources = dict(batch.sources)
    files: dict[str, bytes] = {}
    inputs = dict(batch.inputs)
    measured = {} if measured is None else measured
    examples = Examples(shop).at
    for file in given:
        name, content = file.name, file.content
        problems += content.problems
        if content.value is None:
            unreadable.append(name)
            continue
        found = load_order(content.value, name, shop.currency, examples)
        inputs[name] = hashlib.sha256(content.value).hexdigest()
        sources.update(found.sources)
        problems += found.problems
        if found.value is None:
            unreadable.append(name)
            if found.readings is not None:
                read = found.readings.map(lambda order: _with_artwork(order, shop, measured))
                problems += said_of_both(read.map(lambda pair: pair[1]))
                readings.append(read.map(lambda pair: pair[0]))
            continue
        order, trouble = _with_artwork(found.value, shop, measured)
        problems += trouble
        orders.append(order)
        files[order.job] = content.value
    used = {item.artwork for order in orders for line in order.lines for item in line.prints}
    inputs |= {path: art.value.sha256 for path in used if (art := measured[path]).value is not None}
    return evolve(
        batch,
        orders=tuple(sorted(orders, key=lambda order: (order.job, order.origin.file))),
        unreadable=tuple(sorted(unreadable)),
        readings=tuple(readings),
        problems=tuple(problems),
        sources=sources,
        files=files,
        inputs=inputs,
    )


def _read_week(request: Request) -> Loaded[Week]:
    if request.week is None:
        return Loaded(value=None)
    name = display_name(request.week, request.shop)
    content = read_file(request.week, name)
    if content.value is None:
        return Loaded(value=None, problems=content.problems)
    return load_week(content.value, name)


def _stopped(request: Request, shop: Loaded[Shop], week: Loaded[Week]) -> StopRun:
    problems, sources = (*shop.problems, *week.problems), {**shop.sources, **week.sources}
    if shop.readings is None:
        return StopRun(problems, sources)
    # Only the folder and the currency matter here; where that is at fault, `most` blames no amount for it.
    known = shop.readings.most
    nothing = Batch(shop=known, date=request.now.date(), start=request.now, label="", sources={}, inputs={})
    orders = with_files(nothing, read_files(request.files, known))
    return StopRun((*problems, *orders.problems), {**sources, **orders.sources})


def _moment(request: Request, week: Week | None, shop: Shop) -> tuple[date, datetime]:
    """The day of issue and when pressing may start: what was asked, else the week's file, else the caller's clock."""
    zone = ZoneInfo(shop.time_zone)
    now = request.now.astimezone(zone)
    on = request.day or (week.date if week else now.date())
    if request.start is not None:
        return on, request.start.replace(tzinfo=zone)
    if week and week.start and request.day in (None, week.date):
        return on, week.start.replace(tzinfo=zone)
    morning = datetime.combine(on, time(), tzinfo=zone)
    if on != now.date():
        return on, morning
    # Today, what is past cannot be planned: the next full quarter of an hour.
    return on, morning + -(-(now - morning) // _QUARTER) * _QUARTER


def _with_artwork(order: Order, shop: Shop, measured: dict[str, Outcome[Artwork]]) -> tuple[Order, list[Problem]]:
    """The order with each print's artwork measured; each file is opened once per batch."""
    problems: list[Problem] = []
    lines = []
    for line in order.lines:
        prints = []
        for item in line.prints:
            if item.artwork not in measured:
                measured[item.artwork] = measure_artwork(shop.root, item.artwork)
            outcome = measured[item.artwork]
            problems += [evolve(p, origin=item.at("artwork"), job=order.job) for p in outcome.problems]
            prints.append(evolve(item, art=outcome.value))
        lines.append(evolve(line, prints=tuple(prints)))
    return evolve(order, lines=tuple(lines)), problems


def shop_signature(root: Path) -> tuple[tuple[str, int, int], ...]:
    """Name, time and size of each of the shop's own files: when it is another, the shop is to be read anew."""
    found = ((str(path), path.stat()) for path in _shop_files(root))
    return tuple((name, status.st_mtime_ns, status.st_size) for name, status in found)


def _shop_inputs(shop: Shop) -> Iterator[tuple[str, str]]:
    for path in _shop_files(shop.root):
        yield display_name(path, shop.root), hashlib.sha256(path.read_bytes()).hexdigest()


def _shop_files(root: Path) -> Iterator[Path]:
    """The shop's own files, plugins and templates included: what decides how a batch comes out."""
    folders = [root / name for name in SHOP_FOLDERS]
    found = [root / "shop.yaml", *(path for folder in folders for path in folder.glob("*.yaml"))]
    found += (root / "shop_plugins").glob("*.py")
    found += (root / "templates").glob("**/*.j2")
    found += (root / "language").glob("*.po")
    yield from sorted(path for path in found if path.is_file())
