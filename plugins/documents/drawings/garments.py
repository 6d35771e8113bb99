"""Where a print goes: the garment's outline, the print in true proportion, and the measures to set it by.

The measures carry letters; beside the drawing each letter's figure stands large, to be read from two metres.
"""

from attrs import frozen
from reportlab.graphics.shapes import Drawing, Image

from pipeline.display import Display
from pipeline.language import N_, Language
from plugins.documents.canvas import Picture
from plugins.documents.drawings import ink
from plugins.documents.drawings.outline import Anchor, OutlineView
from plugins.documents.drawings.outlines import outline_view
from plugins.documents.words import ANCHOR_WORDS

_LIST_WIDTH = 190.0
_FOOT = 30.0
_HEAD = 24.0
_DISC = 8.0
_GAP = 13.0
_VIEWS = {
    "front": N_("Front"),
    "back": N_("Back"),
    "left": N_("Wearer's left side"),
    "right": N_("Wearer's right side"),
}
_HANDS = (N_("wearer's left"), N_("wearer's right"))


@frozen(kw_only=True)
class _Spot:
    """A print's place, in micrometres."""

    anchor: str
    down: int
    across: int
    width: int
    height: int


def anchors(outline: str, view: str) -> tuple[str, ...]:
    """The anchors that an outline has on this side. Raises ValueError when there is no such outline or side."""
    return tuple(outline_view(outline, view).anchors)


def placement_drawing(
    outline: str,
    view: str,
    *,
    anchor: str,
    down: int,
    across: int,
    print_width: int,
    print_height: int,
    picture: Picture | None = None,
    display: Display = Display(),
    room: tuple[float, float] = (520, 330),
) -> Drawing:
    """The placement drawn as large as fits `room` (points): outline left, measures right.

    `view` is front, back, left or right. Lengths are micrometres: `down` goes from the anchor to the print's
    nearest edge, `across` from the centre line to the print's centre, positive towards the wearer's left.
    Raises ValueError when the outline has no such view or anchor.
    """
    spot = _Spot(anchor=anchor, down=down, across=across, width=print_width, height=print_height)
    side = outline_view(outline, view)
    if spot.anchor not in side.anchors:
        known = ", ".join(side.anchors)
        raise ValueError(f"the {view} of {outline!r} has no {spot.anchor!r} to measure from; it has {known}")
    drawing = ink.sheet(*room)
    low, high = side.extent
    scale = min((room[0] - _LIST_WIDTH) / 100, (room[1] - _FOOT - _HEAD) / (high - low))
    x = (room[0] - _LIST_WIDTH - 100 * scale) / 2
    y = _FOOT + (room[1] - _FOOT - _HEAD - (high - low) * scale) / 2 - low * scale
    stage = _Stage(drawing=drawing, scale=scale, x=x, y=y, side=side)
    _draw_garment(stage)
    _draw_sides(stage, view, room, display.language)
    marks = _draw_print(stage, view, spot, picture, display.language)
    _list_measures(drawing, marks, display, room)
    return drawing


@frozen(kw_only=True)
class _Stage:
    """The drawing, and how the outline's grid lies in it."""

    drawing: Drawing
    scale: float
    x: float
    y: float
    side: OutlineView

    def at(self, grid_x: float, grid_y: float) -> tuple[float, float]:
        """A grid point in points."""
        return self.x + grid_x * self.scale, self.y + grid_y * self.scale

    def length(self, micrometres: int) -> float:
        """A length of cloth in points."""
        return micrometres / self.side.unit * self.scale


@frozen(kw_only=True)
class _Measure:
    """One lettered measure: micrometres, and what it is."""

    letter: str
    length: int
    meaning: str


def _draw_garment(stage: _Stage) -> None:
    place = (stage.scale, stage.x, stage.y)
    for shape in stage.side.shapes:
        stage.drawing.add(ink.stroke_path(shape, *place, fill=ink.CLOTH, pen=1.3))
    for seam in stage.side.seams:
        stage.drawing.add(ink.stroke_path(seam, *place, fill=None, pen=0.8))
    for stitch in stage.side.stitches:
        stage.drawing.add(ink.stroke_path(stitch, *place, fill=None, pen=0.5, dash=(2, 1.6)))
    for x, y in stage.side.dots:
        stage.drawing.add(ink.disc(*stage.at(x, y), stage.scale * 0.9, ink.PAPER, ink.INK, 0.8))


def _draw_sides(stage: _Stage, view: str, room: tuple[float, float], language: Language) -> None:
    """The view's name, the centre line, and which side is whose: a mirrored left chest is a spoilt shirt."""
    _, x = language.gettext, stage.at(50, 0)[0]
    stage.drawing.add(ink.line(x, _FOOT - 4, x, room[1] - 2, ink.SOFT, 0.6, (8, 2, 2, 2)))
    stage.drawing.add(ink.words(x, _FOOT - 14, _("centre line"), 7.5, ink.SOFT, "middle"))
    stage.drawing.add(ink.words(0, room[1] - 13, _(_VIEWS[view]), 13, bold=True))
    if view in ("front", "back"):
        hands = [_(hand) for hand in (_HANDS if view == "back" else _HANDS[::-1])]
        stage.drawing.add(ink.words(0, 3, f"\N{LEFTWARDS ARROW} {hands[0]}", 8.5, ink.SOFT))
        edge = room[0] - _LIST_WIDTH
        stage.drawing.add(ink.words(edge, 3, f"{hands[1]} \N{RIGHTWARDS ARROW}", 8.5, ink.SOFT, "end"))


