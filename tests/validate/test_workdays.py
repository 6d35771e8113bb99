"""Working days, against the calendar of the world and against counting day by day."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.model.order import Delivery
from pipeline.model.workdays import WEEKDAYS, Workdays, ready_by, transit_days
from pipeline.shop import WorkingCalendar
from tests.builders import make_customer, make_order, make_shop

WEEK = Workdays.on(WEEKDAYS[:5])
DATES = st.dates(date(2020, 1, 1), date(2030, 12, 31))
CALENDARS = st.builds(Workdays.on, st.sets(st.sampled_from(WEEKDAYS), min_size=1), st.sets(DATES, max_size=30))


@pytest.mark.parametrize(
    ("day", "iso"),
    [
        (date(2006, 12, 31), 7),
        (date(2019, 12, 30), 1),
        (date(1985, 4, 12), 5),
    ],
)
def test_weekdays_are_those_of_iso_8601(day: date, iso: int) -> None:
    """ISO 8601 counts Monday as 1: 2006-W52-7 and 2020-W01-1 (its week dates), 1985-W15-5 (its own example)."""
    assert Workdays.on([WEEKDAYS[iso - 1]]).works(day)
    assert WEEK.works(day) == (iso <= 5)


@pytest.mark.parametrize(
    ("start", "days", "end"),
    [
        ("2026-11-25", 0, "2026-11-25"),
        ("2026-11-25", 2, "2026-11-27"),
        ("2026-11-27", 1, "2026-11-30"),
        ("2026-11-28", 0, "2026-11-30"),
        ("2026-11-28", 1, "2026-12-01"),
    ],
)
def test_waiting_skips_the_weekend(start: str, days: int, end: str) -> None:
    """An order sent on a Saturday goes out on Monday; counted by hand on the calendar of 2026."""
    assert WEEK.after(date.fromisoformat(start), days) == date.fromisoformat(end)


def test_a_holiday_is_no_working_day() -> None:
    """Thanksgiving 2026 is Thursday 26 November: what takes one day from Wednesday is here on Friday."""
    closed = Workdays.on(WEEKDAYS[:5], [date(2026, 11, 26)])
    assert closed.after(date(2026, 11, 25), 1) == date(2026, 11, 27)
    assert closed.before(date(2026, 11, 27), 1) == date(2026, 11, 25)


@given(CALENDARS, DATES, st.integers(0, 20))
def test_after_counts_the_working_days(workdays: Workdays, day: date, days: int) -> None:
    """The answer is a working day, and exactly `days` working days lie behind the first one."""
    end = workdays.after(day, days)
    passed = [day + timedelta(days=n) for n in range((end - day).days + 1)]
    assert workdays.works(end)
    assert sum(workdays.works(each) for each in passed) == days + 1


@given(CALENDARS, DATES, st.integers(0, 20))
def test_before_undoes_after(workdays: Workdays, day: date, days: int) -> None:
    """What arrives in n days is ordered n days before: the first due date that is offered can be kept."""
    assert workdays.before(workdays.after(day, days), days) == workdays.after(day, 0)


def test_an_order_that_is_picked_up_is_not_on_the_way() -> None:
    """Only a shipped order must be ready before it is due: by the customer's days, else by the shop's."""
    shop = make_shop(customers=(make_customer(transit_days=3), make_customer("sailing-school")))
    due = date(2026, 12, 4)
    assert ready_by(make_order(due=due, delivery=Delivery.PICK_UP), shop) == due
    assert ready_by(make_order(due=due), shop) == date(2026, 12, 1)
    assert ready_by(make_order(due=due, customer="sailing-school"), shop) == date(2026, 12, 3)
    assert transit_days(make_order(customer="nobody"), shop) == shop.calendar.transit_days


def test_a_calendar_without_a_working_day_is_refused() -> None:
    """Counting on it would never end."""
    with pytest.raises(ValueError, match="at least one working day"):
        Workdays.of(WorkingCalendar(shifts=()))
