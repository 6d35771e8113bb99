"""Runs and plannings as they were recorded -> tasks and press runs again; and the record of a planning.

A planning's record, replan.json, stands beside its papers as run.json does beside a run's.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from attrs import evolve, frozen

from pipeline.canonical import Json, canonical, plain
from pipeline.model.document import Audience, Document
from pipeline.model.press import PressTask
from pipeline.model.run import Replan
from pipeline.model.schedule import Begun, PressRun
from pipeline.problems import Problem, StopRun
from pipeline.record import RECORD, documents_record, runs_record

if TYPE_CHECKING:
    from cattrs import Converter

REPLAN_RECORD = "replan.json"
"""The name of the record in the folder of a planning."""

REPLAN_FORMAT = "peelwright replan 1"


@frozen(kw_only=True)
class RecordedRun:
    """What a run recorded of the work to press. Of a later run of one week the tasks are called `2.R01`."""

    label: str
    start: datetime
    jobs: tuple[str, ...]
    tasks: tuple[PressTask, ...]
    runs: tuple[PressRun, ...]


@frozen(kw_only=True)
class EarlierReplan:
    """A planning before this one."""

    label: str
    as_of: datetime
    runs: tuple[PressRun, ...]


def recorded_run(documents: Iterable[Document], label: str, number: int, zone: str) -> RecordedRun:
    """A run from its papers; the `number`th (from 1) of those planned together. Raises StopRun (E653)."""
    record = next((json.loads(paper.content) for paper in documents if paper.path == RECORD), None)
    if record is None or "tasks" not in record:
        message = f"{label} was recorded by an earlier version, and cannot be planned again"
        raise StopRun([Problem(code="E653", message=message, hint="go on by its printed schedule")])
    build = _converter(zone).structure

    def name(task: str) -> str:
        return task if number == 1 else f"{number}.{task}"

    tasks = build(record["tasks"], tuple[PressTask, ...])
    runs = build(record["schedule"], tuple[PressRun, ...])
    return RecordedRun(
        label=label,
        start=build(record["start"], datetime),
        jobs=tuple(order["job"] for order in record["orders"]),
        tasks=tuple(evolve(task, id=name(task.id), after=tuple(map(name, task.after))) for task in tasks),
        runs=tuple(evolve(run, task=name(run.task)) for run in runs),
    )


def earlier_replan(out: Path, labels: Sequence[str], as_of: datetime, zone: str) -> EarlierReplan | None:
    """The last planning of these runs, or of the first of them, before this moment; None where there is none."""
    build = _converter(zone).structure
    found: list[EarlierReplan] = []
    for path in sorted(out.glob(f"*/{REPLAN_RECORD}")) if out.is_dir() else ():
        record = read_replan(path)
        if record is None or record["runs"] != list(labels[: len(record["runs"])]):
            continue
        moment = build(record["as_of"], datetime)
        if moment < as_of:
            runs = build(record["schedule"], tuple[PressRun, ...])
            found.append(EarlierReplan(label=record["label"], as_of=moment, runs=runs))
    return max(found, key=lambda each: (each.as_of, each.label), default=None)


def read_replan(path: Path) -> dict[str, Any] | None:
    """A planning's record; None where there is none, and for a file of that name that we did not write."""
    try:
        record: dict[str, Any] = json.loads(path.read_bytes())
        return record if record["format"] == REPLAN_FORMAT else None
    except (ValueError, KeyError, TypeError, FileNotFoundError, NotADirectoryError):
        return None


def replan_record(
    replan: Replan,
    begun: tuple[Begun, ...],
    before: str,
    documents: Iterable[Document],
    inputs: Mapping[str, str],
    plugins: Sequence[str],
    versions: Mapping[str, str],
) -> Document:
    """The record of a planning with these documents; `before` names the run or planning that it went on from."""
    schedule = replan.schedule
    record: dict[str, Json] = {
        "format": REPLAN_FORMAT,
        "label": replan.label,
        "runs": list(replan.runs),
        "before": before,
        "as_of": plain(schedule.as_of),
        "start": plain(schedule.start),
        "shop": replan.shop.name,
        "inputs": [{"path": path, "sha256": inputs[path]} for path in sorted(inputs)],
        "plugins": list(plugins),
        "versions": dict(versions),
        "begun": plain(begun),
        "schedule": runs_record(replan.tasks, schedule),
        "late": plain(schedule.late),
        "press_use": plain(schedule.presses),
        "operator_use": plain(schedule.operators),
        "least_tardiness": schedule.bound,
        "documents": documents_record(documents),
    }
    return Document(
        path=REPLAN_RECORD, title="The planning as data", content=canonical(record), audience=Audience.OFFICE
    )


@cache
def _converter(zone: str) -> "Converter":
    """Builds values from what `plain` made of them."""
    from cattrs import Converter

    converter = Converter()
    local = ZoneInfo(zone)
    converter.register_structure_hook(datetime, lambda text, _: datetime.fromisoformat(text).astimezone(local))
    converter.register_structure_hook(timedelta, lambda seconds, _: timedelta(seconds=seconds))
    return converter