def _draw_print(
    stage: _Stage, view: str, spot: _Spot, picture: Picture | None, language: Language
) -> list[_Measure]:
    anchor = stage.side.anchors[spot.anchor]
    # Seen from the front the wearer's left is on the viewer's right.
    sign = -1 if view == "back" else 1
    centre, level = stage.at(50, anchor.y)
    x = centre + sign * stage.length(spot.across)
    wide, high = stage.length(spot.width), stage.length(spot.height)
    bottom = level + stage.length(spot.down) if anchor.up else level - stage.length(spot.down) - high
    stage.drawing.add(ink.box(x - wide / 2, bottom, wide, high, ink.PRINT, ink.PRINT_EDGE, 1.2))
    if picture is not None:
        inset = (x - wide / 2 + 0.6, bottom + 0.6, wide - 1.2, high - 1.2)
        stage.drawing.add(Image(*inset, picture))
    return [
        _measure_down(stage, spot, anchor, x, bottom if anchor.up else bottom + high, language),
        *_measure_across(stage, spot, x, bottom + high if anchor.up else bottom, language, upwards=anchor.up),
        *_measure_print(stage, spot, (x, bottom, wide, high), language, upwards=anchor.up),
    ]


def _measure_down(
    stage: _Stage, spot: _Spot, anchor: Anchor, x: float, edge: float, language: Language
) -> _Measure:
    anchor_x, level = stage.at(anchor.x if x >= stage.at(50, 0)[0] else 100 - anchor.x, anchor.y)
    reach = 16.0
    left, right = min(anchor_x, x) - reach, max(anchor_x, x) + reach
    stage.drawing.add(ink.line(left, level, right, level, ink.WARN, 1, (4, 2)))
    ink.arrow(stage.drawing, x, level, x, edge, ink.WARN)
    middle = (level + edge) / 2
    _letter(stage.drawing, "A", x - _DISC - 4 if abs(level - edge) < 3 * _DISC else x, middle)
    where = N_("above the %(anchor)s") if anchor.up else N_("below the %(anchor)s")
    meaning = language.gettext(where, anchor=language.gettext(ANCHOR_WORDS[spot.anchor]))
    return _Measure(letter="A", length=spot.down, meaning=meaning)


def _measure_across(
    stage: _Stage, spot: _Spot, x: float, edge: float, language: Language, *, upwards: bool
) -> list[_Measure]:
    if not spot.across:
        return []
    centre = stage.at(50, 0)[0]
    y = edge + 2 * _GAP + 6 if upwards else edge - 2 * _GAP - 6
    stage.drawing.add(ink.line(x, edge, x, y, ink.WARN, 0.7, (2, 2)))
    ink.arrow(stage.drawing, centre, y, x, y, ink.WARN)
    short = abs(x - centre) < 4 * _DISC
    _letter(stage.drawing, "B", (centre + x) / 2, y + (_DISC + 4 if upwards else -_DISC - 4) if short else y)
    hand = language.gettext(_HANDS[0] if spot.across > 0 else _HANDS[1])
    meaning = language.gettext("from the centre line, %(hand)s", hand=hand)
    return [_Measure(letter="B", length=abs(spot.across), meaning=meaning)]


def _measure_print(
    stage: _Stage, spot: _Spot, area: tuple[float, float, float, float], language: Language, *, upwards: bool
) -> list[_Measure]:
    x, bottom, wide, high = area
    y = bottom + high + _GAP if upwards else bottom - _GAP
    ink.arrow(stage.drawing, x - wide / 2, y, x + wide / 2, y, ink.PRINT_EDGE)
    _letter(stage.drawing, "C", x + wide / 2 + _DISC + 3 if wide < 7 * _DISC else x + wide / 4, y)
    right = x + wide / 2 + _GAP - 2
    ink.arrow(stage.drawing, right, bottom, right, bottom + high, ink.PRINT_EDGE)
    _letter(stage.drawing, "D", right + (_DISC + 3 if high < 4 * _DISC else 0), bottom + high / 2)
    return [
        _Measure(letter="C", length=spot.width, meaning=language.gettext("width of the print")),
        _Measure(letter="D", length=spot.height, meaning=language.gettext("height of the print")),
    ]


def _letter(drawing: Drawing, letter: str, x: float, y: float) -> None:
    drawing.add(ink.disc(x, y, _DISC, ink.PAPER, ink.INK, 1))
    drawing.add(ink.words(x, y - 3.3, letter, 9.5, anchor="middle", bold=True))


def _list_measures(
    drawing: Drawing, measures: list[_Measure], display: Display, room: tuple[float, float]
) -> None:
    x = room[0] - _LIST_WIDTH + 14
    step = min(62.0, (room[1] - 20) / len(measures))
    y = room[1] / 2 + step * len(measures) / 2
    for measure in measures:
        first, second = display.inches(measure.length), display.mm(measure.length)
        if display.metric_first:
            first, second = second, first
        _letter(drawing, measure.letter, x + _DISC, y - 20)
        drawing.add(ink.words(x + 24, y - 27, first, 21, bold=True))
        after = x + 24 + ink.width_of(first, 21, bold=True) + 6
        drawing.add(ink.words(after, y - 27, second, 11))
        drawing.add(ink.words(x + 24, y - 40, measure.meaning, 8, ink.SOFT))
        y -= step
