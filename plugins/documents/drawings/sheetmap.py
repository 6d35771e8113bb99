"""A transfer sheet to scale, for the one who cuts it: what lies where, and the cuts in their order."""

from collections.abc import Callable, Sequence

from attrs import frozen
from reportlab.graphics.shapes import Drawing

from pipeline.display import Display
from plugins.documents.drawings import ink

_Unit = Callable[[int], str]

_EDGE = 30.0
_DISC = 6.5
_SPOTS = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9, 0.05, 0.95)


@frozen(kw_only=True)
class MapPrint:
    """A print as it lies, in micrometres from the sheet's lower left corner.

    `number` is how the papers call it; `tint` tells neighbours apart (any number >= 0).
    """

    number: str
    x: int
    y: int
    width: int
    height: int
    turned: bool = False
    caption: str = ""
    tint: int = 0


@frozen(kw_only=True)
class MapCut:
    """A straight cut in micrometres, level or upright; `number` is its place in the order of work."""

    number: int
    x1: int
    y1: int
    x2: int
    y2: int


def sheet_map(
    *, width: int, height: int, margin: int, prints: Sequence[MapPrint], cuts: Sequence[MapCut] = (),
    display: Display = Display(), room: tuple[float, float] = (520, 640),
) -> Drawing:  # fmt: skip
    """The sheet to scale, as large as fits `room` (points). Lengths are micrometres."""
    own = display.mm if display.metric_first else display.inches
    scale = min((room[0] - 2 * _EDGE) / width, (room[1] - 2 * _EDGE) / height)
    drawing = ink.sheet(width * scale + 2 * _EDGE, height * scale + 2 * _EDGE)
    drawing.add(ink.box(_EDGE, _EDGE, width * scale, height * scale, ink.PAPER, ink.INK, 1.4))
    if margin:
        inner = ((width - 2 * margin) * scale, (height - 2 * margin) * scale)
        drawing.add(ink.box(_EDGE + margin * scale, _EDGE + margin * scale, *inner, None, ink.HAIR, 0.5, (2, 2)))
    for item in prints:
        _draw_print(drawing, item, scale, own)
    _draw_cuts(drawing, cuts, scale)
    _draw_dimensions(drawing, width, height, scale, display)
    return drawing


def _draw_print(drawing: Drawing, item: MapPrint, scale: float, own: _Unit) -> None:
    x, y = _EDGE + item.x * scale, _EDGE + item.y * scale
    wide, high = item.width * scale, item.height * scale
    drawing.add(ink.box(x, y, wide, high, ink.TINTS[item.tint % len(ink.TINTS)], ink.SOFT, 0.6))
    # The top edge of the motif is thick, so that a turned print is told from one that is not.
    top = (x + 1.2, y, x + 1.2, y + high) if item.turned else (x, y + high - 1.2, x + wide, y + high - 1.2)
    drawing.add(ink.line(*top, ink.PRINT_EDGE, 2.4))
    size = min(16.0, high * 0.5, 16.0 * (wide - 6) / max(1.0, ink.width_of(item.number, 16, bold=True)))
    if size < 4:
        return
    captions = [caption for caption in (item.caption, f"{own(item.width)} × {own(item.height)}") if caption]
    small = min(7.0, size * 0.6)
    fitting = [text for text in captions if ink.width_of(text, small) <= wide - 8]
    if size + len(fitting) * small * 1.3 > high - 8:
        fitting = []
    middle = y + high / 2 + len(fitting) * small * 0.65
    drawing.add(ink.words(x + wide / 2, middle - size * 0.36, item.number, size, anchor="middle", bold=True))
    for index, text in enumerate(fitting, 1):
        base = middle - size * 0.5 - index * small * 1.3
        drawing.add(ink.words(x + wide / 2, base, text, small, ink.SOFT, "middle"))


def _draw_cuts(drawing: Drawing, cuts: Sequence[MapCut], scale: float) -> None:
    discs: list[tuple[float, float]] = []
    for cut in cuts:
        x1, y1, x2, y2 = (_EDGE + value * scale for value in (cut.x1, cut.y1, cut.x2, cut.y2))
        drawing.add(ink.line(x1, y1, x2, y2, ink.WARN, 1, (5, 2.5)))
        discs.append(_free_spot(discs, (x1, y1), (x2, y2)))
    for cut, (x, y) in zip(cuts, discs, strict=True):
        drawing.add(ink.disc(x, y, _DISC, ink.PAPER, ink.WARN, 1))
        drawing.add(ink.words(x, y - 2.5, str(cut.number), 7, anchor="middle", bold=True))


def _free_spot(
    taken: Sequence[tuple[float, float]], start: tuple[float, float], end: tuple[float, float]
) -> tuple[float, float]:
    """A point of the cut for its number that is farthest from the numbers that stand already."""

    def clearance(spot: tuple[float, float]) -> float:
        return min((abs(spot[0] - x) + abs(spot[1] - y) for x, y in taken), default=0.0)

    spots = [(start[0] + t * (end[0] - start[0]), start[1] + t * (end[1] - start[1])) for t in _SPOTS]
    return next((spot for spot in spots if clearance(spot) > 2.5 * _DISC), max(spots, key=clearance))


def _draw_dimensions(drawing: Drawing, width: int, height: int, scale: float, display: Display) -> None:
    _ = display.language.gettext
    wide, high = width * scale, height * scale
    ink.arrow(drawing, _EDGE, _EDGE - 9, _EDGE + wide, _EDGE - 9)
    drawing.add(ink.words(_EDGE + wide / 2, _EDGE - 21, display.length(width), 8, anchor="middle"))
    ink.arrow(drawing, _EDGE - 9, _EDGE, _EDGE - 9, _EDGE + high)
    tall = _("%(length)s high", length=display.length(height))
    drawing.add(ink.words(2, _EDGE + high + 8, tall, 8))
    key = _("blue edge: top of the picture")
    beside = 2 + ink.width_of(tall, 8) + 8 + ink.width_of(key, 7) <= _EDGE + wide
    if beside:
        drawing.add(ink.words(_EDGE + wide, _EDGE + high + 8, key, 7, ink.SOFT, "end"))
    else:
        drawing.add(ink.words(2, 1, key, 7, ink.SOFT))
