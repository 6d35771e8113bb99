"""Shifts and holidays on the wall -> working time in whole seconds from the start of the schedule."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from attrs import frozen

from pipeline.model.workdays import WEEKDAYS
from pipeline.shop import Shift, Shop
from plugins.schedule.hours import joined
from plugins.schedule.model import Span

_SECOND = timedelta(seconds=1)
_DAY = timedelta(days=1)


@frozen(kw_only=True)
class Clock:
    """Whole seconds from `start` and back. Real time passes, also through a change to summer time."""

    start: datetime
    zone: ZoneInfo

    @classmethod
    def of(cls, shop: Shop, start: datetime) -> "Clock":
        """The clock of a shop, at zero at `start`."""
        return cls(start=start, zone=ZoneInfo(shop.time_zone))

    def seconds(self, moment: datetime) -> int:
        """From the start to the moment; what is not whole counts as the second before."""
        return (moment.astimezone(UTC) - self.start.astimezone(UTC)) // _SECOND

    def moment(self, seconds: int) -> datetime:
        """The moment, in the shop's own time."""
        return (self.start.astimezone(UTC) + seconds * _SECOND).astimezone(self.zone)

    def calendar(self, shifts: tuple[Shift, ...], holidays: tuple[date, ...], days: int) -> tuple[Span, ...]:
        """The working time of so many days from the start on, breaks and holidays left out.

        A shift that ends before it begins ends on the next day; a holiday is free of the shifts that begin on it.
        """
        spans: list[Span] = []
        first = self.start.astimezone(self.zone).date() - _DAY
        for day in (first + number * _DAY for number in range(days + 1)):
            if day in holidays:
                continue
            for shift in shifts:
                if WEEKDAYS[day.weekday()] in shift.days:
                    spans += self._pieces(day, shift)
        return joined([[(max(begin, 0), end) for begin, end in spans if end > 0]])

    def warm(self, calendar: tuple[Span, ...], warm_up: int) -> tuple[Span, ...]:
        """The same for a press that is cold in the morning: each day begins so many seconds later."""
        spans: list[Span] = []
        today, ready = None, 0
        for begin, end in calendar:
            day = self.moment(begin).date()
            if day != today:
                today, ready = day, begin + warm_up
            if ready < end:
                spans.append((max(begin, ready), end))
        return tuple(spans)

    def _pieces(self, day: date, shift: Shift) -> Iterator[Span]:
        """One day's shift, cut at its breaks."""
        begin = self._at(day, shift.start, shift.start)
        for pause in sorted(shift.breaks, key=lambda pause: self._at(day, pause.start, shift.start)):
            pauses = self._at(day, pause.start, shift.start)
            if pauses > begin:
                yield begin, pauses
            begin = max(begin, self._at(day, pause.end, shift.start))
        end = self._at(day, shift.end, shift.start)
        if end <= self._at(day, shift.start, shift.start):
            end = self._at(day + _DAY, shift.end, time(0))
        if end > begin:
            yield begin, end

    def _at(self, day: date, at: time, not_before: time) -> int:
        """Seconds to a time of that day, or of the next where it lies before the beginning of the shift."""
        later = day + _DAY if at < not_before else day
        return self.seconds(datetime.combine(later, at, tzinfo=self.zone))
