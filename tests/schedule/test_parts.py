"""Long runs in parts: which pieces each holds, what waits for which, and what it is good for."""

from collections import Counter
from datetime import timedelta

import pytest
from attrs import evolve
from hypothesis import given as given_by
from hypothesis import settings
from hypothesis import strategies as st

from pipeline.model.order import Blanks
from pipeline.model.press import PressTask, PressTaskList
from pipeline.shop import Options, ScheduleOptions, Shop
from plugins.cost.labour import labour_of
from plugins.schedule import schedule_presses
from tests.builders import INCH, Length, make_line, make_order, make_print
from tests.referee_schedule import violations
from tests.schedule.shops import START, Given, given, make_press_room, weeks


def room(split_from: int) -> Shop:
    """Three presses, of which two take any recipe; runs of so many pieces are split."""
    return make_press_room(
        options=Options(
            schedule=ScheduleOptions(iterations=40, help_iterations=400, rack_slots=8, split_from=split_from)
        )
    )


def two_prints(split_from: int, pieces: dict[str, int]) -> Given:
    """Tees with a print on the chest, then one on the back; both can be pressed on all three presses."""
    prints = (make_print(), make_print("art/back.svg", placement="back", width=Length(9 * INCH)))
    order = make_order(lines=(make_line(pieces, blanks=Blanks.CUSTOMER, prints=prints),))
    return given(room(split_from), (order,))


def told(task: PressTask) -> tuple[str, dict[str, int], tuple[str, ...]]:
    """Name, pieces, and what it waits for."""
    return task.id, {count.size: count.count for count in task.pieces}, task.after


def test_parts_are_equal_and_each_waits_for_its_own_garments() -> None:
    """Ninety pieces, split from forty: three parts of thirty, size after size; the backs follow their chests."""
    assert [told(task) for task in two_prints(40, {"M": 50, "L": 40}).tasks.tasks] == [
        ("R01a", {"M": 30}, ()),
        ("R01b", {"M": 20, "L": 10}, ()),
        ("R01c", {"L": 30}, ()),
        ("R02a", {"M": 30}, ("R01a",)),
        ("R02b", {"M": 20, "L": 10}, ("R01b",)),
        ("R02c", {"L": 30}, ("R01c",)),
    ]


def test_there_are_no_more_parts_than_presses() -> None:
    """Fifty parts would be set up fifty times, three at once; and nothing is split that is shorter, or by default."""
    assert [task.quantity for task in two_prints(2, {"M": 100}).tasks.tasks] == [33, 33, 34] * 2
    assert [task.id for task in two_prints(101, {"M": 100}).tasks.tasks] == ["R01", "R02"]
    assert [task.id for task in two_prints(0, {"M": 100}).tasks.tasks] == ["R01", "R02"]


def test_each_part_is_set_up_and_the_order_pays_it() -> None:
    """Three parts are learnt and tested three times; the pieces cost what they cost in one run."""
    whole, parts = two_prints(0, {"M": 90}), two_prints(40, {"M": 90})
    (line,) = whole.orders[0].lines
    one, three = (labour_of(line, week.tasks.of_line("H-101", 0), week.shop) for week in (whole, parts))
    assert three.pieces == one.pieces
    assert three.set_up == 3 * one.set_up


def test_parts_are_ready_before_the_whole() -> None:
    """That is what they are for: an order that is due at once is pressed on two presses, and late by less."""

    def late_by(split_from: int) -> timedelta:
        week = two_prints(split_from, {"M": 200})
        rush = tuple(evolve(task, due=START) for task in week.tasks.tasks)
        week = evolve(week, tasks=PressTaskList(tasks=rush))
        made = schedule_presses(orders=week.orders, shop=week.shop, tasks=week.tasks, start=START, so_far=None)
        assert violations(made, week.tasks, week.orders, week.shop) == []
        return made.late[0].late_by

    assert late_by(110) < late_by(0)


@pytest.mark.untraced
@settings(max_examples=15)
@given_by(weeks(split_from=st.integers(1, 60)))
def test_nothing_is_lost_by_splitting(week: Given) -> None:
    """Whatever the week: the referee, who counts pieces by himself, is content, and so is who counts the prints."""
    whole = given(
        evolve(week.shop, options=Options(schedule=ScheduleOptions())),
        week.orders,
        tuple(dict.fromkeys(task.transfer for task in week.tasks.tasks)),
    )
    made = schedule_presses(orders=week.orders, shop=week.shop, tasks=week.tasks, start=START, so_far=None)
    assert violations(made, week.tasks, week.orders, week.shop) == []
    assert prints(week) == prints(whole)
    limit = week.shop.options.schedule.split_from
    for task in week.tasks.tasks:
        assert task.quantity <= max(limit, -(-prints(week)[task.ref] // len(task.presses)))


def prints(week: Given) -> Counter[object]:
    """Pieces for each print of the week."""
    found: Counter[object] = Counter()
    for task in week.tasks.tasks:
        found[task.ref] += task.quantity
    return found
