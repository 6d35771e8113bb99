"""Working time: from opening hours to "begin then, so much work, when is it finished?"."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from functools import lru_cache

from plugins.schedule.model import Span


class Hours:
    """A calendar prepared for quick answers. Work pauses outside the hours and goes on after.

    The caller sees to it that the calendar is long enough: beyond its end `span` raises IndexError.
    """

    __slots__ = ("closes", "opens", "worked", "worked_at_close")

    def __init__(self, calendar: Iterable[Span]) -> None:
        spans = [span for span in calendar if span[0] < span[1]]
        self.opens = [opens for opens, _ in spans]
        self.closes = [closes for _, closes in spans]
        self.worked: list[int] = []
        self.worked_at_close: list[int] = []
        total = 0
        for opens, closes in spans:
            self.worked.append(total)
            total += closes - opens
            self.worked_at_close.append(total)

    def span(self, ready: int, work: int) -> Span:
        """The first moment of work at or after `ready`, and the moment when `work` ticks are done."""
        index = bisect_right(self.closes, ready)
        begin = self.opens[index]
        if begin < ready:
            begin = ready
        end = begin + work
        if end <= self.closes[index]:
            return begin, end
        target = self.worked[index] + begin - self.opens[index] + work
        index = bisect_left(self.worked_at_close, target, index)
        return begin, self.opens[index] + target - self.worked[index]

    def until(self, moment: int) -> int:
        """Working ticks from the beginning of the calendar to `moment`."""
        index = bisect_right(self.opens, moment) - 1
        if index < 0:
            return 0
        return self.worked[index] + min(moment, self.closes[index]) - self.opens[index]


@lru_cache(maxsize=256)  # most presses and operators of a shop keep the same few hours
def common(first: tuple[Span, ...], second: tuple[Span, ...]) -> tuple[Span, ...]:
    """The time that lies in both calendars; each in order of time, without overlap."""
    left, right = list(first), list(second)
    found: list[Span] = []
    i = j = 0
    while i < len(left) and j < len(right):
        begin, end = max(left[i][0], right[j][0]), min(left[i][1], right[j][1])
        if begin < end:
            found.append((begin, end))
        if left[i][1] <= right[j][1]:
            i += 1
        else:
            j += 1
    return tuple(found)


def joined(calendars: Iterable[Iterable[Span]]) -> tuple[Span, ...]:
    """The time that lies in any of the calendars."""
    found: list[Span] = []
    for begin, end in sorted(span for calendar in calendars for span in calendar):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((begin, end))
    return tuple(found)
