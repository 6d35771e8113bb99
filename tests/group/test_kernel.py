"""The compiled loops against the same in Python: equal to the last bit, so no plan hangs on a compiler."""

import os
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plugins.group import choice, gaps, inner, knapsack, misfits, pieces, rooms, swaps
from plugins.group.packer import Packer
from plugins.group.problem import Print, Sheet
from plugins.group.solve import solve
from plugins.group.stop import after
from tests.benchmarks.invented_weeks import invented_week
from tests.group.test_gather import FEW_A_SHEET, MANY_A_SHEET

try:
    from plugins.group import kernel
except ImportError:
    if os.environ.get("PEELWRIGHT_KERNEL") == "required":
        raise
    pytest.skip("plugins/group/loops was not compiled", allow_module_level=True)

PLAIN = (choice, gaps, knapsack, misfits, pieces, rooms, swaps)
MOST = 2**64 - 1
SIZES = st.tuples(st.integers(1, 40), st.integers(1, 40))
RULE = st.tuples(st.integers(0, 2), st.integers(0, 2))


@st.composite
def packers(draw: st.DrawFn) -> Packer:
    """A packer of a few prints on a sheet of 40 x 60 steps, by straight cuts or free."""
    sizes = draw(st.lists(SIZES, min_size=1, max_size=8))
    prints = tuple(Print(width=w, height=h, copies=1, may_turn=draw(st.booleans())) for w, h in sizes)
    return Packer(Sheet(width=40, height=60, prices=((1, 1),)), prints, guillotine=draw(st.booleans()))


@given(packers(), st.data())
def test_prints_are_laid_alike(packer: Packer, data: st.DataObject) -> None:
    """By any rules, in any order, with any limits."""
    some = st.lists(st.integers(0, len(packer.prints) - 1), min_size=1, max_size=30)
    queues = (data.draw(some), data.draw(some), data.draw(some))
    tries = tuple(data.draw(st.lists(st.tuples(st.integers(0, 2), RULE), max_size=6)))
    limits = data.draw(st.tuples(st.integers(0, 10), st.integers(0, 20), st.integers(-1, 2400)))
    asked = (data.draw(st.booleans()), (40, 60), queues, packer.ways, tries, limits)
    assert kernel.lay_anew(*asked) == rooms.lay_anew(*asked)


@given(packers(), st.data())
def test_room_is_filled_alike(packer: Packer, data: st.DataObject) -> None:
    """Of a sheet that is empty or not, until a print finds no room or to the end."""
    some = st.lists(st.integers(0, len(packer.prints) - 1), max_size=30)
    shares = st.floats(0, 0.3)
    weights = data.draw(st.lists(shares, min_size=len(packer.prints), max_size=len(packer.prints)))
    free = data.draw(st.lists(st.tuples(*[st.integers(0, 60)] * 4), max_size=6))
    wanted, left = data.draw(some), data.draw(st.tuples(st.integers(0, 2400), st.floats(0, 1)))
    at, carving, patient = (
        data.draw(st.integers(0, len(wanted))),
        data.draw(st.booleans()),
        data.draw(st.booleans()),
    )
    answers = []
    for fill in (kernel.fill_rooms, rooms.fill_rooms):
        rest = list(free)
        found = fill(carving, rest, wanted, at, packer.ways, packer.areas, weights, left, 3, patient)
        answers.append((found, rest))
    assert answers[0] == answers[1]


@given(packers(), st.data())
def test_gaps_are_filled_alike(packer: Packer, data: st.DataObject) -> None:
    """From any queue."""
    queue = data.draw(st.lists(st.integers(0, len(packer.prints) - 1), max_size=30))
    asked = ((40, 60), packer.ways, queue)
    assert kernel.fill_gaps(*asked) == gaps.fill_gaps(*asked)


@given(packers(), st.data())
def test_places_are_changed_alike(packer: Packer, data: st.DataObject) -> None:
    """From any sheets, which need not have room for what is said to lie on them, warm or cold."""
    some = st.lists(st.integers(0, len(packer.prints) - 1), max_size=12).map(sorted)
    sheets, out = data.draw(st.lists(some, max_size=6)), data.draw(some)
    ranks = tuple(data.draw(st.permutations(range(len(packer.prints)))) for _ in range(3))
    tries = tuple(data.draw(st.lists(st.tuples(st.integers(0, 2), RULE), max_size=4)))
    drawn = (data.draw(st.floats(0, 0.2)), data.draw(st.integers(0, 300)), data.draw(st.integers(0, MOST)))
    carving, answers = data.draw(st.booleans()), []
    for change in (kernel.change_places, swaps.change_places):
        piles, rest = [list(sheet) for sheet in sheets], list(out)
        change(carving, (40, 60), packer.ways, ranks, tries, piles, rest, *drawn)
        answers.append((piles, rest))
    assert answers[0] == answers[1]
    (piles, rest), held = answers[0], sum(sheets, out)
    assert sorted(sum(piles, rest)) == sorted(held)


@given(
    st.lists(st.tuples(st.integers(0, 9), st.integers(0, 30), st.floats(1e-6, 100)), max_size=20),
    st.integers(0, 100),
)
def test_knapsacks_are_filled_alike(items: list[tuple[int, int, float]], room: int) -> None:
    """With the same worth and the same items."""
    assert kernel.knapsack(items, room) == knapsack.knapsack(items, room)


