"""What proves not to fit on a sheet, and the best of what may: against plain recursion over all ways to cut."""

from functools import cache
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plugins.group import inner
from plugins.group.choice import Item, Misfit, choose
from plugins.group.misfits import misfits
from plugins.group.rooms import Way
from plugins.group.solve import solve
from plugins.group.stop import after
from tests.benchmarks.invented_weeks import invented_week

SIZES = st.lists(st.tuples(st.integers(1, 5), st.integers(1, 5)), min_size=1, max_size=3)


def _fits(width: int, height: int, ways: list[tuple[Way, ...]], counts: tuple[int, ...]) -> bool:
    """Whether straight cuts part a sheet into these prints, straight from the definition."""

    @cache
    def fits(w: int, h: int, some: tuple[int, ...]) -> bool:
        if sum(some) == 0:
            return True
        if sum(some) == 1:
            return any(x <= w and y <= h for x, y in ways[some.index(1)])
        for part in product(*(range(n + 1) for n in some)):
            rest = tuple(n - m for n, m in zip(some, part, strict=True))
            if any(part) and any(rest):
                if any(fits(x, h, part) and fits(w - x, h, rest) for x in range(1, w)):
                    return True
                if any(fits(w, y, part) and fits(w, h - y, rest) for y in range(1, h)):
                    return True
        return False

    return fits(width, height, counts)


@settings(max_examples=50)
@given(SIZES, st.data())
def test_misfits_are_the_least_sets_that_cannot_be_cut(sizes: list[Way], data: st.DataObject) -> None:
    """They do not fit, one print less of them does, and whatever holds none of them fits."""
    ways = [((w, h), (h, w)) if data.draw(st.booleans()) else ((w, h),) for w, h in sizes]
    counts = tuple(data.draw(st.integers(0, 2)) for _ in ways)
    size = data.draw(st.tuples(st.integers(1, 8), st.integers(1, 8)))
    found = misfits(ways, counts, size)
    for some in product(*(range(n + 1) for n in counts)):
        holds_one = any(all(n >= m for n, m in zip(some, one, strict=True)) for one in found)
        assert _fits(*size, ways, some) != holds_one
        if some in found:
            fewer = [(*some[:k], n - 1, *some[k + 1 :]) for k, n in enumerate(some) if n]
            assert all(_fits(*size, ways, one) for one in fewer)


@given(st.data())
def test_the_best_set_is_chosen(data: st.DataObject) -> None:
    """Of all that have room and hold no misfit; where steps run out, its bound holds all the same."""
    kinds = data.draw(st.integers(1, 4))
    items: list[Item] = []
    for k in range(kinds):
        cells, worth = data.draw(st.integers(1, 9)), data.draw(st.integers(1, 20))
        items += [(k, cells, float(worth), 0), (k, cells, float(worth), 1)]
    items.sort(key=lambda item: (-item[2] / item[1], item[0], item[3]))
    room = data.draw(st.integers(0, 30))
    pairs = st.dictionaries(st.integers(0, kinds - 1), st.integers(1, 2), min_size=1)
    against: list[Misfit] = [tuple(one.items()) for one in data.draw(st.lists(pairs, max_size=4))]
    sizes = {k: (cells, worth) for k, cells, worth, _ in items}
    best = 0.0
    for counts in product(range(3), repeat=kinds):
        forbidden = any(all(counts[k] >= n for k, n in misfit) for misfit in against)
        if not forbidden and sum(n * sizes[k][0] for k, n in enumerate(counts)) <= room:
            best = max(best, sum(n * sizes[k][1] for k, n in enumerate(counts)))
    bound, worth, chosen = choose(items, [0] * kinds, room, against, 0.0, 100_000)
    assert bound == worth == best
    assert (chosen is None) == (best == 0)
    assert choose(items, [0] * kinds, room, against, 0.0, 3)[0] >= best


@pytest.mark.skipif(not inner.COMPILED, reason="plugins/group/loops was not compiled")
def test_more_is_proven_of_few_prints() -> None:
    """A week of 7 prints: by shares and cuts alone, 51,513 was proven, and a plan of 57,992 is known."""
    problem = invented_week(7, 972).problem
    result = solve(problem, after(300), 1)
    assert 53_000 <= result.bound <= 57_992
