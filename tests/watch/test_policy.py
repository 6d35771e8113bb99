"""When the week is closed by itself."""

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.model.workdays import WEEKDAYS
from pipeline.shop import CutOff, WatchRules
from pipeline.watch.policy import Waits, closing_time, next_cut_off

ZONE = ZoneInfo("America/New_York")
MIDWEEK = WatchRules(cut_offs=(CutOff(days=("wed", "fri"), time=time(12)),))
NONE = WatchRules()


def local(day: int, hour: int, minute: int = 0) -> datetime:
    """A moment of November 2026, on whose 2nd is a Monday."""
    return datetime(2026, 11, day, hour, minute, tzinfo=ZONE)


@pytest.mark.parametrize(
    ("after", "expected"),
    [
        (local(2, 9), local(4, 12)),
        (local(4, 11, 59), local(4, 12)),
        (local(4, 12), local(6, 12)),
        (local(6, 13), local(11, 12)),
        # The clocks go back on the 1st: noon is noon.
        (datetime(2026, 10, 30, 13, tzinfo=ZONE), local(4, 12)),
    ],
)
def test_the_next_cut_off(after: datetime, expected: datetime) -> None:
    """By the shop's own time, whatever the zone of the moment."""
    assert next_cut_off(MIDWEEK, after, ZONE) == expected
    assert next_cut_off(MIDWEEK, after.astimezone(UTC), ZONE) == expected
    assert next_cut_off(NONE, after, ZONE) is None


def test_one_cut_off_a_week_is_a_week_apart() -> None:
    """At the very moment of one, the next is meant."""
    weekly = WatchRules(cut_offs=(CutOff(days=("wed",), time=time(12)),))
    assert next_cut_off(weekly, local(4, 12), ZONE) == local(11, 12)


def test_a_due_date_forces_it() -> None:
    """At the cut-off's hour of the last day; on a day without one at the hour of another; without any at noon."""
    received = local(2, 9)
    assert closing_time(MIDWEEK, [Waits(received=received)], ZONE) == local(4, 12)
    for rules in (MIDWEEK, NONE):
        forced = [Waits(received=received), Waits(received=received, last_day=date(2026, 11, 3))]
        assert closing_time(rules, forced, ZONE) == local(3, 12)
    early = WatchRules(cut_offs=(CutOff(days=("wed",), time=time(8)), CutOff(days=("mon",), time=time(17))))
    received = local(2, 18)
    assert closing_time(early, [Waits(received=received, last_day=date(2026, 11, 3))], ZONE) == local(3, 8)
    assert closing_time(early, [Waits(received=received, last_day=date(2026, 11, 2))], ZONE) == local(2, 17)


def test_by_hand() -> None:
    """Without cut-offs, while nothing forces it; and with nothing to close."""
    assert closing_time(NONE, [Waits(received=local(2, 9))], ZONE) is None
    assert closing_time(MIDWEEK, [], ZONE) is None


days = st.sets(st.sampled_from(WEEKDAYS), min_size=1).map(lambda found: tuple(sorted(found)))
cut_offs = st.builds(
    CutOff, days=days, time=st.times().map(lambda moment: moment.replace(second=0, microsecond=0))
)
moments = st.datetimes(datetime(2026, 1, 1), datetime(2027, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001


@given(st.lists(cut_offs, min_size=1, max_size=3), moments)
def test_a_cut_off_is_one(rules: list[CutOff], after: datetime) -> None:
    """It is later, on one of its days at its time, and none lies between: a search minute by minute agrees."""
    found = next_cut_off(WatchRules(cut_offs=tuple(rules)), after, ZONE)
    assert found is not None
    assert found > after
    hits = {(day, rule.time) for rule in rules for day in rule.days}
    assert (WEEKDAYS[found.weekday()], found.time()) in hits
    for other in rules:
        for back in range(8):
            day = date.fromordinal(found.date().toordinal() - back)
            moment = datetime.combine(day, other.time, tzinfo=ZONE)
            if WEEKDAYS[day.weekday()] in other.days:
                assert not after < moment < found
