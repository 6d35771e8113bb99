"""The stage: orders become tasks, tasks a schedule that the referee finds nothing wrong with."""

from datetime import datetime, time, timedelta

import pytest
from attrs import evolve
from hypothesis import given as given_by
from hypothesis import settings

from pipeline.model.schedule import PressSchedule
from pipeline.shop import Options, ScheduleOptions
from plugins.schedule import schedule_presses
from plugins.schedule.shifts import Clock
from tests.builders import MONDAY, make_line, make_order, make_press
from tests.referee_schedule import Stretch, _Referee, violations
from tests.schedule.shops import START, Given, given, make_press_room, weeks


def schedule(week: Given) -> PressSchedule:
    """What the stage makes of it."""
    return schedule_presses(orders=week.orders, shop=week.shop, tasks=week.tasks, start=START, so_far=None)


@pytest.mark.untraced
@settings(max_examples=15)
@given_by(weeks())
def test_the_referee_finds_nothing(week: Given) -> None:
    """Whatever the shop and its week, a schedule must be one that can be carried out."""
    assert violations(schedule(week), week.tasks, week.orders, week.shop) == []


@pytest.mark.untraced
@settings(max_examples=5)
@given_by(weeks())
def test_presses_are_cold_in_the_morning(week: Given) -> None:
    """The referee sees a schedule that was made as if they were warm; a good one begins each day 20 min later."""
    times = evolve(week.shop.times, warm_up=timedelta(0))
    too_early = schedule(evolve(week, shop=evolve(week.shop, times=times)))
    assert violations(too_early, week.tasks, week.orders, week.shop) != []
    for run in schedule(week).runs:
        opens = datetime.combine(run.change_start.date(), time(8, 20), tzinfo=START.tzinfo)
        assert run.change_start >= opens


@settings(max_examples=8)
@given_by(weeks())
def test_use_is_what_the_referee_measures(week: Given) -> None:
    """Pressing and changing per press; per operator every second at a press or peeling, none counted twice."""
    made = schedule(week)
    referee = _Referee(made, week.tasks, week.orders, week.shop)
    for use in made.presses:
        runs = referee.by_press[use.press]
        assert use.pressing.total_seconds() == sum(referee.worked(run, run.start, run.end) for run in runs)
        assert use.changing.total_seconds() == sum(
            referee.worked(run, run.change_start, run.start) for run in runs
        )
        assert 0 <= use.share <= 1
    for person in made.operators:
        busy: set[int] = set()
        for run in made.runs:
            if run.operator == person.operator:
                hours = referee.both(run)
                busy |= seconds_in(hours, referee.at(run.change_start), referee.at(run.end))
            if run.peeler == person.operator and run.peel_start is not None:
                hours = referee.of(referee.operators[run.peeler])
                busy |= seconds_in(hours, referee.at(run.peel_start), referee.at(run.done))
        assert (person.tending + person.peeling).total_seconds() == len(busy)
        assert 0 <= person.share <= 1


def seconds_in(stretches: list[Stretch], begin: int, end: int) -> set[int]:
    """Each second of the stretches between two moments."""
    return {second for a, b in stretches for second in range(max(a, begin), min(b, end))}


def test_a_day_begins_later_for_a_press() -> None:
    """After the night, not after lunch; a week that begins at ten begins with heating."""
    hour = 3600
    clock = Clock.of(make_press_room(), START)  # 7:00
    day = ((hour, 5 * hour), (6 * hour, 10 * hour))
    night = tuple((begin + 24 * hour, end + 24 * hour) for begin, end in day)
    warm = clock.warm((*day, *night), 1200)
    assert warm == ((hour + 1200, 5 * hour), day[1], (25 * hour + 1200, 29 * hour), night[1])
    assert clock.warm(((0, 600), (900, 2000)), 1200) == ((1200, 2000),)


@pytest.mark.untraced
@settings(max_examples=3)
@given_by(weeks())
def test_the_same_week_gives_the_same_schedule(week: Given) -> None:
    """A schedule that changes by itself could not be hung on the wall."""
    assert schedule(week) == schedule(week)


def test_what_the_shop_weighs_is_what_counts() -> None:
    """Two orders alike, in good time: one set-up by default, two presses at once where only the end counts."""
    one_set_up = two_alike()
    early = two_alike(weigh_lateness=1, weigh_change_over=0, weigh_finish=1)
    assert len({run.press for run in one_set_up.runs}) == 1
    assert len({run.press for run in early.runs}) == 2
    assert max(run.end for run in early.runs) < max(run.end for run in one_set_up.runs)


def two_alike(**weights: int) -> PressSchedule:
    """Two orders of the same transfer, recipe and garment, due in ten days, on two presses that open themselves."""
    presses = tuple(make_press(name, platens=("16x20",), opens_itself=True) for name in ("left", "right"))
    room = make_press_room(presses=presses, options=Options(schedule=ScheduleOptions(iterations=2000, **weights)))
    due = MONDAY + timedelta(days=10)
    orders = tuple(make_order(f"H-{n}", due=due, lines=(make_line({"M": 90}),)) for n in range(2))
    return schedule(given(room, orders))
