"""The week: planned as it stands after each drop, and closed. Both take long, so a process of their own does them.

They are functions of a shop's folder and a moment: called twice, or cut off and called again, they end the same.
"""

import shutil
from collections.abc import Iterator, Mapping
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from attrs import evolve, field, frozen

from pipeline.batch import Batch, JobFile, open_batch, with_files
from pipeline.ledger import Drop, Ledger
from pipeline.model.run import RunKind
from pipeline.output import withdraw_quote
from pipeline.plugin_manager import load_plugins
from pipeline.problems import Outcome
from pipeline.request import Request
from pipeline.run import Report, at_the_door, run
from pipeline.stages import Stages
from pipeline.watch.fault import words_of
from pipeline.watch.policy import HORIZON, Waits, closing_time, next_cut_off

PLAN = "gathered"
"""Label of the plan as it stands: its papers are those of a quote, in `out/quote-gathered/`."""

PLAN_FOLDER = f"quote-{PLAN}"


@frozen(kw_only=True)
class Standing:
    """How the gathered orders stand, planned together. `fault` says why they could not be."""

    #: Job -> why it would not go on.
    held: Mapping[str, tuple[str, ...]] = field(factory=dict)
    closes: datetime | None = None
    fault: str = ""


@frozen(kw_only=True)
class Closed:
    """What a closing did: the labels of its runs, and which orders stayed behind, and why."""

    labels: tuple[str, ...] = ()
    held: Mapping[str, tuple[str, ...]] = field(factory=dict)
    fault: str = ""


def plan_as_it_stands(shop: Path, now: datetime) -> Standing:
    """Plan what is gathered, and say when it is closed by itself."""
    try:
        return _plan(shop, now)
    except Exception as error:  # of a plugin, too: the watcher shows it, and goes on taking orders in
        return Standing(fault=words_of(error))


def close(shop: Path, now: datetime, jobs: tuple[str, ...] = ()) -> Closed:
    """Close the week: one run of all that is gathered; or a run for each of these jobs."""
    labels: list[str] = []
    held: dict[str, tuple[str, ...]] = {}
    try:
        for job in jobs or ("",):
            asked = {"gathered": (job,), "label": f"order-{job}"} if job else {"gathered": ()}
            report = run(Request(kind=RunKind.RUN, shop=shop, now=now, **asked))
            labels += [report.run.label] if report.run else []
            held |= _reasons(report)
    except Exception as error:
        return Closed(labels=tuple(labels), held=held, fault=words_of(error))
    return Closed(labels=tuple(labels), held=held)


def _reasons(report: Report) -> dict[str, tuple[str, ...]]:
    """Why each order is held."""
    errors = [problem for problem in report.problems if problem.is_error]
    return {job: tuple(error.message for error in errors if error.job == job) for job in report.held}


def _plan(shop: Path, now: datetime) -> Standing:
    request = Request(kind=RunKind.QUOTE, shop=shop, gathered=(), label=PLAN, now=now)
    report = run(request)
    if not report.orders:
        withdraw_plan(shop / "out")
        return Standing(held=_reasons(report))
    batch = open_batch(request)
    with Ledger.of(batch.shop, create=False) as ledger:
        waiting = {drop.job: drop for drop in ledger.waiting()}
    rules, zone = batch.shop.watch, ZoneInfo(batch.shop.time_zone)
    orders = [waiting[order.job] for order in report.orders if order.job in waiting]
    cut_off = next_cut_off(rules, min((drop.received for drop in orders), default=now), zone)
    until = cut_off.astimezone(zone).date() if cut_off else batch.date + timedelta(days=HORIZON)
    last = dict(_last_days(batch, load_plugins(batch.shop), orders, until))
    waits = (Waits(received=drop.received, last_day=last.get(drop.job)) for drop in orders)
    return Standing(held=_reasons(report), closes=closing_time(rules, waits, zone))


def _last_days(batch: Batch, stages: Stages, orders: list[Drop], until: date) -> Iterator[tuple[str, date]]:
    """Each order that could not go on any more on some day up to `until`, and the day before it.

    The same checks that hold an order at the door are asked as if it were that day already.
    """
    batch = with_files(batch, [JobFile(name=drop.name, content=Outcome(value=drop.file)) for drop in orders])
    good = {order.job for order in batch.orders}
    for days in range(1, (until - batch.date).days + 1):
        day = batch.date + timedelta(days=days)
        report, _ = at_the_door(evolve(batch, date=day), stages, RunKind.QUOTE)
        for job in sorted(good - {order.job for order in report.orders}):
            good.discard(job)
            yield job, day - timedelta(days=1)


def withdraw_plan(out: Path) -> None:
    """Nothing is gathered any more: the papers of the plan go."""
    folder = out / PLAN_FOLDER
    withdraw_quote(folder, ())
    if folder.is_dir():
        (folder / "run.json").unlink(missing_ok=True)
        if not any(folder.iterdir()):
            shutil.rmtree(folder)
