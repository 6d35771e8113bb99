"""Replaying lists: each thing that is waited for, in an example small enough to be drawn."""

from random import Random

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from plugins.schedule.decoder import Replay, decode
from plugins.schedule.dispatch import best_by_rules
from plugins.schedule.hours import Hours
from plugins.schedule.model import Operator, Problem, Tool
from plugins.schedule.solve import result_of
from plugins.schedule.tables import Tables
from tests.schedule.small import press, replayed, run
from tests.weeks import generated_week

TWO_SETTINGS = ((0, 5), (7, 0))


def times(problem: Problem, *lists: list[int]) -> list[tuple[int, int, int]]:
    """(change-over begins, pressing begins, pressing ends) of each run."""
    placed = replayed(problem, *lists)
    assert placed is not None
    return [(each.setup, each.start, each.end) for each in placed]


def test_a_week_of_three_runs_as_drawn() -> None:
    """The change-over depends on the run before, and on the press's state at the start."""
    runs = (run(10), run(20, setting=1), run(30))
    problem = Problem(runs=runs, presses=(press(TWO_SETTINGS),))
    assert times(problem, [0, 1, 2]) == [(0, 0, 10), (10, 15, 35), (35, 42, 72)]
    assert times(problem, [1, 0, 2]) == [(25, 32, 42), (0, 5, 25), (42, 42, 72)]


def test_work_pauses_outside_the_hours() -> None:
    """A run that a break cuts goes on after it; after a change-over that ends at closing, pressing waits."""
    shift = press(TWO_SETTINGS, calendar=((0, 15), (20, 500)))
    problem = Problem(runs=(run(10), run(20, setting=1)), presses=(shift,))
    assert times(problem, [0, 1]) == [(0, 0, 10), (10, 20, 40)]


def test_hours_at_their_edges() -> None:
    """Work that is done at closing time ends then, and work that comes then begins at opening."""
    hours = Hours(((10, 20), (30, 40), (50, 99)))
    assert [hours.span(0, 10), hours.span(20, 1), hours.span(15, 15), hours.span(15, 16)] == [
        (10, 20), (30, 31), (15, 40), (15, 51),
    ]  # fmt: skip
    assert [hours.until(moment) for moment in (5, 10, 15, 25, 35, 60)] == [0, 0, 5, 10, 15, 30]


def test_goods_are_waited_for() -> None:
    """Nothing is changed for a run whose goods are not in: its first piece is pressed as a test."""
    problem = Problem(runs=(run(10, setting=1, release=40),), presses=(press(TWO_SETTINGS),))
    assert times(problem, [0]) == [(40, 45, 55)]


def test_one_operator_tends_one_press_that_does_not_open_itself() -> None:
    """The second press waits for the operator, though itself free; who tends two lets both run."""
    runs = (run(10, [0]), run(10, [1]))
    by_hand = Problem(
        runs=runs, presses=(press(), press()), operators=(Operator(calendar=((0, 999),), places=2),)
    )
    assert times(by_hand, [0], [1]) == [(0, 0, 10), (10, 10, 20)]
    helped = evolve(by_hand, presses=(press(opens_itself=True), press(opens_itself=True)))
    assert times(helped, [0], [1]) == [(0, 0, 10), (0, 0, 10)]


def test_a_single_platen_serves_one_press_at_a_time() -> None:
    """The other waits until it may be taken; where it was taken from it must be put back on."""
    tools = {"tools": (Tool(copies=1, mount=3),), "tools_of": ((), (0,))}
    runs = (run(10, [0], 1), run(10, [1], 1), run(10, [0], 1, release=50))
    problem = Problem(runs=runs, presses=(press(TWO_SETTINGS), press(TWO_SETTINGS)), **tools)
    assert times(problem, [0, 2], [1]) == [(0, 5, 15), (15, 20, 30), (50, 53, 63)]
    placed = replayed(problem, [0, 2], [1])
    assert placed is not None
    assert [each.remounted for each in placed] == [(), (), (0,)]


