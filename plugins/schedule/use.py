"""How presses and people spend their time, measured on the schedule as it stands."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from fractions import Fraction

from pipeline.model.schedule import OperatorUse, PressUse
from pipeline.shop import Shop
from plugins.schedule.hours import Hours, common, joined
from plugins.schedule.model import Placed, Span
from plugins.schedule.week import Week

_SECOND = timedelta(seconds=1)


def press_use(week: Week, press: int, placed: Iterable[Placed]) -> PressUse:
    """Pressing and changing over within the hours that the press has in common with who tends it."""
    mine = [each for each in placed if each.press == press]
    pressing = sum(_worked(_hours(week, each), each.start, each.end) for each in mine)
    changing = sum(_worked(_hours(week, each), each.setup, each.start) for each in mine)
    hours = Hours(week.problem.presses[press].calendar)
    return PressUse(
        press=week.presses[press].name,
        pressing=pressing * _SECOND,
        changing=changing * _SECOND,
        share=_share(pressing + changing, hours.until(max((each.end for each in mine), default=0))),
    )


def operator_use(week: Week, shop: Shop, operator: int, placed: tuple[Placed, ...]) -> OperatorUse:
    """Tending presses, two at once counted once, and peeling beside it."""
    calendar = week.problem.operators[operator].calendar
    tended = joined(
        common(_hours(week, each), ((each.setup, each.end),)) for each in placed if each.operator == operator
    )
    peeled = joined(common(calendar, ((each.peel, each.done),)) for each in placed if each.peeler == operator)
    busy = joined([tended, peeled])
    tending, both = _length(tended), _length(busy)
    last = max((end for _, end in busy), default=0)
    return OperatorUse(
        operator=shop.operators[operator].name,
        tending=tending * _SECOND,
        peeling=(both - tending) * _SECOND,
        share=_share(both, Hours(calendar).until(last)),
    )


def _hours(week: Week, placed: Placed) -> tuple[Span, ...]:
    """When the press of a run and its operator both work."""
    press = week.problem.presses[placed.press].calendar
    if placed.operator is None:
        return press
    return common(press, week.problem.operators[placed.operator].calendar)


def _worked(hours: tuple[Span, ...], begin: int, end: int) -> int:
    return _length(common(hours, ((begin, end),)))


def _length(spans: Iterable[Span]) -> int:
    return sum(end - begin for begin, end in spans)


def _share(busy: int, worked: int) -> Fraction:
    return Fraction(busy, worked) if worked else Fraction(0)
