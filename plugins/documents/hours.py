"""Opening hours on paper: a run that rests overnight is drawn as the parts in which it is pressed."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from pipeline.model.workdays import WEEKDAYS
from pipeline.shop import WorkingCalendar

Span = tuple[datetime, datetime]


def open_parts(calendar: WorkingCalendar, start: datetime, end: datetime) -> tuple[Span, ...]:
    """The parts of a stretch of time in which the shop is open, lunch breaks not cut out.

    Where none of it is (an operator with hours of his own), the stretch itself.
    """
    parts = [
        (max(start, opens), min(end, closes))
        for opens, closes in _days(calendar, start, end)
        if max(start, opens) < min(end, closes)
    ]
    return tuple(parts) or (((start, end),) if start < end else ())


def _days(calendar: WorkingCalendar, start: datetime, end: datetime) -> Iterator[Span]:
    day = start.date()
    while day <= end.date():
        if day not in calendar.holidays:
            for shift in calendar.shifts:
                if WEEKDAYS[day.weekday()] in shift.days:
                    yield (
                        datetime.combine(day, shift.start, tzinfo=start.tzinfo),
                        datetime.combine(day, shift.end, tzinfo=start.tzinfo),
                    )
        day += timedelta(days=1)
