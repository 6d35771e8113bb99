"""The stage: orders become tasks, tasks a schedule that the referee finds nothing wrong with."""

from hypothesis import given as given_by
from hypothesis import settings

from pipeline.model.schedule import PressSchedule
from plugins.schedule import schedule_presses
from tests.referee_schedule import violations
from tests.schedule.shops import START, Given, weeks


def schedule(week: Given) -> PressSchedule:
    """What the stage makes of it."""
    return schedule_presses(orders=week.orders, shop=week.shop, tasks=week.tasks, start=START, so_far=None)


@settings(max_examples=15)
@given_by(weeks())
def test_the_referee_finds_nothing(week: Given) -> None:
    """Whatever the shop and its week, a schedule must be one that can be carried out."""
    assert violations(schedule(week), week.tasks, week.orders, week.shop) == []


@settings(max_examples=3)
@given_by(weeks())
def test_the_same_week_gives_the_same_schedule(week: Given) -> None:
    """A schedule that changes by itself could not be hung on the wall."""
    assert schedule(week) == schedule(week)
