"""Late orders: what they wait for and what would help, found by scheduling the changed week."""

from datetime import date, datetime, time, timedelta

import pytest
from attrs import evolve
from hypothesis import Phase, settings
from hypothesis import given as given_by

from pipeline.display import Display
from pipeline.model.order import Blanks, Delivery, SizeCount
from pipeline.model.press import PressTaskList
from pipeline.model.schedule import HelpKind, LateOrder
from pipeline.shop import Operator, Options, ScheduleOptions, Shift, WorkingCalendar
from plugins.schedule import schedule_presses
from tests.builders import make_line, make_order, make_press, make_print
from tests.schedule.shops import START, WEEK, Given, given, make_press_room, platen, weeks

WEDNESDAY, THURSDAY = date(2026, 12, 2), date(2026, 12, 3)

ONE_PRESS = (make_press("left", platens=("16x20",), platen_on="16x20"),)


def late_of(week: Given) -> tuple[LateOrder, ...]:
    """What is late in the week."""
    return schedule_presses(orders=week.orders, shop=week.shop, tasks=week.tasks, start=START, so_far=None).late


def two_orders(pieces: int, due: date, **shop: object) -> Given:
    """Two orders of the customer's own tees, by a transfer that comes on Wednesday; the shop works until noon."""
    room = make_press_room(
        calendar=WorkingCalendar(shifts=(Shift(days=WEEK, start=time(8), end=time(12)),)),
        operators=(Operator(name="Ada", tends=2), Operator(name="Ben", tends=2)),
        options=Options(schedule=ScheduleOptions(iterations=40, help_iterations=2000)),
        **shop,
    )
    orders = tuple(
        make_order(
            f"H-{number}",
            due=due,
            delivery=Delivery.PICK_UP,
            lines=(make_line({"M": pieces}, blanks=Blanks.CUSTOMER, prints=(make_print(),)),),
        )
        for number in range(2)
    )
    return given(room, orders)


def told(order: LateOrder) -> list[tuple[HelpKind, str, date | None, bool]]:
    """The changes that help."""
    return [(found.kind, found.name, found.day, found.in_time) for found in order.helps]


def test_an_hour_of_overtime() -> None:
    """Two runs of 3 h 57 min on one press in two mornings of 4 h: an hour more on the first is enough.

    400 pieces x 34 s = 3 h 47 min and 10 min set-up each; 20 min of each morning heat the press.
    """
    week = two_orders(400, THURSDAY, presses=ONE_PRESS)
    (late,) = late_of(week)
    assert (late.due.date(), late.ready.date()) == (THURSDAY, date(2026, 12, 4))
    assert (HelpKind.OVERTIME, "", WEDNESDAY, True) in told(late)
    # An hour more on Thursday is after noon, when the customer stood at the door.
    assert (HelpKind.OVERTIME, "", THURSDAY, True) not in told(late)
    assert HelpKind.PLATEN not in [found.kind for found in late.helps]


def test_another_platen() -> None:
    """Two presses and two people, but one platen: a second one lets both orders be pressed at once.

    One more press does not, as the platen is missing on it, too; an hour of overtime is not enough.
    """
    presses = tuple(make_press(name, platens=("16x20",), opens_itself=True) for name in ("left", "right"))
    week = two_orders(210, WEDNESDAY, presses=presses, platens=(platen("16x20", 20, 1), platen("6x6", 6, 1)))
    (late,) = late_of(week)
    assert [(kind, name, in_time) for kind, name, _, in_time in told(late)] == [
        (HelpKind.GOODS, "", True),
        (HelpKind.PLATEN, "16x20", True),
        (HelpKind.OVERTIME, "", False),
    ]
    assert late.ready.time() == time(9, 9)  # pressed where the first one was, without a second set-up


def test_who_pays_for_a_help_is_told() -> None:
    """A short order of great weight that waits for Wednesday's goods: had they come on Tuesday, it would go first.

    It takes 67 min (10 min to learn the job, 100 x 34 s) and was promised for Tuesday 9:30. The other takes 3 h,
    promised for Tuesday noon: it is in time when it begins at 8:20, and not when it begins after the short one.
    """
    week = two_orders(300, WEDNESDAY, presses=ONE_PRESS)
    long, short = week.tasks.tasks
    tuesday = datetime(2026, 12, 1, tzinfo=START.tzinfo)
    long = evolve(long, release=tuesday, due=tuesday + timedelta(hours=12))
    short = evolve(
        short,
        pieces=(SizeCount(size="M", count=100),),
        release=tuesday + timedelta(days=1),
        due=tuesday + timedelta(hours=9, minutes=30),
        weight=40,
    )
    (late,) = late_of(evolve(week, tasks=PressTaskList(tasks=(long, short))))
    (goods,) = [found for found in late.helps if found.kind is HelpKind.GOODS]
    assert (late.job, goods.in_time, goods.delays) == ("H-1", True, ("H-0",))
    assert Display().remedy(goods) == (
        "its goods a working day earlier: ready Tue 1 Dec 2026, 09:27, in time; but late or later by it: H-0"
    )


def test_nothing_is_tried_where_the_shop_wants_none() -> None:
    """Trying takes time: a setting switches it off."""
    week = two_orders(400, THURSDAY, presses=ONE_PRESS)
    off = evolve(week.shop, options=Options(schedule=ScheduleOptions(iterations=40, help_iterations=0)))
    (late,) = late_of(evolve(week, shop=off))
    assert late.helps == ()


@pytest.mark.untraced
@settings(max_examples=10, phases=tuple(Phase)[:3])  # shrinking a week takes minutes
@given_by(weeks())
def test_what_helps_is_earlier_and_told_best_first(week: Given) -> None:
    """Whatever the week: a help is no help unless the order is ready before, and "in time" is by its due time."""
    for late in late_of(week):
        assert all(found.ready < late.ready for found in late.helps)
        assert [found.in_time for found in late.helps] == sorted((f.in_time for f in late.helps), reverse=True)
        for found in late.helps:
            assert found.in_time == (found.ready <= late.due)
            assert late.job not in found.delays
