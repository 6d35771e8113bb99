"""Media sold by length: hand-sized rolls, and the referee on anything."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plugins.group.baseline import one_layout_per_owner
from plugins.group.problem import Medium, Print, Problem, Roll, Sheet
from plugins.group.solve import solve
from plugins.group.stop import after
from tests.referee_sheets import faults_of_result


def roll(**changes: object) -> Roll:
    """A roll 10 wide, sold in steps of 5 up to 100, at 3 a step and 2 from a length of 60."""
    given = {"width": 10, "step": 5, "longest": 100, "prices": ((0, 3), (60, 2))}
    return Roll(**{**given, **changes})


def on(sheet: Roll | Sheet, *prints: Print) -> Problem:
    """These prints on one medium."""
    return Problem(prints=prints, media=(Medium(sheets=(sheet,)),))


def test_a_piece_is_as_long_as_its_prints_need() -> None:
    """Four squares of 5 lie two by two: a piece of 10, two steps at 3."""
    result = solve(on(roll(), Print(width=5, height=5, copies=4)), after(20), 1)
    assert [(layout.quantity * layout.height, layout.cost) for layout in result.layouts] == [(10, 6)]
    assert (result.surplus, result.bound) == ((0,), 6)


def test_a_begun_step_is_paid_whole() -> None:
    """A print 10 wide and 6 high needs two steps of 5."""
    result = solve(on(roll(), Print(width=10, height=6, copies=1)), after(5), 1)
    assert [(layout.height, layout.cost) for layout in result.layouts] == [(10, 6)]


def test_more_length_can_cost_less() -> None:
    """A length of 55 costs 11 steps at 3, one of 60 costs 12 at 2: the empty end is bought."""
    problem = on(roll(), Print(width=10, height=55, copies=1, may_turn=False))
    result = solve(problem, after(5), 1)
    assert [(layout.height, layout.price, layout.cost) for layout in result.layouts] == [(60, 24, 24)]
    assert faults_of_result(problem, result) == []


def test_pieces_of_one_layout_count_together() -> None:
    """Twelve prints of 10 x 10 are 120 long: more than one piece may have, and still at the price from 60."""
    problem = on(roll(longest=40), Print(width=10, height=10, copies=12))
    result = solve(problem, after(40), 1)
    assert faults_of_result(problem, result) == []
    assert (len(result.layouts), result.cost) == (1, 48)


def test_less_than_the_minimum_is_not_sold() -> None:
    """One print of 5 x 5, but 20 are the least: four steps; a piece of 20, or two of 10."""
    problem = on(roll(minimum=20), Print(width=5, height=5, copies=1))
    result = solve(problem, after(5), 1)
    assert faults_of_result(problem, result) == []
    assert result.cost == 12


def test_margin_and_gap_are_kept_on_a_roll() -> None:
    """Two prints of 3 above one another, a gap of 1 between and a margin of 2 at both ends: 11 long, so 15."""
    problem = on(roll(margin=2, gap=1), Print(width=6, height=3, copies=2, may_turn=False))
    result = solve(problem, after(5), 1)
    assert faults_of_result(problem, result) == []
    assert sum(layout.quantity * layout.height for layout in result.layouts) == 15


def test_a_few_prints_go_on_the_roll_and_many_on_the_sheet() -> None:
    """The sheet has a set-up of 50 and 1 per sheet, the roll none and 3 per step of the same size."""
    sheet = Sheet(width=10, height=5, prices=((1, 1),), set_up=50)
    media = (Medium(sheets=(sheet,)), Medium(sheets=(roll(prices=((0, 3),)),)))
    prints = (
        Print(width=10, height=5, copies=4, media=(0, 1)),
        Print(width=9, height=5, copies=40, media=(0, 1)),
    )
    result = solve(Problem(prints=prints, media=media), after(60), 1)
    assert faults_of_result(Problem(prints=prints, media=media), result) == []
    assert (result.media, result.cost) == ((1, 0), 4 * 3 + 50 + 40)


def test_a_plan_with_pieces_can_be_begun_with() -> None:
    """The layouts of a known plan have lengths of their own; beginning with them costs no more."""
    problem = on(
        roll(margin=1, gap=1), *(Print(width=w, height=h, copies=9) for w, h in ((3, 4), (2, 5), (6, 3)))
    )
    simple = one_layout_per_owner(problem, [0, 0, 0])[0]
    assert faults_of_result(problem, simple) == []
    assert solve(problem, after(0), 1, simple.layouts).cost <= simple.cost


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    """Small problems with a roll and a sheet, or one of them, and prints that may use either or both."""
    rolls = Roll(
        width=draw(st.integers(14, 30)),
        step=draw(st.integers(1, 7)),
        longest=draw(st.integers(20, 90)),
        margin=draw(st.integers(0, 1)),
        gap=draw(st.integers(0, 3)),
        prices=((0, draw(st.integers(4, 9))), (draw(st.integers(10, 50)), 3), (90, 2)),
        set_up=draw(st.integers(0, 9)),
        minimum=draw(st.integers(0, 40)),
    )
    sheet = Sheet(
        width=16, height=20, prices=((1, 12), (5, draw(st.integers(4, 11)))), set_up=draw(st.integers(0, 9))
    )
    media = (Medium(sheets=(rolls,), order_charge=draw(st.integers(0, 20))), Medium(sheets=(sheet, rolls)))
    prints = []
    for _ in range(draw(st.integers(1, 6))):
        usable = draw(st.sampled_from([(0,), (1,), (0, 1)]))
        prints.append(
            Print(
                width=draw(st.integers(2, 11)),
                height=draw(st.integers(2, 11)),
                copies=draw(st.integers(1, 30)),
                media=usable,
                extras=tuple(draw(st.integers(0, 9)) for _ in usable),
                may_turn=draw(st.booleans()),
                company=draw(st.sampled_from([0, 0, 1])),
            )
        )
    return Problem(prints=tuple(prints), media=media, guillotine=draw(st.booleans()))


@pytest.mark.untraced
@settings(max_examples=40)
@given(
    heights=st.lists(st.integers(1, 4), min_size=1, max_size=5),
    prices=st.tuples(*[st.integers(1, 9)] * 3),
    set_up=st.integers(0, 9),
    minimum=st.integers(0, 8),
)
def test_prints_across_the_whole_roll(
    heights: list[int], prices: tuple[int, int, int], set_up: int, minimum: int
) -> None:
    """Of prints as wide as the roll one piece is best, as long as they are together or longer: tried one by one.

    Nothing is lost beside them, so the bound is what the plan costs.
    """
    steps = tuple(zip((0, 15, 40), sorted(prices, reverse=True), strict=True))
    whole = roll(prices=steps, set_up=set_up, minimum=5 * minimum, longest=1_000)
    problem = on(whole, *(Print(width=10, height=5 * h, copies=2, may_turn=False) for h in heights))

    def price(length: int) -> int:
        return [each for start, each in steps if start <= 5 * length][-1]

    least = max(2 * sum(heights), minimum)
    cheapest = min(length * price(length) for length in range(least, least + 60)) + set_up
    result = solve(problem, after(60), 1)
    assert faults_of_result(problem, result) == []
    assert (result.bound, result.cost) == (cheapest, cheapest)


@pytest.mark.untraced
@settings(max_examples=40)
@given(problem=problems(), seed=st.integers(0, 3))
def test_the_referee_finds_nothing(problem: Problem, seed: int) -> None:
    """Whatever the roll: lengths, steps, minimum, prices, gaps, cuts, copies and the bound are right."""
    simple = one_layout_per_owner(problem, [0] * len(problem.prints))[0]
    assert faults_of_result(problem, simple) == []
    result = solve(problem, after(5), seed, simple.layouts)
    assert faults_of_result(problem, result) == []
    assert result.cost <= simple.cost
