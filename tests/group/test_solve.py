"""The solver: hand-sized problems, published ones, an exact model, and the referee on anything."""

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plugins.group.baseline import one_layout_per_owner
from plugins.group.problem import Medium, Print, Problem, Sheet, Unplaceable
from plugins.group.solve import solve
from plugins.group.stop import after, first_of, when_stale
from tests.benchmarks.invented_weeks import invented_week
from tests.group.exact import exact_cost
from tests.referee_sheets import faults_of_result


def cells(slots: int, copies: list[int], **sheet: object) -> Problem:
    """Prints of one cell each on a sheet of so many cells."""
    one = Sheet(**{"width": slots, "height": 1, "prices": ((1, 1),), **sheet})
    return Problem(
        prints=tuple(Print(width=1, height=1, copies=n) for n in copies), media=(Medium(sheets=(one,)),)
    )


def test_two_prints_share_one_sheet() -> None:
    """Two cells, 10 of each print, a set-up of 3: 10 sheets with one of each, and nothing can be better."""
    result = solve(cells(2, [10, 10], set_up=3), after(20), 1)
    assert [(layout.quantity, layout.cost) for layout in result.layouts] == [(10, 13)]
    assert (result.cost, result.bound, result.surplus) == (13, 13, (0, 0))


def test_the_price_step_decides_the_layout() -> None:
    """9 needed of each at 10, or 5 from ten sheets: ten sheets of both together cost 50 and leave one of each."""
    result = solve(cells(2, [9, 9], prices=((1, 10), (10, 5))), after(20), 1)
    assert (result.cost, result.surplus) == (50, (1, 1))


def test_prints_that_must_not_meet_do_not() -> None:
    """Two companies, two layouts, though one sheet would hold both."""
    prints = tuple(Print(width=1, height=1, copies=4, company=number) for number in (0, 1))
    problem = Problem(prints=prints, media=cells(2, [1]).media)
    result = solve(problem, after(20), 1)
    assert faults_of_result(problem, result) == []
    assert result.cost == 4


def test_the_order_charge_keeps_prints_together() -> None:
    """The second medium is cheaper by the sheet, but a charge of 100 for using it is not worth 4 sheets."""
    sheets = [Medium(sheets=(Sheet(width=1, height=1, prices=((1, price),)),)) for price in (20, 10)]
    media = (sheets[0], Medium(sheets=sheets[1].sheets, order_charge=100))
    prints = (Print(width=1, height=1, copies=2, media=(0,)), Print(width=1, height=1, copies=4, media=(0, 1)))
    result = solve(Problem(prints=prints, media=media), after(50), 1)
    assert (result.media, result.cost) == ((0, 0), 120)


def test_labour_can_outweigh_the_price_of_the_sheet() -> None:
    """A sheet cheaper by 1 is no gain if pressing from it costs 5 more in all."""
    media = tuple(Medium(sheets=(Sheet(width=1, height=1, prices=((1, price),)),)) for price in (10, 9))
    prints = (Print(width=1, height=1, copies=4, media=(0, 1), extras=(0, 5)),)
    result = solve(Problem(prints=prints, media=media), after(30), 1)
    assert (result.media, result.purchase, result.extras) == ((0,), 40, 0)


def test_a_print_without_room_is_named() -> None:
    """There is no plan, and whoever asks must know for which print."""
    with pytest.raises(Unplaceable) as caught:
        solve(Problem(prints=(Print(width=5, height=1, copies=1),), media=cells(2, [1]).media), after(1), 1)
    assert caught.value.index == 0


def test_cutting_stock_of_a_textbook() -> None:
    """Chvatal, Linear Programming, 1983, ch. 13: rolls of 100 for 97 of 45, 610 of 36, 395 of 31, 211 of 14.

    The linear program is 452.25 and the best plan needs 453 rolls.
    """
    wanted = ((45, 97), (36, 610), (31, 395), (14, 211))
    prints = tuple(Print(width=width, height=1, copies=copies, may_turn=False) for width, copies in wanted)
    problem = Problem(prints=prints, media=(Medium(sheets=(Sheet(width=100, height=1, prices=((1, 1),)),)),))
    result = solve(problem, after(3000), 4)
    assert faults_of_result(problem, result) == []
    assert (result.bound, result.cost) == (453, 453)


@pytest.mark.parametrize(
    ("slots", "copies", "sheet", "plate", "best"),
    [
        (4, [4500, 9000, 16000], 1344, 1_867_600, 13_647_200),
        (4, [8500, 15000, 18000, 20000], 1344, 1_867_600, 24_791_648),
        (4, [3000, 3000, 3000, 5000, 8000, 10000, 12000, 15000], 1344, 1_867_600, 26_434_800),
    ],
)
def test_cover_printing(slots: int, copies: list[int], sheet: int, plate: int, best: int) -> None:
    """Best known values of I001, I002 and I004 of the cover printing problem.

    Teghem, Pirlot & Antoniadis 1995, J. Comput. Appl. Math. 64:91-102; instances of D. Romero, values of 2021.
    """
    problem = cells(slots, copies, prices=((1, sheet),), set_up=plate)
    result = solve(problem, first_of(after(3000), lambda _, cost: cost <= best), 4)
    assert faults_of_result(problem, result) == []
    assert result.bound <= best
    assert result.cost <= best


