"""What a sheet that falls apart by straight cuts can hold at most, whatever each print is worth.

A *pattern* is any set of prints that a guillotine sheet holds, each of them as often as one likes. The pattern of
most worth is found by dynamic programming over all sizes of a piece: it is one print, or what its two parts hold
when it is cut across or along (Gilmore & Gomory 1966, Operations Research 14:1045-1074; Beasley 1985, Journal of the
Operational Research Society 36:297-306). Hence shares of the sheet that are stronger than those of weigh.py, which
hold for sheets of every kind: whatever the shares by which patterns weigh 1 at most, no layout weighs more.
"""

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from plugins.group.inner import cut_apart
from plugins.group.packer import Packer
from plugins.group.weigh import cell_of

Numbers = np.ndarray[Any, Any]

CELLS = 96
"""Steps into which a side is divided where lengths have no larger common measure; then lengths are rounded down."""
UNIT = 1_000_000
"""Worths are whole numbers of which so many are the worth of a sheet: so sums are exact, and quick."""
NOTHING = -(2**30)
"""Worth of a piece that cannot hold what it must."""


class Pattern(NamedTuple):
    """How much the best pattern is worth, how often it holds each print, and the worth of every piece."""

    worth: int
    counts: Numbers
    pieces: Numbers


class Wish(NamedTuple):
    """What is looked for: worths in UNITs; with a `key`, a pattern that holds that print, `once` if so said."""

    worth: Numbers
    key: int | None = None
    once: bool = False

    @property
    def beside(self) -> Numbers:
        """The worth of each print beside the key."""
        worth = self.worth.copy()
        if self.once and self.key is not None:
            worth[self.key] = 0
        return worth


class Patterns:
    """Finds patterns of one sheet size for the prints of index `usable`, which must fit on it."""

    def __init__(self, packer: Packer, usable: list[int]) -> None:
        sides = (packer.width, packer.height)
        ways = [[(w, h) for w, h in packer.ways[i] if w <= sides[0] and h <= sides[1]] for i in usable]
        cells = [
            cell_of(side, sorted({way[axis] for here in ways for way in here}), CELLS)
            for axis, side in enumerate(sides)
        ]
        self._size = (sides[0] // cells[0], sides[1] // cells[1])
        self._ways = [[(w // cells[0], h // cells[1]) for w, h in here] for here in ways]

    def best(self, wishes: Sequence[Wish]) -> list[Pattern]:
        """Return the pattern of most worth for each wish; all at once, which is quicker than one by one."""
        pieces = self._start([wish.beside for wish in wishes])
        cut_apart(pieces, None)
        keyed = pieces.copy()
        for at, wish in enumerate(wishes):
            if wish.key is not None:
                keyed[:, at] = NOTHING
                for w, h in self._ways[wish.key]:
                    keyed[w:, at, h:] = wish.worth[wish.key]
        cut_apart(keyed, pieces)
        return [
            Pattern(int(keyed[-1, at, -1]), self._counts(wish, pieces[:, at], keyed[:, at]), pieces[:, at])
            for at, wish in enumerate(wishes)
        ]

    def in_place_of(self, k: int, pieces: Numbers) -> int:
        """Return the worth of what fits into the place of print `k`, however it lies."""
        return min(int(pieces[way]) for way in self._ways[k])

    def _start(self, worths: Sequence[Numbers]) -> Numbers:
        """Return for every width, wish and height the worth of the best single print."""
        pieces = np.zeros((self._size[0] + 1, len(worths), self._size[1] + 1), dtype=np.int32)
        for k, ways in enumerate(self._ways):
            worth = np.array([worth[k] for worth in worths], dtype=np.int32)[:, None]
            for w, h in ways:
                np.maximum(pieces[w:, :, h:], worth, out=pieces[w:, :, h:])
        return pieces

    def _counts(self, wish: Wish, pieces: Numbers, keyed: Numbers) -> Numbers:
        """Return how often the best pattern holds each print: its cuts are found again by what they are worth."""
        beside, counts = wish.beside, np.zeros(len(wish.worth), dtype=np.int64)
        waiting = [(*self._size, wish.key is not None)]
        while waiting:
            w, h, with_key = waiting.pop()
            table = keyed if with_key else pieces
            value = int(table[w, h])
            if value == 0 and not with_key:
                continue
            prints = [wish.key] if with_key and wish.key is not None else np.nonzero(beside == value)[0].tolist()
            hit = next((k for k in prints if wish.worth[k] == value and self._holds(w, h, k)), None)
            if hit is not None:
                counts[hit] += 1
                continue
            across = np.nonzero(pieces[1:w, h] + table[w - 1 : 0 : -1, h] == value)[0]
            if len(across):
                x = int(across[0]) + 1
                waiting += [(x, h, False), (w - x, h, with_key)]
            else:
                y = int(np.nonzero(pieces[w, 1:h] + table[w, h - 1 : 0 : -1] == value)[0][0]) + 1
                waiting += [(w, y, False), (w, h - y, with_key)]
        return counts

    def _holds(self, w: int, h: int, k: int) -> bool:
        return any(pw <= w and ph <= h for pw, ph in self._ways[k])
