"""The search on published problems that test_solve.py does not hold: best known values, within few iterations."""

import pytest
from attrs import evolve

from plugins.group.problem import Problem
from plugins.group.solve import solve
from plugins.group.stop import after, first_of
from tests.group.test_solve import cells
from tests.referee_sheets import faults_of_result

pytestmark = (
    pytest.mark.untraced
)  # test_solve.py passes the same lines; counted, a search takes three times as long


def cost_of(problem: Problem, goal: float, iterations: int) -> int:
    """What the search pays with the best of three seeds; it stops at `goal`. The referee judges the results."""
    cost = 10**12
    for seed in range(3):
        if cost > goal:
            result = solve(problem, first_of(after(iterations), lambda _, cost: cost <= goal), seed, prove=False)
            assert faults_of_result(problem, result) == []
            cost = min(cost, result.cost)
    return cost


@pytest.mark.parametrize(
    ("slots", "copies", "sheet", "plate", "best"),
    [
        (4, [84500, 94500, 103500, 114500, 135500], 1344, 1_867_600, 185_194_800),
        (
            4,
            [1000, 1500, 2000, 2000, 2500, 3000, 4500, 5200, 6000, 7000, 9000, 12000],
            1344,
            1_867_600,
            26_958_400,
        ),
        (8, [40004, 81721, 38569, 20609, 30183, 58469, 19145, 75308, 40380], 7, 70_000, 528_353),
    ],
)
def test_cover_printing(slots: int, copies: list[int], sheet: int, plate: int, best: int) -> None:
    """Best known values of I003, I005 and I007 of the cover printing problem.

    Teghem, Pirlot & Antoniadis 1995, J. Comput. Appl. Math. 64:91-102; instances of D. Romero, values of 2021.
    """
    assert cost_of(cells(slots, copies, prices=((1, sheet),), set_up=plate), best, 12_000) <= best


def test_cover_printing_of_fifteen() -> None:
    """I006 of the same list may take tens of thousands of iterations; a few come within 2 %."""
    problem = cells(4, [1000 * n for n in range(1, 16)], prices=((1, 1344),), set_up=1_867_600)
    goal = 1.02 * 51_525_600
    assert cost_of(problem, goal, 3_000) <= goal


@pytest.mark.parametrize(("templates", "optimum", "within"), [(2, 418, 1.1), (3, 408, 1.03)])
def test_template_design(templates: int, optimum: int, within: float) -> None:
    """CSPLib prob002 (Proll & Smith 1998), cat food: with 2 and 3 templates 418 and 408 pressings.

    Never below the optimum. How near a few thousand iterations come is measured, not promised.
    """
    problem = evolve(cells(9, [250, 255, 260, 500, 500, 800, 1100]), most_layouts=templates)
    assert optimum <= cost_of(problem, within * optimum, 4_000) <= within * optimum
