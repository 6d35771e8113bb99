"""A week planned again: the presses of runs that are recorded, from a moment on. Nothing is numbered or recorded.

What was bought and invoiced stands. The floor's papers are made anew in a folder of their own; they can be made
again at any time from the ledger, progress.yaml and the folder of the planning before.
"""

import hashlib
from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from attrs import frozen

from pipeline.batch import Batch, JobFile, open_batch, read_files, with_files
from pipeline.durable import make_folders
from pipeline.ledger import Ledger, Snapshot
from pipeline.load import Progress as Told
from pipeline.load import load_progress, read_file
from pipeline.model.press import PressTaskList
from pipeline.model.run import Replan
from pipeline.model.schedule import Begun, PressRun, SoFar
from pipeline.output import Delivery, deliver, withdraw_replan
from pipeline.plugin_manager import load_plugins, versions
from pipeline.problems import Outcome, Problem, Severity, StopRun, has_errors, in_order, showing
from pipeline.readings import said_of_both
from pipeline.recorded import RecordedRun, earlier_replan, recorded_run, replan_record
from pipeline.request import Request, as_typed, display_name
from pipeline.run import Progress, without_recorded
from pipeline.shop import Shop
from pipeline.so_far import begun_of, with_goods
from pipeline.spool import Spool


@frozen(kw_only=True)
class Replanned:
    """What planning again did, for the terminal and for tools."""

    replan: Replan
    problems: tuple[Problem, ...]
    #: File name -> text, to show the lines that problems point at.
    sources: Mapping[str, str]
    #: Files that gave no order.
    held: tuple[str, ...]
    #: Whose schedule was planned on: a run's label, or that of an earlier planning.
    before: str
    folder: str
    delivery: Delivery


def replan(
    request: Request, as_of: datetime, reported: Path | None, progress: Progress = lambda _: None
) -> Replanned:
    """Plan the presses again for the recorded orders of a batch, from `as_of` on, in the shop's local time.

    `reported` is the file that tells what has begun and which goods are late; without one, nothing has and none are.

    Raises StopRun, PluginFailed, LedgerError and OSError.
    """
    progress("reading")
    batch = open_batch(request)
    shop, out = batch.shop, request.out or batch.shop.root / "out"
    as_of = as_of.replace(tzinfo=ZoneInfo(shop.time_zone))
    with Ledger.of(shop, create=False) as ledger:
        batch = with_files(batch, _files(request, shop, ledger))
        with showing(batch.sources):
            stages = load_plugins(shop)
            snapshot = ledger.read([order.job for order in batch.orders], on=batch.date)
            planned = _recorded(batch, ledger, snapshot)
    labels = tuple(run.label for run in planned)
    tasks = PressTaskList(tasks=tuple(task for run in planned for task in run.tasks))
    runs = {run.task: run for each in planned for run in each.runs}
    label = snapshot.free_label(f"{labels[0]}-at-{as_of:%m%d-%H%M}")
    earlier = earlier_replan(out, labels, as_of, shop.time_zone)
    if earlier is not None:
        runs |= {run.task: run for run in earlier.runs if run.task in runs}
    begun, tasks, inputs = _reported(reported, batch, tasks, runs, as_of)
    progress("scheduling")
    recorded = {job for run in planned for job in run.jobs}
    orders = tuple(order for order in batch.orders if order.job in recorded)
    made = Replan(
        label=label,
        runs=labels,
        date=as_of.date(),
        shop=shop,
        orders=orders,
        tasks=tasks,
        schedule=stages.schedule_presses(
            orders=orders,
            shop=shop,
            tasks=tasks,
            start=as_of,
            so_far=SoFar(start=min(run.start for run in planned), runs=tuple(runs.values()), begun=begun),
        ),
    )
    progress("documents")
    before = earlier.label if earlier is not None else labels[-1]
    with Spool() as spool:
        papers = spool.keep(stages.make_replan_documents(replan=made))
        papers += spool.keep(stages.index_replan_documents(replan=made, documents=papers))
        record = replan_record(
            made, begun, before, papers, {**batch.inputs, **inputs}, stages.plugin_names(), versions(shop)
        )
        papers += (record,)
        progress("writing")
        make_folders(out)
        withdraw_replan(out / label, papers)
        delivery = deliver(out / label, papers)
    waiting = _waiting(batch, snapshot)
    return Replanned(
        replan=made,
        problems=in_order((*batch.problems, *waiting)),
        sources=batch.sources,
        held=batch.unreadable,
        before=before,
        folder=as_typed(out / label),
        delivery=delivery,
    )


