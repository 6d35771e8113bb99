"""Which prints no sheet holds that falls apart by straight cuts: found by trying all ways to cut, and so proven.

Whatever lies together on a sheet lies in some rectangle, which a straight cut parts into two. So the least rectangles
that hold a set of prints come from those of its two parts, side by side or one above the other (Wang 1983, Operations
Research 31:573-586, builds layouts so; from memory).
"""

from collections.abc import Sequence
from itertools import product

from plugins.group.rooms import Way

Counts = tuple[int, ...]
Corner = tuple[int, int]


def misfits(ways: Sequence[tuple[Way, ...]], counts: Counts, size: Way) -> list[Counts]:
    """Return the least sets of prints that no sheet of this size holds: all within `counts` of each of the prints.

    `ways` are the widths and heights in which each may lie. None is found where all of them fit together.
    """
    least: dict[Counts, list[Corner]] = {}
    found = []
    for some in product(*(range(count + 1) for count in counts)):
        if not any(some):
            continue
        fewer = [(*some[:k], n - 1, *some[k + 1 :]) for k, n in enumerate(some) if n]
        if sum(some) == 1:
            least[some] = _least([way for k, n in enumerate(some) if n for way in ways[k]], size)
        elif not all(least[one] for one in fewer):
            least[some] = []
            continue
        else:
            least[some] = _least(_joined(least, some), size)
        if not least[some]:
            found.append(some)
    return found


def _joined(least: dict[Counts, list[Corner]], whole: Counts) -> list[Corner]:
    """Return the rectangles of two parts side by side and one above the other."""
    corners = []
    for part in product(*(range(n + 1) for n in whole)):
        rest = tuple([n - m for n, m in zip(whole, part, strict=True)])
        if any(part) and part <= rest:
            for w, h in least[part]:
                for x, y in least[rest]:
                    corners += [(w + x, max(h, y)), (max(w, x), h + y)]
    return corners


def _least(corners: list[Corner], size: Way) -> list[Corner]:
    """Return those within the sheet that no other one is within, the narrowest first."""
    kept: list[Corner] = []
    for w, h in sorted(corners):
        if w <= size[0] and h <= size[1] and (not kept or h < kept[-1][1]):
            kept.append((w, h))
    return kept
