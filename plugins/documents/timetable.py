"""When who presses what where: the schedule as rows and, by press and by operator, as bars."""

from collections.abc import Iterator
from datetime import datetime
from itertools import groupby

from attrs import frozen
from reportlab.graphics.shapes import Drawing

from pipeline.model.document import Audience, Document
from pipeline.model.order import Line
from pipeline.model.press import PressTask
from pipeline.model.schedule import PressRun
from plugins.documents.desk import FloorDesk
from plugins.documents.drawings.bars import Bar, BarKind
from plugins.documents.drawings.gantt import gantt
from plugins.documents.hours import open_parts
from plugins.documents.words import STATE_WORDS


@frozen(kw_only=True)
class RunRow:
    """A press run as a line of the schedule."""

    run: PressRun
    task: PressTask
    job: str
    what: str
    press: str
    overnight: bool
    #: "on the press" or "finished" when the week was planned again.
    state: str


def schedule_paper(desk: FloorDesk) -> Document:
    """The schedule that hangs on the wall."""
    _, schedule = desk.language.gettext, desk.pressing.schedule
    rows = run_rows(desk)
    days = tuple((day, tuple(group)) for day, group in groupby(rows, key=lambda row: row.run.start.date()))
    return desk.paper(
        "schedule",
        "floor/schedule.pdf",
        _("Press schedule %(week)s", week=desk.week),
        Audience.FLOOR,
        drawings=schedule_drawings(desk),
        days=days,
        schedule=schedule,
        titles=press_titles(desk),
    )


def press_titles(desk: FloorDesk) -> dict[str, str]:
    """What papers call each press."""
    return {press.name: press.title for press in desk.shop.presses}


def run_rows(desk: FloorDesk) -> tuple[RunRow, ...]:
    """The runs in the order of their start, with what is pressed in words."""
    return tuple(
        RunRow(
            run=run,
            task=task,
            job=task.ref.job,
            what=what_is_pressed(desk, task),
            press=desk.shop.press(run.press).title,
            overnight=run.end.date() > run.start.date(),
            state=STATE_WORDS.get(run.state, ""),
        )
        for run in desk.pressing.schedule.runs
        for task in (desk.pressing.tasks.task(run.task),)
    )


def schedule_drawings(desk: FloorDesk) -> dict[str, Drawing]:
    """The schedule as bars: `presses` and `operators`; nothing where nothing is pressed."""
    return {
        name: gantt(bars, rows=rows, display=desk.display) for name, (rows, bars) in schedule_bars(desk).items()
    }


def schedule_bars(desk: FloorDesk) -> dict[str, tuple[tuple[str, ...], tuple[Bar, ...]]]:
    """Rows and bars of `presses` and `operators`; nothing where nothing is pressed."""
    rows = run_rows(desk)
    if not rows:
        return {}
    used = {row.run.press for row in rows}
    presses = tuple(press.title for press in desk.shop.presses if press.name in used)
    by_press = tuple(bar for row in rows for bar in _bars(desk, row, row.press, f"{row.task.id} {row.job}"))
    by_operator = tuple(_by_operator(desk, rows))
    people = tuple(dict.fromkeys(sorted(bar.row for bar in by_operator)))
    return {"presses": (presses, by_press), "operators": (people, by_operator)}


def _bars(desk: FloorDesk, row: RunRow, where: str, label: str, line: int = 0) -> Iterator[Bar]:
    """The change and the run itself, in the parts in which the shop is open."""
    run = row.run
    late = row.job in {order.job for order in desk.pressing.schedule.late}
    spans = (
        (run.change_start, run.start, "", BarKind.CHANGE),
        (run.start, run.end, label, BarKind.LATE if late else BarKind.PRESS),
    )
    for start, end, words, kind in spans:
        about = _about(desk, row, start, end)
        for part, (begin, until) in enumerate(open_parts(desk.shop.calendar, start, end)):
            said = "" if part else words
            yield Bar(
                row=where, line=line, start=begin, end=until, label=said, kind=kind, job=row.job, about=about
            )


def _about(desk: FloorDesk, row: RunRow, start: datetime, end: datetime) -> str:
    """A stretch of a run in a line: which, what, how many, where, by whom, when."""
    _ = desk.language
    until = desk.display.clock(end) if start.date() == end.date() else desk.display.moment(end)
    pieces = _.ngettext("%(num)s piece", "%(num)s pieces", row.task.quantity)
    when = f"{desk.display.moment(start)} – {until}"
    return " · ".join((f"{row.task.id} {row.job}", row.what, pieces, row.press, row.run.operator, when))


def _by_operator(desk: FloorDesk, rows: tuple[RunRow, ...]) -> Iterator[Bar]:
    """Each operator's runs, and what they peel; runs on two presses at once lie on lines below one another."""
    busy: dict[str, list[datetime]] = {}
    for row in sorted(rows, key=lambda row: (row.run.change_start, row.run.end, row.task.id)):
        run = row.run
        lines = busy.setdefault(run.operator, [])
        line = next((line for line, until in enumerate(lines) if until <= run.change_start), len(lines))
        lines[line : line + 1] = [run.end]
        yield from _bars(desk, row, run.operator, row.task.id, line)
        if run.peel_start is not None:
            about = _about(desk, row, run.peel_start, run.done)
            for begin, until in open_parts(desk.shop.calendar, run.peel_start, run.done):
                yield Bar(row=run.peeler, start=begin, end=until, kind=BarKind.COOL, job=row.job, about=about)


def what_is_pressed(desk: FloorDesk, task: PressTask) -> str:
    """A run in words: `Cotton tee, navy: Left chest`."""
    line: Line = desk.pressing.order(task.ref.job).lines[task.ref.line]
    garment = desk.shop.garment(line.garment)
    placement = garment.placement(line.prints[task.ref.print].placement)
    where = placement.title if placement else line.prints[task.ref.print].placement
    return f"{garment.title}, {line.colour}: {where}"
