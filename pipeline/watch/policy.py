"""When the week is closed by itself: at a cut-off, or earlier when a due date forces it. Pure functions."""

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from attrs import frozen

from pipeline.model.workdays import WEEKDAYS
from pipeline.shop import WatchRules

HORIZON = 14
"""So many days ahead is asked which orders could not wait any longer."""

_NOON = time(12)


@frozen(kw_only=True)
class Waits:
    """An order that can go on. `last_day` is the last on which it still could; None when that is far off."""

    received: datetime
    last_day: date | None = None


def closing_time(rules: WatchRules, orders: Iterable[Waits], zone: ZoneInfo) -> datetime | None:
    """When these orders are closed; in the past when it is overdue, None when nothing says so.

    It is the first cut-off after the earliest of them was received, so that one that was missed, because no watcher
    ran, is made up for; or the cut-off's hour of the last day on which all could still go on.
    """
    orders = tuple(orders)
    if not orders:
        return None
    moments = [_at(rules, order.last_day, zone) for order in orders if order.last_day is not None]
    if (cut_off := next_cut_off(rules, min(order.received for order in orders), zone)) is not None:
        moments.append(cut_off)
    return min(moments, default=None)


def next_cut_off(rules: WatchRules, after: datetime, zone: ZoneInfo) -> datetime | None:
    """The first cut-off later than this moment; None without any."""
    today = after.astimezone(zone).date()
    moments = (
        datetime.combine(today + timedelta(days=days), cut_off.time, tzinfo=zone)
        for days in range(8)
        for cut_off in rules.cut_offs
        if WEEKDAYS[(today + timedelta(days=days)).weekday()] in cut_off.days
    )
    return min((moment for moment in moments if moment > after), default=None)


def _at(rules: WatchRules, day: date, zone: ZoneInfo) -> datetime:
    """The hour of a day at which the week is closed: that of the day's cut-off, or of any, or noon."""
    own = [cut_off.time for cut_off in rules.cut_offs if WEEKDAYS[day.weekday()] in cut_off.days]
    hours = own or [cut_off.time for cut_off in rules.cut_offs] or [_NOON]
    return datetime.combine(day, min(hours), tzinfo=zone)
