"""A bar of the schedule: what it stands for, and its sign, which needs no colour."""

from datetime import datetime
from enum import StrEnum

from attrs import frozen
from reportlab.graphics.shapes import Drawing

from pipeline.language import N_
from plugins.documents.drawings import ink

HIGH = 20.0
STRIP = 6.0


class BarKind(StrEnum):
    """What a bar stands for."""

    PRESS = "press"
    CHANGE = "change"
    COOL = "cool"
    LATE = "late"


MEANING = {
    BarKind.PRESS: N_("pressing"),
    BarKind.CHANGE: N_("changing over"),
    BarKind.COOL: N_("cooling and peeling"),
    BarKind.LATE: N_("pressing, order late"),
}


@frozen(kw_only=True)
class Bar:
    """One bar in a row. Times are zone-aware.

    Bars of one line of a row do not overlap. What cools and is peeled goes on beside them: it has no line and no
    label, and lies in a strip above.
    """

    row: str
    line: int = 0
    start: datetime
    end: datetime
    label: str = ""
    kind: BarKind = BarKind.PRESS
    #: The order, and what a page says of the bar when it is pointed at.
    job: str = ""
    about: str = ""


def draw_bar(drawing: Drawing, x: float, y: float, width: float, kind: BarKind) -> None:
    """One bar by its lower left corner."""
    width = max(width, 0.8)
    if kind is BarKind.PRESS:
        drawing.add(ink.box(x, y, width, HIGH, ink.PRINT, ink.PRINT_EDGE, 0.8))
    elif kind is BarKind.CHANGE:
        drawing.add(ink.box(x, y + HIGH * 0.25, width, HIGH * 0.5, ink.PAPER, None))
        hatch(drawing, x, y + HIGH * 0.25, width, HIGH * 0.5, 3)
        drawing.add(ink.box(x, y + HIGH * 0.25, width, HIGH * 0.5, None, ink.SOFT, 0.5))
    elif kind is BarKind.COOL:
        drawing.add(ink.box(x, y, max(width, 1.5), STRIP - 2, ink.SOFT, None))
    else:
        drawing.add(ink.box(x, y, width, HIGH, ink.TINTS[1], ink.WARN, 1.8))
        drawing.add(ink.line(x, y + HIGH - 3, x + width, y + HIGH - 3, ink.WARN, 1, (3, 2)))


def hatch(drawing: Drawing, x: float, y: float, width: float, height: float, step: float) -> None:
    """Diagonal lines that stay inside a rectangle: a sign that does not need colour."""
    offset = step - height
    while offset < width:
        x1, x2 = max(offset, 0.0), min(offset + height, width)
        drawing.add(ink.line(x + x1, y + x1 - offset, x + x2, y + x2 - offset, ink.SOFT, 0.35))
        offset += step
