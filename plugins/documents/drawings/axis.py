"""Time on a line: hours from left to right, empty nights folded away."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from attrs import frozen

FOLD = 10.0
# A pause longer than this is folded.
_LONG = timedelta(minutes=90)
_HOUR = timedelta(hours=1)


@frozen(kw_only=True)
class Axis:
    """Time to points: open stretches at one scale, folds of fixed width between them."""

    stretches: tuple[tuple[datetime, datetime], ...]
    left: float
    scale: float

    def x(self, moment: datetime) -> float:
        """Where a moment stands; one inside a fold stands at the fold's left edge."""
        at = self.left
        for start, end in self.stretches:
            if moment <= end:
                return at + max(0.0, (moment - start).total_seconds()) * self.scale
            at += (end - start).total_seconds() * self.scale + FOLD
        return at - FOLD


def stretches(spans: Iterable[tuple[datetime, datetime]]) -> tuple[tuple[datetime, datetime], ...]:
    """The time that is shown: full hours around the spans, joined where the pause between is short."""
    joined: list[tuple[datetime, datetime]] = []
    for first, last in sorted(spans):
        start = first.replace(minute=0, second=0, microsecond=0)
        end = last.replace(minute=0, second=0, microsecond=0)
        end = end if end == last else end + _HOUR
        if joined and start - joined[-1][1] <= _LONG:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((start, end))
    return tuple(joined)
