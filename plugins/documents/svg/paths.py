"""Paths of reportlab: which way they turn, and whether anything lies within."""

from itertools import pairwise
from typing import Any

from plugins.documents.shading import Matrix

_MOVETO, _LINETO, _CURVETO, _CLOSEPATH = range(4)
_COUNTS = {_MOVETO: 2, _LINETO: 2, _CURVETO: 6, _CLOSEPATH: 0}
"""reportlab's operators, and the numbers that stand behind each."""


def is_thin(path: Any) -> bool:
    """True for single lines: nothing lies within, where pdfium draws a hair."""
    operators = path.operators
    return _CURVETO not in operators and (_LINETO, _LINETO) not in pairwise(operators)


def area(path: Any) -> float:
    """Positive or negative, as the path turns; of its corners and what bends its curves."""
    xs, ys = path.points[::2], path.points[1::2]
    total, start, place = 0.0, 0, 0
    for operator, count in ((operator, _COUNTS[operator] // 2) for operator in path.operators):
        if operator == _MOVETO:
            total += _around(xs[start:place], ys[start:place])
            start = place
        place += count
    return total + _around(xs[start:], ys[start:])


def _around(xs: list[float], ys: list[float]) -> float:
    return sum(xs[n - 1] * ys[n] - xs[n] * ys[n - 1] for n in range(len(xs)))


def turned(path: Any) -> Any:
    """The same, from its end to its beginning, each of its parts closed."""
    points, operators = path.points, path.operators
    parts: list[tuple[list[float], list[int]]] = []
    place = 0
    for operator in operators:
        count = _COUNTS[operator]
        if operator == _MOVETO:
            parts.append(([], []))
        if operator != _CLOSEPATH:
            parts[-1][0].extend(points[place : place + count])
            parts[-1][1].append(operator)
        place += count
    # Other lists: those it had may be another's.
    path.points = [
        part for numbers, _ in parts for n in range(len(numbers), 0, -2) for part in numbers[n - 2 : n]
    ]
    path.operators = [step for _, steps in parts for step in (_MOVETO, *reversed(steps[1:]), _CLOSEPATH)]
    return path


def move(path: Any, matrix: Matrix) -> None:
    """Put it elsewhere, turned and stretched."""
    a, b, c, d, e, f = matrix
    points = zip(path.points[::2], path.points[1::2], strict=True)
    path.points = [moved for x, y in points for moved in (a * x + c * y + e, b * x + d * y + f)]
