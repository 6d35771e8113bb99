"""The scheduler against values that others have published, or that follow from their theorems."""

import pytest

from plugins.schedule.decoder import decode
from plugins.schedule.model import Option, Problem, Run
from plugins.schedule.solve import solve
from plugins.schedule.stop import iterations
from plugins.schedule.tables import Tables
from tests.benchmarks.published import set_up_instance
from tests.referee_placed import violations
from tests.schedule.small import LATENESS, MAKESPAN, press, run

JOHNSON = {"A": (5, 2), "B": (3, 6), "C": (8, 4), "D": (10, 7), "E": (7, 12)}
"""Heizer and Render, Operations Management: Johnson's rule gives B-E-D-C-A, done after 35 hours."""


def flow_shop() -> Problem:
    """Johnson's jobs as two places on one garment each, on two presses: runs 0 to 4, then 5 to 9."""
    first = [run(one, [0]) for one, _ in JOHNSON.values()]
    second = [run(two, [1], after=(index,)) for index, (_, two) in enumerate(JOHNSON.values())]
    return Problem(runs=(*first, *second), presses=(press(), press()), weights=MAKESPAN)


def test_johnsons_order_takes_as_long_as_the_textbook_says() -> None:
    """The replay of a chain over two presses, held against a number that is not ours."""
    order = ["ABCDE".index(letter) for letter in "BEDCA"]
    floor = decode(Tables(flow_shop()), [order, [5 + job for job in order]])
    assert floor is not None
    assert floor.finish == 35


def test_the_search_finds_johnsons_makespan() -> None:
    """Johnson 1954 proves that nothing ends before 35."""
    assert solve(flow_shop(), iterations(3000), 1).total == 35


GRAHAM = (5, 5, 4, 4, 3, 3, 3)
"""Graham 1969, SIAM J. Appl. Math. 17 (from memory; both values recomputed): longest first gives 11, best is 9."""


def test_longest_first_gives_grahams_bad_schedule() -> None:
    """On three presses the rule gives 11 = (4/3 - 1/9) x 9, the worst that it can."""
    problem = Problem(
        runs=tuple(run(work, range(3)) for work in GRAHAM), presses=(press(),) * 3, weights=MAKESPAN
    )
    floor = decode(Tables(problem), [[0, 4, 6], [1, 5], [2, 3]])
    assert floor is not None
    assert floor.finish == 11


def test_the_search_beats_longest_first() -> None:
    """And the optimum of the same example is found."""
    problem = Problem(
        runs=tuple(run(work, range(3)) for work in GRAHAM), presses=(press(),) * 3, weights=MAKESPAN
    )
    assert solve(problem, iterations(3000), 1).total == 9


@pytest.mark.parametrize(
    ("works", "dues", "weights", "optimum"),
    [
        # Pinedo, Scheduling (4th ed. 2012), exercise 3.4.5; optimum recomputed by enumeration.
        ((121, 79, 147, 83, 130), (260, 266, 266, 336, 337), (1, 1, 1, 1, 1), 370),
        # Data of Pinedo's exercise 3.6.3; optimum by enumeration (67; the book is quoted with 64).
        ((12, 8, 15, 9), (16, 26, 25, 27), (4, 5, 3, 5), 67),
    ],
)
def test_textbook_lateness(
    works: tuple[int, ...], dues: tuple[int, ...], weights: tuple[int, ...], optimum: int
) -> None:
    """Weighted tardiness on one press."""
    rows = zip(works, dues, weights, strict=True)
    runs = tuple(run(work, due=due, weight=weight) for work, due, weight in rows)
    problem = Problem(runs=runs, presses=(press(),), weights=LATENESS)
    assert solve(problem, iterations(2000), 1).total == optimum


# OR-Library (J. E. Beasley), weighted tardiness, file wt40, first instance; optimum 913 of file wtopt40.
WT40_WORK = (
    26, 24, 79, 46, 32, 35, 73, 74, 14, 67, 86, 46, 78, 40, 29, 94, 64, 27, 90, 55,
    35, 52, 36, 69, 85, 95, 14, 78, 37, 86, 44, 28, 39, 12, 30, 68, 70, 9, 49, 50,
)  # fmt: skip
WT40_WEIGHT = (
    1, 10, 9, 10, 10, 4, 3, 2, 10, 3, 7, 3, 1, 3, 10, 4, 7, 7, 4, 7,
    5, 3, 5, 4, 9, 5, 2, 8, 10, 4, 7, 4, 9, 5, 7, 7, 5, 10, 1, 3,
)  # fmt: skip
WT40_DUE = (
    1588, 1620, 1731, 1773, 1694, 1487, 1566, 1844, 1727, 1636, 1599, 1539, 1855, 1645, 1709, 1660, 1582, 1836,
    1484, 1559, 1772, 1510, 1512, 1795, 1522, 1509, 1598, 1658, 1826, 1628, 1650, 1833, 1627, 1528, 1541, 1497,
    1481, 1446, 1579, 1814,
)  # fmt: skip


def test_or_library_weighted_tardiness() -> None:
    """Forty runs on one press, to the proven optimum."""
    rows = zip(WT40_WORK, WT40_WEIGHT, WT40_DUE, strict=True)
    runs = tuple(
        Run(options=(Option(press=0, setting=0, work=work),), weight=weight, due=due)
        for work, weight, due in rows
    )
    result = solve(Problem(runs=runs, presses=(press(),), weights=LATENESS), iterations(20_000), 1)
    assert result.total == 913


# Vallada and Ruiz 2011, "A genetic algorithm for the unrelated parallel machine scheduling problem with sequence
# dependent setup times", EJOR 211: instances I_6_2_S_1-9_1 and I_6_3_S_1-49_1, closed at 74 and 95.
SET_UPS = {
    74: """6 2 1
2
0 1 1 4
0 87 1 21
0 28 1 68
0 32 1 17
0 38 1 43
0 9 1 48
SSD
M0
0 1 8 1 3 9
4 0 7 3 7 8
7 3 0 2 3 5
3 8 3 0 5 2
8 3 7 9 0 5
8 8 1 2 2 0
M1
0 5 1 6 1 7
6 0 7 7 6 2
7 6 0 9 6 9
3 7 3 0 1 7
5 8 5 6 0 9
7 4 1 7 9 0
""",
    95: """6 3 1
3
0 50 1 73 2 29
0 66 1 32 2 36
0 99 1 53 2 94
0 28 1 8 2 7
0 52 1 94 2 58
0 39 1 61 2 30
SSD
M0
0 6 39 26 48 43
13 0 33 7 36 27
7 18 0 44 24 45
27 47 20 0 48 25
47 26 27 31 0 43
11 34 12 49 4 0
M1
0 9 6 28 10 24
15 0 47 21 19 24
12 15 0 41 15 40
37 14 21 0 35 3
32 16 19 27 0 29
47 8 3 35 1 0
M2
0 5 3 48 7 18
44 0 20 21 26 43
34 13 0 41 41 36
3 30 22 0 27 31
44 35 37 46 0 42
40 8 48 19 45 0
""",
}


@pytest.mark.parametrize("optimum", sorted(SET_UPS))
def test_published_set_up_instances(optimum: int) -> None:
    """Unrelated machines with set-ups that depend on the run before: the makespan that is proven best."""
    problem = set_up_instance(SET_UPS[optimum])
    result = solve(problem, iterations(2000), 1)
    assert result.total == optimum
    assert violations(problem, result) == []
