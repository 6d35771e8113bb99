"""Patterns and the shares that they give: against plain recursion, and against every layout that the packer finds."""

from functools import cache
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plugins.group.bound import lower_bound
from plugins.group.hull import Hull
from plugins.group.packer import Packer
from plugins.group.patterns import Patterns, Wish
from plugins.group.plan import Board
from plugins.group.pricing import Pricer
from plugins.group.problem import Medium, Print, Problem, Sheet
from tests.benchmarks.invented_weeks import invented_week

PRICES = ((1, 10), (5, 7), (20, 5))


def _best_by_recursion(
    width: int, height: int, prints: tuple[Print, ...], worths: tuple[int, ...], key: int | None, *, once: bool
) -> int | None:
    """The worth of the best pattern straight from its definition; None where no piece holds the key."""

    @cache
    def best(w: int, h: int, keyed: bool) -> int | None:
        found: list[int | None] = [None if keyed else 0]
        for i, item in enumerate(prints):
            ways = {(item.width, item.height), (item.height, item.width) if item.may_turn else (w + 1, h)}
            if (i == key if keyed else not (once and i == key)) and any(x <= w and y <= h for x, y in ways):
                found.append(worths[i])
        halves = [((x, h), (w - x, h)) for x in range(1, w)] + [((w, y), (w, h - y)) for y in range(1, h)]
        for one, other in halves:
            a, b = best(*one, False), best(*other, keyed)
            if a is not None and b is not None:
                found.append(a + b)
        return max((worth for worth in found if worth is not None), default=None)

    return best(width, height, key is not None)


@given(st.randoms(use_true_random=False))
def test_the_best_pattern_is_what_plain_recursion_finds(draw: Random) -> None:
    """With a key and without, turned or not; and the counts told are worth as much."""
    width, height = draw.randint(3, 8), draw.randint(3, 8)
    prints = tuple(
        Print(
            width=draw.randint(1, width),
            height=draw.randint(1, height),
            copies=1,
            may_turn=draw.random() < 0.5,
        )
        for _ in range(draw.randint(1, 4))
    )
    packer = Packer(Sheet(width=width, height=height, prices=PRICES), prints)
    patterns = Patterns(packer, list(range(len(prints))))
    wishes = []
    for _ in range(3):
        key = draw.choice((None, draw.randrange(len(prints))))
        worth = np.array([draw.choice((0, 1, 3, 5, 9)) for _ in prints])
        wishes.append(Wish(worth, key, once=key is not None and draw.random() < 0.5))
    for wish, pattern in zip(wishes, patterns.best(wishes), strict=True):
        expected = _best_by_recursion(
            width, height, prints, tuple(map(int, wish.worth.tolist())), wish.key, once=wish.once
        )
        assert expected is not None
        assert pattern.worth == expected == pattern.counts @ wish.worth
        if wish.key is not None:
            assert pattern.counts[wish.key] == 1 if wish.once else pattern.counts[wish.key] >= 1


def test_four_around_a_hole_are_no_guillotine_sheet() -> None:
    """10 x 10 holds four prints of 6 x 4 as a pinwheel, but only three by straight cuts: 12 copies need 4 sheets."""
    prints = (Print(width=6, height=4, copies=12),)
    sheet = Sheet(width=10, height=10, prices=((1, 1),))
    bounds = [
        lower_bound(Board(Problem(prints=prints, media=(Medium(sheets=(sheet,)),), guillotine=straight)), 40)
        for straight in (True, False)
    ]
    assert bounds == [4, 3]


@pytest.mark.untraced
@settings(max_examples=25)
@given(st.integers(0, 2000), st.integers(4, 12))
def test_no_layout_weighs_more_than_the_sheet(seed: int, prints: int) -> None:
    """Shares found for random means hold for whatever the packer lays, in every group of price step and key."""
    draw = Random(seed)
    board = Board(invented_week(prints, seed).problem)
    pricer = Pricer(board, 0, 0)
    hull = Hull(pricer)
    means = {}
    for tier in range(len(pricer.steps)):
        for position, key in enumerate(pricer.keys):
            mean = np.array([draw.random() * (pricer.rank[k] > position or key < 0) for k in range(prints)])
            mean[pricer.rank < position] = 0.0
            if key >= 0:
                mean[key] = 1.0
            means[0, tier, position] = mean / max(float(mean @ pricer.scales.area), 0.1)
    found = hull.too_heavy(means, 1.002)
    for group, shares in found.items():
        assert float(shares @ means[group]) > 1.002 * (1 - 1e-5)
    for _ in range(60):
        packing = pricer.packer.empty
        for i in draw.choices(range(prints), k=20):
            packing = pricer.packer.extend(packing, i) or packing
        counts = np.bincount(packing.key, minlength=prints)
        for (_, tier, position), shares in found.items():
            useful = np.minimum(counts, -(-pricer.need // pricer.steps[tier]))
            if pricer.group_of(pricer.steps[tier], useful) == (tier, position):
                assert float(shares @ useful) <= 1