def test_one_template() -> None:
    """CSPLib prob002 (Proll & Smith 1998), cat food on templates of nine: one template needs 550 pressings."""
    plain = cells(9, [250, 255, 260, 500, 500, 800, 1100])
    problem = Problem(prints=plain.prints, media=plain.media, most_layouts=1)
    result = solve(problem, after(100), 1)
    assert faults_of_result(problem, result) == []
    assert result.cost == 550


@pytest.mark.parametrize("seed", range(6))
def test_against_an_exact_model(seed: int) -> None:
    """Small problems that can be solved exactly: never below the optimum, the bound never above, and equal."""
    draw = Random(seed)
    copies = [draw.randint(1, 12) for _ in range(draw.randint(2, 4))]
    steps = ((1, 10), (draw.randint(3, 6), 8), (draw.randint(8, 12), 5))
    problem = cells(draw.randint(2, 3), copies, prices=steps, set_up=draw.choice((0, 7)))
    optimum = exact_cost(problem)
    assert optimum is not None
    result = solve(problem, after(300), 1)
    assert faults_of_result(problem, result) == []
    assert result.bound <= optimum == result.cost


@pytest.mark.untraced
def test_same_seed_same_result() -> None:
    """Another machine, another day: the same plan. Another seed may find another one."""
    week = invented_week(12, 1).problem
    assert solve(week, after(12), 7) == solve(week, after(12), 7)


@pytest.mark.untraced
def test_a_known_plan_is_never_made_worse() -> None:
    """Beginning with the simple way and stopping at once returns it or something better."""
    week = invented_week(12, 2)
    simple = one_layout_per_owner(week.problem, week.owners)
    alone = one_layout_per_owner(week.problem, [0] * len(week.owners))[0]
    assert solve(week.problem, after(0), 1, alone.layouts, prove=False).cost <= alone.cost
    assert solve(week.problem, after(60), 1, prove=False).cost < 0.9 * sum(one.cost for one in simple)


def test_stop_rules() -> None:
    """Iterations are counted as a share, gains reset the patience, and the first rule to speak wins."""
    stale = when_stale(3)
    assert [stale(done, cost) for done, cost in ((1, 9), (2, 9), (3, 8), (4, 8), (5, 8), (6, 8))] == [
        False
    ] * 5 + [True]
    assert first_of(after(5), when_stale(9))(5, 1)
    assert first_of(after(5), when_stale(9))(4, 1) == 0.8


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    """Small problems with everything in them: two media of one or two sizes, labour, companies, margins."""
    media = []
    for _ in range(2):
        margin, gap = draw(st.integers(0, 2)), draw(st.integers(0, 2))
        sheets = tuple(
            Sheet(
                width=draw(st.integers(16, 30)),
                height=draw(st.integers(16, 30)),
                margin=margin,
                gap=gap,
                prices=((1, draw(st.integers(5, 9))), (6, 4), (20, 3)),
                set_up=draw(st.integers(0, 9)),
                minimum=draw(st.integers(1, 4)),
            )
            for _ in range(draw(st.integers(1, 2)))
        )
        media.append(Medium(sheets=sheets, order_charge=draw(st.integers(0, 30))))
    prints = tuple(
        Print(
            width=draw(st.integers(2, 12)),
            height=draw(st.integers(2, 12)),
            copies=draw(st.integers(1, 40)),
            media=draw(st.sampled_from([(0,), (1,), (0, 1)])),
            extras=(0,),
            may_turn=draw(st.booleans()),
            company=draw(st.sampled_from([0, 0, 1])),
        )
        for _ in range(draw(st.integers(1, 7)))
    )
    prints = tuple(
        Print(
            **{
                **{
                    name: getattr(p, name)
                    for name in ("width", "height", "copies", "media", "may_turn", "company")
                },
                "extras": tuple(draw(st.integers(0, 20)) for _ in p.media),
            }
        )
        for p in prints
    )
    return Problem(prints=prints, media=tuple(media), guillotine=draw(st.booleans()))


@pytest.mark.untraced
@settings(max_examples=25)
@given(problem=problems(), seed=st.integers(0, 3))
def test_the_referee_finds_nothing(problem: Problem, seed: int) -> None:
    """Whatever the problem: sheets, gaps, cuts, prices, media, copies and the bound are right."""
    assert faults_of_result(problem, solve(problem, after(6), seed)) == []
