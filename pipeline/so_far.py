"""progress.yaml -> what the floor has done of a week and which goods are late, held against what was planned."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

from attrs import evolve

from pipeline.load import Progress, RunProgress
from pipeline.model.press import PressTask, PressTaskList
from pipeline.model.schedule import Begun, PressRun
from pipeline.problems import Origin, Outcome, Problem, did_you_mean, expected_one_of
from pipeline.shop import Shop


def begun_of(
    progress: Progress, tasks: PressTaskList, planned: Mapping[str, PressRun], shop: Shop, as_of: datetime
) -> Outcome[tuple[Begun, ...]]:
    """The runs that have begun by `as_of`, each on its planned press by its planned operator unless told otherwise.

    Problems: E203 a run, press or operator that is not there, E208 a line that does not go with another, E209 a
    run told twice, E211 what cannot have happened.
    """
    known = {task.id: task for task in tasks.tasks}
    problems: list[Problem] = []
    first: dict[str, RunProgress] = {}
    for item in progress.runs:
        if item.run not in known:
            problems.append(_unknown("run", item.run, tuple(known), item.at("run")))
        elif first.setdefault(item.run, item) is not item:
            message = f"{item.run} is told twice"
            problems.append(Problem(code="E209", message=message, hint="delete one", origin=item.at("run")))
    begun = {name: _begun(item, planned[name], ZoneInfo(shop.time_zone)) for name, item in first.items()}
    for name, item in first.items():
        problems += _names(item, begun[name], known[name], shop)
        problems += _times(item, begun[name], known[name], as_of)
        problems += _sequence(item, begun[name], known[name], begun)
    problems += _one_at_a_time(first, begun)
    return Outcome(value=tuple(begun.values()), problems=problems)


def with_goods(
    progress: Progress, tasks: PressTaskList, begun: Iterable[Begun], shop: Shop, as_of: datetime
) -> Outcome[PressTaskList]:
    """The tasks with their goods in when the file says.

    Problems: E203 a job that is not there, E209 goods told twice, E211 a line that is not there or has begun.
    """
    problems: list[Problem] = []
    jobs = dict.fromkeys(task.ref.job for task in tasks.tasks)
    on_press = {each.task for each in begun}
    expected: dict[tuple[str, int | None], datetime] = {}
    for item in progress.goods:
        moment = item.expected.replace(tzinfo=ZoneInfo(shop.time_zone))
        theirs = [task for task in tasks.tasks if task.ref.job == item.job]
        here = [task for task in theirs if item.line in (None, task.ref.line + 1)]
        running = [task.id for task in here if task.id in on_press]
        if item.job not in jobs:
            problems.append(_unknown("job", item.job, tuple(jobs), item.at("job")))
        elif not here:
            lines = len({task.ref.line for task in theirs})
            problems.append(_contradiction(f"{item.job} has {lines} lines", item.at("line"), "count from 1"))
        elif (item.job, item.line) in expected:
            message = f"the goods of {item.job} are told twice"
            problems.append(Problem(code="E209", message=message, hint="delete one", origin=item.at("job")))
        elif moment > as_of and running:
            message = f"the goods of {running[0]} are in: it has begun"
            hint = "write `line:` and the number of the line that waits"
            problems.append(_contradiction(message, item.at("expected"), hint))
        expected[item.job, item.line] = moment

    def when(task: PressTask) -> datetime:
        by_order = expected.get((task.ref.job, None), task.release)
        return expected.get((task.ref.job, task.ref.line + 1), by_order)

    changed = tuple(evolve(task, release=when(task)) for task in tasks.tasks)
    return Outcome(value=PressTaskList(tasks=changed), problems=problems)


def _begun(item: RunProgress, planned: PressRun, zone: ZoneInfo) -> Begun:
    def moment(local: datetime | None) -> datetime | None:
        return local.replace(tzinfo=zone) if local else None

    return Begun(
        task=item.run,
        press=item.press or planned.press,
        operator=item.operator or planned.operator,
        started=item.started.replace(tzinfo=zone),
        finished=moment(item.finished),
        pressed=item.pressed,
        peeled=moment(item.peeled),
        peeler=planned.peeler,
    )


def _names(item: RunProgress, begun: Begun, task: PressTask, shop: Shop) -> Iterator[Problem]:
    presses = [press.name for press in shop.presses]
    operators = [operator.name for operator in shop.operators]
    if begun.press not in presses:
        yield _unknown("press", begun.press, presses, item.at("press"))
    elif begun.press not in task.presses:
        message = f"{begun.press} cannot press {task.id}: its platens, temperature or pressure do not suit"
        hint = f"write the press on which it was pressed: {', '.join(task.presses)}"
        yield Problem(code="E211", message=message, hint=hint, origin=item.at("press"))
    if begun.operator not in operators:
        yield _unknown("operator", begun.operator, operators, item.at("operator"))


def _times(item: RunProgress, begun: Begun, task: PressTask, as_of: datetime) -> Iterator[Problem]:
    if begun.started > as_of:
        yield _future(item, "started", as_of)
    if begun.finished is not None:
        if begun.finished <= begun.started:
            yield _contradiction(f"{item.run} was finished before it was started", item.at("finished"))
        elif begun.finished > as_of:
            yield _future(item, "finished", as_of)
        if begun.pressed is not None:
            message, hint = f"{item.run} is finished: all its pieces are pressed", "delete one of the two lines"
            yield Problem(code="E208", message=message, hint=hint, origin=item.at("pressed"))
    elif begun.pressed is not None and begun.pressed >= task.quantity:
        hint = "write `finished:` and the time when all are pressed"
        yield _contradiction(f"{item.run} has {task.quantity} pieces", item.at("pressed"), hint)
    if begun.peeled is None:
        return
    if not task.piece_time.peel:
        message = f"nothing of {item.run} is peeled on the rack: it is peeled at the press"
        yield Problem(code="E208", message=message, hint="delete the line", origin=item.at("peeled"))
    elif begun.finished is None or begun.peeled < begun.finished:
        yield _contradiction(f"{item.run} was peeled before its last piece left the press", item.at("peeled"))
    elif begun.peeled > as_of:
        yield _future(item, "peeled", as_of)


def _sequence(item: RunProgress, begun: Begun, task: PressTask, others: Mapping[str, Begun]) -> Iterator[Problem]:
    """What goes on the same garments before must be finished."""
    for name in task.after:
        before = others.get(name)
        if before is None or before.finished is None or before.finished > begun.started:
            message = f"{item.run} was started before {name}, on the same garments, was finished"
            yield _contradiction(
                message, item.at("started"), f"look at the times, and add {name} if it is missing"
            )


def _one_at_a_time(items: Mapping[str, RunProgress], begun: Mapping[str, Begun]) -> Iterator[Problem]:
    """A press does one run at a time."""
    by_start = sorted(begun.values(), key=lambda each: (each.press, each.started, each.task))
    for one, next_one in pairwise(by_start):
        if one.press == next_one.press and (one.finished is None or one.finished > next_one.started):
            message = f"{next_one.task} was started on {one.press} before {one.task} was finished there"
            hint = f"look at the times of both, and write when {one.task} was finished"
            yield _contradiction(message, items[next_one.task].at("started"), hint)


def _future(item: RunProgress, field: str, as_of: datetime) -> Problem:
    message = f"{item.run} was not {field} by {as_of:%Y-%m-%d %H:%M}, as of which the week is planned again"
    return _contradiction(message, item.at(field), "leave the line out, or plan again as of a later time")


def _contradiction(message: str, origin: Origin, hint: str = "look at the times") -> Problem:
    return Problem(code="E211", message=message, hint=hint, origin=origin)


def _unknown(what: str, name: str, known: list[str] | tuple[str, ...], origin: Origin) -> Problem:
    return Problem(
        code="E203",
        message=f"unknown {what} `{name}`",
        label=expected_one_of(known),
        hint=did_you_mean(name, known) or f"write a {what} that is there",
        origin=origin,
    )