def test_pieces_cool_and_are_peeled_by_who_is_free() -> None:
    """A cold peel takes an operator, after cooling; the second place waits until the first is peeled."""
    runs = (run(10, cool=6, peel=4, rack=1), run(10, after=(0,)))
    problem = Problem(runs=runs, presses=(press(),), operators=(Operator(calendar=((0, 999),)),), rack=1)
    placed = replayed(problem, [0, 1])
    assert placed is not None
    assert (placed[0].end, placed[0].peel, placed[0].done) == (10, 16, 20)
    assert placed[1].setup == 20


def test_a_full_rack_holds_up_the_next_run() -> None:
    """Slots are free again only when the pieces on them are peeled."""
    runs = tuple(run(10, cool=6, peel=4, rack=2) for _ in range(2))
    problem = Problem(runs=runs, presses=(press(),), operators=(Operator(calendar=((0, 999),)),), rack=3)
    placed = replayed(problem, [0, 1])
    assert placed is not None
    assert placed[1].setup == placed[0].done == 20


def test_lists_that_wait_in_a_circle_are_no_schedule() -> None:
    """Two garments, two presses, each list begins with the second place of the other's first."""
    runs = (run(5, [0, 1]), run(5, [0, 1], after=(0,)), run(5, [0, 1]), run(5, [0, 1], after=(2,)))
    problem = Problem(runs=runs, presses=(press(), press()))
    assert replayed(problem, [3, 0], [1, 2]) is None
    assert replayed(problem, [0, 3], [2, 1]) is not None


def test_a_run_that_has_begun_stands_as_it_is() -> None:
    """In the middle of the week the press is busy with it, and has its setting afterwards."""
    problem = Problem(runs=(run(10, setting=1), run(10, setting=1)), presses=(press(TWO_SETTINGS),))
    before = replayed(problem, [0, 1])
    assert before is not None
    now = evolve(problem, fixed=(evolve(before[0], setup=0, start=0, end=30, peel=30, done=30),))
    assert times(now, [1])[1] == (30, 30, 40)


def test_a_replay_ends_where_it_costs_too_much() -> None:
    """The search gives up a change as soon as it is too dear."""
    tables = Tables(Problem(runs=(run(10, due=0), run(10, due=0)), presses=(press(),)))
    assert decode(tables, [[0, 1]], limit=2999) is None
    floor = decode(tables, [[0, 1]], limit=3000)
    assert floor is not None
    assert floor.total == 100 * (10 + 20)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"runs": (run(1, []),)}, "run 0 can be done on no press"),
        ({"runs": (run(1, rack=1),)}, "needs 1 rack slots, there are 0"),
        ({"runs": (run(1, peel=1),)}, "there is no operator"),
        ({"tools": (Tool(copies=0),), "tools_of": ((0,),)}, "there is no copy of it"),
        ({"operators": (Operator(calendar=()),)}, "no operator is ever there"),
        ({"presses": (press(calendar=((0, 5),)),), "runs": (run(9),)}, "a calendar ends before"),
    ],
)
def test_what_cannot_be_scheduled_is_refused(changes: dict[str, object], message: str) -> None:
    """A problem without an answer is named at once, not searched for ever."""
    with pytest.raises(ValueError, match=message):
        Tables(Problem(**{"runs": (run(1),), "presses": (press(),), **changes}))  # type: ignore[arg-type]


@settings(max_examples=20)
@given(st.randoms(use_true_random=False))
def test_a_replay_goes_on_from_where_lists_differ(draw: Random) -> None:
    """As a replay of everything does, from any picture of the floor: also lists that wait in a circle."""
    problem = generated_week(3, 40, 0.95, draw.randrange(10**6))
    tables = Tables(problem)
    before = Replay(tables, best_by_rules(tables).lists)
    assert before.run()
    for _ in range(10):
        lists = [list(runs) for runs in before.lists]
        here = draw.choice([press for press, runs in enumerate(lists) if runs])
        at = draw.randrange(len(lists[here]))
        run = lists[here].pop(at)
        there = draw.choice(tables.presses_of[run])
        to = draw.randint(0, len(lists[there]))
        lists[there].insert(to, run)
        after = before.changed(lists, [(here, at), (there, to)])
        whole = decode(tables, lists)
        assert after.run() == (whole is not None)
        if whole is not None:
            assert result_of(after.floor, 0) == result_of(whole, 0)
            before = after
