"""Pens and palette of the drawings: calm, sparing with ink, readable in grey and by the colour-blind."""

from collections.abc import Callable
from typing import Literal

from reportlab.graphics.shapes import Circle, Drawing, Line, Path, Polygon, Rect, String
from reportlab.lib.colors import Color, HexColor
from reportlab.lib.utils import simpleSplit

from plugins.documents.fonts import BOLD, SANS, register, text_width

INK = HexColor("#1b1f24")
SOFT = HexColor("#57606a")
HAIR = HexColor("#b6bec7")
PAPER = HexColor("#ffffff")
CLOTH = HexColor("#f3f5f7")
PRINT = HexColor("#cfe3f5")
PRINT_EDGE = HexColor("#0f5a9c")
WARN = HexColor("#b35900")
#: Tints to tell neighbours apart; each is told by a number or word as well.
TINTS = tuple(HexColor(code) for code in ("#d6e6f4", "#fde3c4", "#d8ecd5", "#ead9ee", "#fbf0bd", "#d3ecec"))

Anchor = Literal["start", "middle", "end"]


def sheet(width: float, height: float) -> Drawing:
    """An empty drawing in points. Whole numbers, because SVG output truncates what is not."""
    register()
    return Drawing(-int(-width // 1), -int(-height // 1))


def line(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    color: Color = INK,
    width: float = 0.8,
    dash: tuple[float, ...] = (),
) -> Line:
    """A straight stroke."""
    stroke = Line(x1, y1, x2, y2)
    stroke.strokeColor, stroke.strokeWidth = color, width
    if dash:
        stroke.strokeDashArray = list(dash)
    stroke.strokeLineCap = 0
    return stroke


def box(
    x: float, y: float, width: float, height: float,
    fill: Color | None = None, edge: Color | None = INK, pen: float = 0.8, dash: tuple[float, ...] = (),
) -> Rect:  # fmt: skip
    """A rectangle by its lower left corner."""
    shape = Rect(x, y, width, height)
    shape.fillColor, shape.strokeColor, shape.strokeWidth = fill, edge, pen
    if dash:
        shape.strokeDashArray = list(dash)
    return shape


def disc(x: float, y: float, radius: float, fill: Color = PAPER, edge: Color = INK, pen: float = 0.8) -> Circle:
    """A filled circle by its centre."""
    shape = Circle(x, y, radius)
    shape.fillColor, shape.strokeColor, shape.strokeWidth = fill, edge, pen
    return shape


def corners(points: tuple[tuple[float, float], ...], fill: Color = INK) -> Polygon:
    """A filled shape by its corners, without an edge."""
    shape = Polygon([number for point in points for number in point])
    shape.fillColor, shape.strokeColor = fill, None
    return shape


def words(
    x: float,
    y: float,
    text: str,
    size: float = 8,
    color: Color = INK,
    anchor: Anchor = "start",
    bold: bool = False,
) -> String:
    """One line of text by its base line."""
    string = String(x, y, text)
    string.fontName, string.fontSize = (BOLD if bold else SANS), size
    string.fillColor, string.textAnchor = color, anchor
    return string


def width_of(text: str, size: float = 8, bold: bool = False) -> float:
    """Width in points of one line of text."""
    return text_width(text, BOLD if bold else SANS, size)


def broken(text: str, width: float, size: float = 8, bold: bool = False) -> list[str]:
    """The text in lines of at most `width` points (a longer word stands alone)."""
    register()
    return list(simpleSplit(text, BOLD if bold else SANS, size, width))


def stroke_path(
    commands: str, scale: float, x: float, y: float, fill: Color | None, pen: float, dash: tuple[float, ...] = ()
) -> Path:
    """A path written as in SVG (absolute M, L, C and Z only), y upwards, scaled and moved to (x, y)."""
    path = Path()
    path.fillColor, path.strokeColor, path.strokeWidth = fill, (INK if pen else None), pen
    if dash:
        path.strokeDashArray = list(dash)
    path.strokeLineJoin, path.strokeLineCap = 1, 1
    steps = commands.replace(",", " ").split()
    calls: dict[str, tuple[Callable[..., None], int]] = {
        "M": (path.moveTo, 2),
        "L": (path.lineTo, 2),
        "C": (path.curveTo, 6),
    }
    at = 0
    while at < len(steps):
        letter = steps[at]
        if letter == "Z":
            path.closePath()
            at += 1
            continue
        call, count = calls[letter]
        numbers = [float(step) * scale for step in steps[at + 1 : at + 1 + count]]
        call(*(number + (y if index % 2 else x) for index, number in enumerate(numbers)))
        at += 1 + count
    return path


def arrow(
    drawing: Drawing, x1: float, y1: float, x2: float, y2: float, color: Color = INK, head: float = 5
) -> None:
    """A dimension line, level or upright, with a head at both ends."""
    drawing.add(line(x1, y1, x2, y2, color, 1))
    length = abs(x2 - x1) + abs(y2 - y1)
    if length < 2.2 * head:
        head = length / 2.2
    across = (0, head * 0.35) if y1 == y2 else (head * 0.35, 0)
    along = (head if x2 >= x1 else -head, 0) if y1 == y2 else (0, head if y2 >= y1 else -head)
    for x, y, sign in ((x1, y1, 1), (x2, y2, -1)):
        base = (x + sign * along[0], y + sign * along[1])
        tip_left = (base[0] + across[0], base[1] + across[1])
        tip_right = (base[0] - across[0], base[1] - across[1])
        drawing.add(corners(((x, y), tip_left, tip_right), color))