@given(st.data())
def test_pieces_are_cut_alike(data: st.DataObject) -> None:
    """Whether both parts of a cut are of one table or of two."""
    shape = tuple(data.draw(st.integers(1, 9)) for _ in range(3))
    tables = [
        np.array(data.draw(st.lists(st.integers(-5, 50), min_size=size, max_size=size)), dtype=np.int32).reshape(
            shape
        )
        for size in [int(np.prod(shape))] * 2
    ]
    beside = tables[1] if data.draw(st.booleans()) else None
    if beside is not None:
        np.maximum(beside, 0, out=beside)
    answers = [tables[0].copy(), tables[0].copy()]
    for cut, table in zip((kernel.cut_apart, pieces.cut_apart), answers, strict=True):
        cut(table, beside)
    assert np.array_equal(*answers)


@given(packers(), st.data())
def test_misfits_are_alike(packer: Packer, data: st.DataObject) -> None:
    """The least sets that no sheet holds, in the same order."""
    ways = packer.ways[:4]
    counts = tuple(data.draw(st.integers(0, 2)) for _ in ways)
    size = data.draw(st.tuples(st.integers(1, 60), st.integers(1, 60)))
    assert kernel.misfits(ways, counts, size) == misfits.misfits(ways, counts, size)


@given(st.data())
def test_sets_are_chosen_alike(data: st.DataObject) -> None:
    """However few steps there are."""
    kinds = data.draw(st.integers(1, 6))
    worths = st.floats(0.1, 9)
    items = [
        (k, cells, worth if copy < 2 else worth / 2, copy)
        for k in range(kinds)
        for cells, worth in [(data.draw(st.integers(0, 12)), data.draw(worths))]
        for copy in range(data.draw(st.integers(1, 3)))
    ]
    items.sort(key=lambda item: (-item[2] / max(item[1], 0.5), item[0], item[3]))
    pairs = st.dictionaries(st.integers(0, kinds - 1), st.integers(1, 2), min_size=1, max_size=3)
    against = [tuple(one.items()) for one in data.draw(st.lists(pairs, max_size=6))]
    asked = (items, [0] * kinds, data.draw(st.integers(0, 40)), against, data.draw(st.floats(-1, 9)))
    steps = data.draw(st.sampled_from((1, 5, 30, 100_000)))
    assert kernel.choose(*asked, steps) == choice.choose(*asked, steps)


def test_a_plan_is_the_same_without_the_compiled_loops(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cost, bound and every placement of a week of 14 prints, and of sheets at one price."""
    problems = (invented_week(14, 3).problem, FEW_A_SHEET[1], MANY_A_SHEET[2])
    monkeypatch.setattr(inner, "COMPILED", False)
    plans = [solve(problem, after(60), 1) for problem in problems]
    used: set[str] = set()
    for module, name in (
        ("packer", "fill_rooms"),
        ("packer", "lay_anew"),
        ("gather", "fill_gaps"),
        ("gather", "change_places"),
        ("pricing", "knapsack"),
        ("patterns", "cut_apart"),
    ):
        plain = next(getattr(own, name) for own in PLAIN if hasattr(own, name))
        assert getattr(inner, name) is not plain
        monkeypatch.setattr(f"plugins.group.{module}.{name}", _counted(plain, used))
    assert [solve(problem, after(60), 1) for problem in problems] == plans
    assert len(used) == 6


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: kernel.knapsack([(0, 1)], 3),
        lambda: kernel.knapsack([(0, 1, 1.0)], -1),
        lambda: kernel.knapsack([(0, -1, 1.0)], 1),
        lambda: kernel.fill_gaps((1, 1), [((0, 1),)], [0]),
        lambda: kernel.lay_anew(False, (1, 1), ([0],), [], ((0, (0, 0)),), (0, 0, 0)),
        lambda: kernel.lay_anew(False, (1, 1), ([0],), [((1, 1),)], ((5, (0, 0)),), (0, 0, 0)),
        lambda: kernel.fill_rooms(False, [(0, 0)], [0], 0, [((1, 1),)], [1], [0.0], (1, 1.0), 0, True),
        lambda: kernel.fill_gaps((1, 1), [((1, 1),)], [1]),
        lambda: kernel.change_places(False, (1, 1), [((1, 1),)], ([0],) * 3, (), [[1]], [0], 0.1, 9, 1),
        lambda: kernel.change_places(False, (1, 1), [((1, 1),)], ([0], [], [0]), (), [[0]], [0], 0.1, 9, 1),
        lambda: kernel.change_places(False, (1, 1), [((1, 1),)], ([0],), (), [[0]], [0], 0.1, 9, 1),
        lambda: kernel.change_places(
            False, (1, 1), [((1, 1),)], ([0],) * 3, ((3, (0, 0)),), [[0]], [0], 0.1, 9, 1
        ),
        lambda: kernel.change_places(False, (1, 1), [((1, 1),)], ([0],) * 3, (), [0], [0], 0.1, 9, 1),
        lambda: kernel.cut_apart(np.zeros((2, 2), dtype=np.int32), None),
    ],
)
def test_what_is_no_such_thing_is_refused(wrong: Callable[[], Any]) -> None:
    """An error of Python, never a crash."""
    with pytest.raises((TypeError, ValueError, IndexError, KeyError)):
        wrong()


def _counted(function: Callable[..., Any], used: set[str]) -> Callable[..., Any]:
    def counted(*args: Any) -> Any:
        used.add(function.__name__)
        return function(*args)

    return counted
