"""The compiled search against the one in Python: equal to the last bit, so no plan hangs on a compiler."""

import os
from collections.abc import Callable
from typing import Any

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from plugins.group import packer
from plugins.group.anneal import Annealer, Span
from plugins.group.build import Builder
from plugins.group.chance import Chance
from plugins.group.engine import Engine, can_compile
from plugins.group.plan import Board, Plan, Run
from plugins.group.problem import Medium, Print, Problem, Roll, Sheet, Unplaceable
from plugins.group.solve import recall, solve
from plugins.group.stop import StopRule, after
from tests.benchmarks.invented_weeks import invented_week
from tests.group.test_rolls import problems as problems_with_rolls
from tests.group.test_solve import problems

try:
    from plugins.group import kernel
except ImportError:
    if os.environ.get("PEELWRIGHT_KERNEL") == "required":
        raise
    pytest.skip("plugins/group/loops was not compiled", allow_module_level=True)

Found = list[tuple[list[tuple[Any, ...]], int]]


def found(search: Annealer | Engine, stop: StopRule) -> Found:
    """What a search finds in two spans of time, the second one from the best of the first."""
    first = search.first()
    runs, done = search.anneal(first, 0, stop, 0, Span(0.0, 0.6, 0.03))
    again, after_all = search.anneal(runs, 0, stop, done, Span(0.6, 1.0, 0.01))
    return [(told(search.board, some), so_far) for some, so_far in ((first, 0), (runs, done), (again, after_all))]


def told(board: Board, runs: tuple[Run, ...]) -> list[tuple[Any, ...]]:
    """Runs by the sheet or roll and the height of the piece: pieces are numbered as they come up."""
    return [(board.first[run.stock], board.stocks[run.stock].height, *run[1:]) for run in runs]


def both(problem: Problem, stop: StopRule, seed: int, *, weighed: bool) -> tuple[Found, Found]:
    """What the search in Python finds, and the compiled one; the boards are not shared."""
    plain, compiled = (Board(problem, weighed=weighed) for _ in range(2))
    assert can_compile(compiled)
    return found(Annealer(plain, Chance(seed)), stop), found(Engine(compiled, Chance(seed)), stop)


@pytest.mark.untraced
@settings(max_examples=40)
@given(problems(), st.integers(0, 2**64 - 1), st.booleans())
def test_the_same_is_found(problem: Problem, seed: int, weighed: bool) -> None:
    """Every run, place, free room and quantity, whatever the problem."""
    one, other = both(problem, after(40), seed, weighed=weighed)
    assert one == other


@pytest.mark.parametrize("prints", [30, 70])
def test_a_week_is_the_same(prints: int) -> None:
    """So many prints that only some compete for a place, and so many runs that only some are looked at."""
    one, other = both(invented_week(prints, 3).problem, after(60), 1, weighed=True)
    assert one == other


def test_a_search_that_goes_back_to_its_best_is_the_same() -> None:
    """After a long time without anything better."""
    one, other = both(invented_week(5, 3).problem, after(2500), 1, weighed=False)
    assert one == other


def test_the_last_of_two_prices_from_one_quantity_holds() -> None:
    """As a shop's files cannot say it, but a problem can."""
    sheet = Sheet(width=1, height=1, prices=((1, 10), (2, 1), (2, 9)))
    problem = Problem(prints=(Print(width=1, height=1, copies=3),), media=(Medium(sheets=(sheet,)),))
    one, other = both(problem, after(5), 1, weighed=False)
    assert one == other
    assert other[0][0][0][-2:] == (3, 27)


@pytest.mark.parametrize("most", [1, 400])
def test_what_is_forgotten_is_forgotten_alike(monkeypatch: pytest.MonkeyPatch, most: int) -> None:
    """Layouts in use outlive the memory of them."""
    monkeypatch.setattr(packer, "MEMORY", most)
    one, other = both(invented_week(12, 3).problem, after(100), 1, weighed=False)
    assert one == other


def test_what_the_search_remembers_can_be_looked_up() -> None:
    """By the packers of its board: the same layouts, the fullest first."""
    problem, remembered = invented_week(9, 3).problem, []
    for kind in (Annealer, Engine):
        board = Board(problem, weighed=False)
        Builder(board, Chance(2)).complete(Plan(board))  # what was remembered before does not count
        found(kind(board, Chance(1)), after(50))
        memory = board.stocks[0].packer
        remembered.append([memory.laid(key) for key in memory.remembered(60)])
    assert remembered[0] == remembered[1]
    assert len(remembered[0]) == 60


