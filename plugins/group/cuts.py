"""The cutting sequence of a sheet: straight cuts through whole pieces until every print is by itself."""

from collections.abc import Iterator, Sequence

from plugins.group.problem import Cut, Placement

Piece = tuple[int, int, int, int]
"""A piece of the sheet: left, bottom, right, top."""


def cutting_sequence(placements: Sequence[Placement], width: int, height: int) -> tuple[Cut, ...] | None:
    """Return the cuts in the order of work with as few stages as possible; None where there is no such sequence.

    Every cut runs midway between its neighbours. Once a piece has been cut one way wherever that is possible,
    its parts can only be cut the other way: so the one choice there is, is which way to start.
    """
    ways = [_cuts(list(placements), (0, 0, width, height), upright, 1) for upright in (False, True)]
    found = [cuts for cuts in ways if cuts is not None]
    if not found:
        return None
    best = min(found, key=lambda cuts: max((cut.stage for cut in cuts), default=0))
    return tuple(sorted(best, key=lambda cut: cut.stage))


def _cuts(placed: list[Placement], piece: Piece, upright: bool, stage: int) -> list[Cut] | None:
    """Return the cuts that part `placed`, the first ones upright or level; None if they cannot be parted."""
    if len(placed) < 2:
        return []
    left, bottom, right, top = piece
    groups = list(_groups(placed, upright))
    if len(groups) == 1:
        return None
    cuts: list[Cut] = []
    inner: list[Cut] = []
    start = left if upright else bottom
    for group, end in groups:
        last = end is None
        stop = end if end is not None else (right if upright else top)
        part = (start, bottom, stop, top) if upright else (left, start, right, stop)
        below = _cuts(group, part, not upright, stage + 1)
        if below is None:
            return None
        inner += below
        if not last:
            line = (stop, bottom, stop, top) if upright else (left, stop, right, stop)
            cuts.append(Cut(stage=stage, x1=line[0], y1=line[1], x2=line[2], y2=line[3]))
        start = stop
    return cuts + inner


def _groups(placed: list[Placement], upright: bool) -> Iterator[tuple[list[Placement], int | None]]:
    """Part prints wherever a line touches none; yield each group with the line after it (None: the last)."""
    spans = sorted(((p.x, p.x + p.width, p) if upright else (p.y, p.y + p.height, p)) for p in placed)
    group: list[Placement] = []
    reach = spans[0][0]
    for start, end, placement in spans:
        if group and start >= reach:
            yield group, (reach + start) // 2
            group = []
        group.append(placement)
        reach = max(reach, end)
    yield group, None
