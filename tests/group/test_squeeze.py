"""Room on layouts that are there, and what full sheets are worth."""

from random import Random

import pytest

from plugins.group.plan import Board, Plan, make_run
from plugins.group.problem import Medium, Print, Problem, Sheet
from plugins.group.squeeze import evict, squeeze


def plan_of(prices: tuple[tuple[int, int], ...], widths: tuple[int, ...], *keys: tuple[int, ...]) -> Plan:
    """A plan of one sheet each of layouts with these prints, one copy of each width wanted on strips of ten."""
    sheet = Sheet(width=10, height=1, prices=prices)
    prints = tuple(Print(width=width, height=1, copies=1, may_turn=False) for width in widths)
    board = Board(Problem(prints=prints, media=(Medium(sheets=(sheet,)),)))
    plan = Plan(board)
    for key in keys:
        packing = board.stocks[0].packer.pack(key)
        assert packing is not None
        plan.add(make_run(board, 0, packing, 1))
    return plan


@pytest.mark.parametrize("seed", range(4))
def test_a_print_takes_the_place_of_a_smaller_one_that_finds_room_elsewhere(seed: int) -> None:
    """4 + 3 and 6 on strips of ten: there is no room for 5, until 4 or 3 goes to the strip with 6."""
    plan = plan_of(((1, 1),), (4, 3, 6, 5), (0, 1), (2,))
    squeeze(plan, Random(seed), 1.0)
    assert plan.short == {3}
    evict(plan, Random(seed))
    assert plan.short == set()
    assert plan.cost() == 2


@pytest.mark.parametrize(("prices", "better"), [(((1, 100),), True), (((1, 100), (5, 40)), False)])
def test_full_sheets_are_worth_something_at_flat_prices_only(
    prices: tuple[tuple[int, int], ...], better: bool
) -> None:
    """7 and 7 of ten cost as much as 8 and 6, but those are nearer to being one sheet less."""
    widths = (4, 4, 3, 3)
    even, uneven = plan_of(prices, widths, (0, 2), (1, 3)), plan_of(prices, widths, (0, 1), (2, 3))
    assert even.cost() == uneven.cost() == 200
    assert (uneven.value() < even.value()) == better