def _files(request: Request, shop: Shop, ledger: Ledger) -> Iterable[JobFile]:
    """The job files asked for, or those of the runs as the ledger keeps them. Raises StopRun."""
    if not request.recorded:
        yield from read_files(request.files, shop)
    for label in request.recorded:
        try:
            papers = ledger.documents(label)
        except KeyError:
            message = f"the ledger has no run `{label}`"
            hint = "name the folder of a run's papers, or its job files"
            raise StopRun([Problem(code="E651", message=message, hint=hint)]) from None
        for job in recorded_run(papers, label, 1, shop.time_zone).jobs:
            yield JobFile(name=f"{label}: {job}", content=Outcome(value=ledger.file(job)))


def _recorded(batch: Batch, ledger: Ledger, snapshot: Snapshot) -> tuple[RecordedRun, ...]:
    """The runs that took the batch's orders, the earliest first. Raises StopRun."""
    changed, repeated = without_recorded(batch, ledger, snapshot)
    new = {problem for problem in changed.problems if problem not in batch.problems}
    jobs = {known.job for known in repeated}
    wrong = [problem for problem in batch.problems if problem.is_error and problem.job in jobs]
    if new or wrong:
        raise StopRun([*new, *wrong])
    if not repeated:
        message = "none of these orders was run before: there is nothing to plan again"
        raise StopRun([Problem(code="E651", message=message, hint="run them without --as-of")])
    labels = dict.fromkeys(known.run for known in repeated)
    runs = [
        recorded_run(ledger.documents(label), label, number, batch.shop.time_zone)
        for number, label in enumerate(labels, 1)
    ]
    if problems := [problem for run in runs for problem in _missing(run, jobs)]:
        raise StopRun(problems)
    return tuple(runs)


def _missing(run: RecordedRun, jobs: Iterable[str]) -> Iterable[Problem]:
    if missing := [job for job in run.jobs if job not in jobs]:
        message = f"{run.label} is more than these orders: it holds {', '.join(missing)}, too"
        hint = f"name the folder with all of its job files or, in their place, the one of its papers, {run.label}"
        yield Problem(code="E652", message=message, hint=hint)


def _reported(
    file: Path | None, batch: Batch, tasks: PressTaskList, runs: dict[str, PressRun], as_of: datetime
) -> tuple[tuple[Begun, ...], PressTaskList, dict[str, str]]:
    """What has begun, the tasks with their goods in when that is told, and the file with its hash. Raises StopRun."""
    if file is None:
        return (), tasks, {}
    name = display_name(file, batch.shop.root)
    content = read_file(file, name)
    if content.value is None:
        raise StopRun(content.problems)
    loaded = load_progress(content.value, name)

    def held_against(told: Told) -> tuple[Outcome[tuple[Begun, ...]], Outcome[PressTaskList]]:
        begun = begun_of(told, tasks, runs, batch.shop, as_of)
        return begun, with_goods(told, tasks, begun.value or (), batch.shop, as_of)

    problems = loaded.problems
    if loaded.readings is not None:
        read = loaded.readings.map(held_against)
        problems += said_of_both(read.map(lambda both: both[0].problems + both[1].problems))
        begun, goods = read.least
        if not has_errors(problems) and begun.value is not None and goods.value is not None:
            return begun.value, goods.value, {name: hashlib.sha256(content.value).hexdigest()}
    raise StopRun(problems, loaded.sources)


def _waiting(batch: Batch, snapshot: Snapshot) -> Iterable[Problem]:
    """Orders that were not run yet."""
    for order in batch.orders:
        if snapshot.of(order.job) is None:
            yield Problem(
                code="W654",
                severity=Severity.WARNING,
                message=f"{order.job} was not run yet, and is not on the schedule",
                hint="run it without --as-of, then plan again",
                origin=order.at("job"),
                job=order.job,
            )
