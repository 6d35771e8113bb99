"""A calendar file for each press, to hang into the operators' own calendars."""

from collections.abc import Iterator
from datetime import UTC, datetime, time

from pipeline.model.document import Audience, Document
from pipeline.model.schedule import PressRun
from plugins.documents.desk import FloorDesk, slug
from plugins.documents.ical import Event, calendar
from plugins.documents.timetable import RunRow, run_rows


def documents(desk: FloorDesk) -> Iterator[Document]:
    """One for each press that has something to do."""
    _, schedule = desk.language.gettext, desk.pressing.schedule
    rows = run_rows(desk)
    # From arguments, never from a clock: the same week gives the same bytes.
    stamp = schedule.as_of or datetime.combine(desk.pressing.date, time(), tzinfo=UTC)
    for press in desk.shop.presses:
        events = tuple(_event(desk, row) for row in rows if row.run.press == press.name)
        if events:
            yield Document(
                path=f"floor/calendar-{slug(press.name)}.ics",
                title=_("Calendar of the press: %(press)s", press=press.title),
                content=calendar(f"{press.title}, {desk.week}", events, stamp),
                audience=Audience.FLOOR,
            )


def _event(desk: FloorDesk, row: RunRow) -> Event:
    """From the change-over to the last piece. A planning again replaces the entry: it is called the same."""
    _, run, task, schedule = desk.language.gettext, row.run, row.task, desk.pressing.schedule
    platen = f"{run.platen}, {run.pad}" if run.pad else run.platen
    facts = (
        (_("Pieces"), desk.display.number(task.quantity)),
        (_("Operator"), run.operator),
        (_("Platen, pad"), platen),
        (_("Pressure"), run.pressure_setting),
        (_("Changes before"), "; ".join(run.changes)),
        (_("Press from"), desk.display.moment(run.start)),
        *_peeling(desk, run),
    )
    minutes = 0 if schedule.as_of is None else int((schedule.as_of - schedule.start).total_seconds() // 60)
    return Event(
        uid=f"{slug(desk.batch)}.{slug(task.id)}@{slug(desk.shop.name)}.peelwright.invalid",
        sequence=max(0, minutes),
        start=run.change_start,
        end=run.end,
        title=f"{task.id} {row.job}: {row.what}",
        place=row.press,
        text="\n".join(f"{what}: {value}" for what, value in facts if value),
    )


def _peeling(desk: FloorDesk, run: PressRun) -> Iterator[tuple[str, str]]:
    if run.peel_start is not None:
        yield desk.language.gettext("Peel"), f"{desk.display.moment(run.peel_start)}, {run.peeler}"