@pytest.mark.untraced
@settings(max_examples=40)
@given(problems_with_rolls(), st.integers(0, 2**64 - 1))
def test_the_same_is_found_on_rolls(problem: Problem, seed: int) -> None:
    """Every piece, wherever its end is."""
    try:
        one, other = both(problem, after(40), seed, weighed=False)
    except Unplaceable:
        return
    assert one == other


def test_a_week_with_a_roll_is_the_same_and_goes_on_alike_from_a_known_plan() -> None:
    """The pieces of the known plan have been numbered before."""
    problem = invented_week(12, 3, roll=True).problem
    one, other = both(problem, after(60), 1, weighed=True)
    assert one == other
    known = solve(problem, after(10), 2, prove=False).layouts
    board = Board(problem)
    plan = recall(board, known, Builder(board, Chance(1)))
    runs = Engine(board, Chance(1)).anneal(tuple(plan.runs.values()), 0, after(30), 0, Span(0.0, 1.0, 0.03))[0]
    plain = Annealer(board, Chance(1)).anneal(tuple(plan.runs.values()), 0, after(30), 0, Span(0.0, 1.0, 0.03))[0]
    assert told(board, runs) == told(board, plain)


@pytest.mark.untraced
@settings(max_examples=20)
@given(problems(), st.integers(1, 4), st.integers(0, 2**64 - 1))
def test_the_same_is_found_with_a_most_of_layouts(problem: Problem, most: int, seed: int) -> None:
    """However few are allowed."""
    prints = tuple(evolve(p, media=(0,), extras=(0,), company=0) for p in problem.prints)
    limited = Problem(prints=prints, media=problem.media, most_layouts=most)
    one, other = both(limited, after(30), seed, weighed=False)
    assert one == other


def test_what_is_too_large_for_the_compiled_search_is_searched_in_python() -> None:
    """A roll with a million lengths; more copies than a number of 32 bits counts."""
    week = invented_week(5, 3).problem
    fine = Roll(width=10**6, step=1, longest=10**6, prices=((1, 1),))
    many = tuple(evolve(p, copies=2**31 + 1) for p in week.prints)
    for problem in (evolve(week, media=(Medium(sheets=(fine,)),)), evolve(week, prints=many)):
        assert not can_compile(Board(problem, weighed=False))


def opened(**changes: Any) -> Any:
    """A search for one print on one sheet, told otherwise in some way."""
    stock: dict[str, Any] = {
        "medium": 0,
        "prices": ([1], [1], 0, 1, 0),
        "roll": None,
        "width": 9,
        "height": 9,
        "ways": [((2, 3),)],
        "areas": [6],
        "weights": [0.1],
        "usable": [True],
        "ranks": ([0], [0], [0]),
        "tries": ((0, (0, 0)),),
        "few": 1,
    }
    stock |= {name: value for name, value in changes.items() if name in stock}
    board: dict[str, Any] = {
        "carving": False,
        "most": -1,
        "copies": [5],
        "company": [0],
        "worth": [1.0],
        "choosy": [False],
        "least": [0],
        "extra": [0],
        "charge": [0],
        "stocks": [tuple(stock.values())],
        "memory": 9,
        "seed": 1,
    }
    board |= {name: value for name, value in changes.items() if name in board}
    return kernel.open_search(*board.values())


MANY = after(60)
RUN = (0, 0, ((((0, 0, 2, 3), 0),), (), 0, 0.0), 5, 5)


def from_runs(*runs: Any, stop: StopRule = MANY, **changes: Any) -> Any:
    """What is found from such runs on."""
    return kernel.annealed(opened(**changes), runs, 0, stop, 0, 0.0, 1.0, 0.1)


def test_a_search_is_used_by_one_at_a_time() -> None:
    """A rule to stop by cannot take the search that asks it; after that it is as before."""
    search = opened()
    refused = []

    def rule(done: int, _cost: int) -> float:
        with pytest.raises(ValueError, match="in use"):
            kernel.first_runs(search, 1)
        refused.append(done)
        return done / 5

    runs, done = kernel.annealed(search, (RUN,), 0, rule, 0, 0.0, 1.0, 0.1)
    assert (done, refused) == (5, [0, 1, 2, 3, 4, 5])
    assert kernel.annealed(search, runs, 0, MANY, 0, 0.0, 1.0, 0.1)[1] == 60


