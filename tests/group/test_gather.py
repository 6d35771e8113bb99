"""As few sheets as possible where each costs the same."""

from collections.abc import Iterator

import pytest
from attrs import evolve

from plugins.group.gather import can_gather
from plugins.group.plan import Board
from plugins.group.problem import Medium, Print, Problem, Sheet
from plugins.group.solve import solve
from plugins.group.stop import after
from tests.referee_sheets import faults_of_result

CLASS_1_OF_40 = """
11121315191922222228313438393a41414243444747636568697171728384929595959798a2a4a6
121313191a2527272a313637383a43475152595a62636769727276777a81828384899494959699a2
15162327283131353637393a3a3a42444555565a6467676869697479797a828284878895a1a9aaaa
132121252528293334384144454547495152545556616264667475758487898a92949598a7a8a9aa
1521222326262829292a323838393a424a5557585a636571788182848586888a8a8a959aa2a6a8aa
1214161718181a3136394144475255575761626666686a717172757576777a81828386919899a2a8
131617171a1a21222325292a3334343942454a5461626666686a6a7781818591949798a2a3a3aaaa
1213181a212a313236494a5862646767696a6a717a818588898a91919495959798989aa1a2a4a5a7
131314191a232627353636393a434445464a5157595a626367747882838385889293959597a1a2a4
1113131314171a2326272729333841424646474a53535858656667697474768484868688949496a5
"""
"""A line for each problem: 40 rectangles, width and height of each as hexadecimal digits."""


def bins(side: int, sizes: list[tuple[int, int]], **sheet: object) -> Problem:
    """Rectangles to be laid on square sheets that cost 1 each, not to be cut by a guillotine."""
    one = Sheet(**{"width": side, "height": side, "prices": ((1, 1),), **sheet})
    prints = tuple(Print(width=width, height=height, copies=1) for width, height in sizes)
    return Problem(prints=prints, media=(Medium(sheets=(one,)),), guillotine=False)


def class_1_of_40() -> Iterator[Problem]:
    """The ten problems."""
    for line in CLASS_1_OF_40.split():
        digits = [int(digit, 16) for digit in line]
        yield bins(10, list(zip(digits[::2], digits[1::2], strict=True)))


def test_two_dimensional_bins() -> None:
    """Class 1 of Berkey & Wang 1987 (J. Oper. Res. Soc. 38:423-429), 40 rectangles that may turn: 128 bins in all.

    That is the best known sum of the ten (Goncalves & Resende 2013, Int. J. Prod. Econ. 145:500-510).
    """
    total = 0
    for problem in class_1_of_40():
        result = solve(problem, after(600), 1, prove=False)
        assert faults_of_result(problem, result) == []
        total += result.cost
    assert total == 128


def test_a_plan_that_is_known_is_never_lost() -> None:
    """Without an iteration the plan that was given is as good as ever, though the first one made is dearer."""
    # 4 and 3 and 3 on each of two sheets; the first fit, the largest first, lays 4 and 4, 3 and 3 and 3, and 3.
    problem = bins(10, [(4, 10), (4, 10), (3, 10), (3, 10), (3, 10), (3, 10)])
    best = solve(problem, after(200), 1, prove=False)
    assert (best.cost, solve(problem, after(0), 1, prove=False).cost) == (2, 3)
    assert solve(problem, after(0), 1, best.layouts, prove=False).cost == 2


def test_what_is_paid_once_is_no_sheet_to_save() -> None:
    """Two prints of a quarter sheet need one, whatever an order of sheets costs besides; five need two."""
    for count, sheets in ((2, 1), (5, 2)):
        problem = bins(10, [(5, 5)] * count)
        (medium,) = problem.media
        result = solve(evolve(problem, media=(evolve(medium, order_charge=7),)), after(50), 1)
        assert (result.purchase, result.order_charges, result.iterations) == (sheets, 7, 0)


@pytest.mark.parametrize(
    ("sheet", "gathered"),
    [
        ({}, True),
        ({"prices": ((1, 2), (5, 1))}, False),
        ({"set_up": 1}, False),
        ({"minimum": 2}, False),
    ],
)
def test_only_where_sheets_cost_the_same(sheet: dict[str, object], gathered: bool) -> None:
    """Where more of one layout cost less each, sheets one by one would be the wrong thing to count."""
    assert can_gather(Board(bins(10, [(5, 5)], **sheet), weighed=False)) is gathered
