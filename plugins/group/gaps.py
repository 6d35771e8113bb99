"""Lay prints from the bottom of a sheet up, always into the lowest gap: the one that leaves the fewest steps.

Quick, and dense where there are many small prints to choose from. What lies on the sheet makes steps; the lowest
one is a gap between its neighbours. After Burke, Kendall & Whitwell 2004, A new placement heuristic for the
orthogonal stock-cutting problem; that steps are counted is an idea of Leung, Zhang & Sim 2011, A two-stage
intelligent search algorithm for the two-dimensional strip packing problem (both from memory).
"""

from collections.abc import Iterable, Sequence

from plugins.group.rooms import Free, Way

Step = tuple[int, int, int]
"""x, y and width."""


def fill_gaps(size: Way, ways: Sequence[tuple[Way, ...]], queue: list[int]) -> list[Free | None]:
    """Return where each print of `queue` (by index) lies on a sheet of this `size`, None where it does not.

    Of prints that suit a gap equally the first in the queue is laid.
    """
    width, height = size
    steps: list[Step] = [(0, 0, width)]
    places: list[Free | None] = [None] * len(queue)
    waiting = list(range(len(queue)))
    while True:
        low = min(range(len(steps)), key=lambda k: steps[k][1])
        x, y, w = steps[low]
        if y >= height:
            return places
        # The walls are as high as the sheet.
        left = (steps[low - 1][1] if low else height) - y
        right = (steps[low + 1][1] if low + 1 < len(steps) else height) - y
        best, chosen, way = -1, -1, (0, 0)
        for at in waiting:
            for pw, ph in ways[queue[at]]:
                if pw <= w and ph <= height - y:
                    score = 4 * (pw == w) + 2 * (ph == max(left, right)) + (ph == min(left, right))
                    if score > best:
                        best, chosen, way = score, at, (pw, ph)
        if best < 0:
            laid = [(x, y + min(left, right), w)]
        else:
            pw, ph = way
            at_right = ph == right if (ph == left) != (ph == right) else right > left
            start = x + w - pw if at_right else x
            places[chosen] = (start, y, pw, ph)
            waiting.remove(chosen)
            laid = [(x, y, start - x), (start, y + ph, pw), (start + pw, y, x + w - start - pw)]
        steps = _joined((*steps[:low], *laid, *steps[low + 1 :]))


def _joined(steps: Iterable[Step]) -> list[Step]:
    """Make one step of neighbours that are level, and drop those without width."""
    joined: list[Step] = []
    for x, y, w in steps:
        if joined and joined[-1][1] == y:
            x, _, before = joined.pop()
            w += before
        if w:
            joined.append((x, y, w))
    return joined