def test_one_print_is_opened_and_found() -> None:
    """What the refusals below change is good."""
    runs, done = from_runs(RUN)
    assert (done, [run[3:] for run in runs]) == (60, [(1, 1)])


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: opened(copies=[0]),
        lambda: opened(copies=[5, 5]),
        lambda: opened(copies=["5"]),
        lambda: opened(worth=["1"]),
        lambda: opened(worth=[]),
        lambda: opened(choosy=[]),
        lambda: opened(company=()),
        lambda: opened(medium=1),
        lambda: opened(width=0),
        lambda: opened(prices=()),
        lambda: opened(prices=([], [], 0, 1, 0)),
        lambda: opened(prices=([1], [], 0, 1, 0)),
        lambda: opened(roll=()),
        lambda: opened(roll=(([], [], 0, 1, 0), 1, 1, 0)),
        lambda: opened(roll=(([1], [1], 0, 1, 0), 0, 1, 0)),
        lambda: opened(roll=(([0], [1], 0, 0, 0), 1, 1, 0)),
        lambda: opened(roll=(([0], [1], 0, 0, 0), 1, 9, -2)),
        lambda: opened(prices=([1], [1], 0, 0, 0)),
        lambda: opened(tries=()),
        lambda: opened(width=1),
        lambda: opened(width=2**40),
        lambda: opened(weights=[1.5]),
        lambda: opened(areas=[7]),
        lambda: opened(copies=[2**40]),
        lambda: opened(company=[2**32]),
        lambda: opened(memory=-1),
        lambda: kernel.open_search(False, -1, [], [], [], [], [], [], [], [], 9, 1),
        lambda: opened(areas=[0]),
        lambda: opened(ways=[]),
        lambda: opened(ways=[()]),
        lambda: opened(weights=[]),
        lambda: opened(usable=[]),
        lambda: opened(usable=[False]),
        lambda: opened(ranks=([0], [0], [])),
        lambda: opened(tries=((3, (0, 0)),)),
        lambda: opened(tries=((0, 0),)),
        lambda: opened(few=2),
        lambda: kernel.open_search(False, -1, [5], [0], [1.0], [False], [0], [0], [0], [()], 9, 1),
        lambda: kernel.open_search(False, -1, [5], [0], [1.0], [False], [0], [0], [0], [5], 9, 1),  # type: ignore[list-item]
        lambda: kernel.open_search(False, -1, [5], [0], [1.0], [False], [0], [0], [0], [], 9, 1),
        lambda: kernel.first_runs(None, 3),  # type: ignore[arg-type]
        lambda: kernel.annealed(None, (RUN,), 0, after(1), 0, 0.0, 1.0, 0.1),  # type: ignore[arg-type]
        lambda: kernel.remembered(None, 0, 1),  # type: ignore[arg-type]
        lambda: kernel.remembered(opened(), 1, 1),
        lambda: kernel.remembered(opened(), 0, -1),
        lambda: from_runs(),
        lambda: from_runs(()),
        lambda: from_runs(5),
        lambda: from_runs((0, 0, ((((0, 8, 2, 3), 0),), (), 0, 0.0), 5, 5)),
        lambda: from_runs((0, 0, ((((0, 0, 2, 3), 0),), ((0, 0, 10, 1),), 0, 0.0), 5, 5)),
        lambda: from_runs((1, *RUN[1:])),
        lambda: from_runs((0, 1, *RUN[2:])),
        lambda: from_runs((0, 0, RUN[2], 0, 5)),
        lambda: from_runs((0, 0, RUN[2], 1, 1)),
        lambda: from_runs((0, 0, ((), (), 0, 0.0), 5, 5)),
        lambda: from_runs((0, 0, (((0, 0),), (), 0, 0.0), 5, 5)),
        lambda: from_runs((0, 0, ((((0, 0, 2, 3), 1),), (), 0, 0.0), 5, 5)),
        lambda: from_runs((0, 0, ((((0, 0, 2, 3), 0),), ((1, 2),), 0, 0.0), 5, 5)),
        lambda: from_runs((0, 0, (), 5, 5)),
        lambda: from_runs(RUN, stop=lambda _done, _cost: {}["no rule"]),
        lambda: from_runs(RUN, stop=lambda _done, _cost: "soon"),  # type: ignore[arg-type,return-value]
    ],
)
def test_what_is_no_such_thing_is_refused(wrong: Callable[[], Any]) -> None:
    """An error of Python, never a crash."""
    with pytest.raises((TypeError, ValueError, KeyError)):
        wrong()
