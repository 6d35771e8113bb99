"""Codes that a scanner reads, as drawings: QR (ISO/IEC 18004), Code 128 (ISO/IEC 15417) and GS1-128."""

import segno
from reportlab.graphics.barcode import createBarcodeDrawing
from reportlab.graphics.shapes import Drawing, Group, Path, String
from reportlab.lib.colors import black

from plugins.documents.fonts import MONO, register

_QUIET_MODULES = 4
QR_SIZE = 0.8 * 72
_BAR = 1.0
_BAR_HEIGHT = 26.0
_LABEL = 7.5
_QUIET_BARS = 10 * _BAR
# GS1 General Specifications, logistic units: bars of 0.495 mm at least, 31.75 mm high (from memory).
_GS1_BAR = 0.495 / 25.4 * 72
_GS1_HEIGHT = 31.75 / 25.4 * 72
_GS1_LABEL = 11.0
_FNC1 = "\xf1"  # reportlab's way to write the function character


def qr(value: str, size: float = QR_SIZE) -> Drawing:
    """A QR code `size` points wide, its quiet zone of four modules included.

    Raises ValueError when the text is longer than a code can hold.
    """
    matrix = segno.make(value, micro=False, error="m").matrix
    modules = len(matrix) + 2 * _QUIET_MODULES
    module = size / modules
    # One shape for all: a shape for each run of modules would take ten times as long to draw.
    dark = Path(fillColor=black, strokeColor=None)
    for y, row in enumerate(matrix):
        bottom = size - (y + _QUIET_MODULES + 1) * module
        for x, length in _runs(row):
            left = (x + _QUIET_MODULES) * module
            right = left + length * module
            dark.moveTo(left, bottom)
            dark.lineTo(right, bottom)
            dark.lineTo(right, bottom + module)
            dark.lineTo(left, bottom + module)
            dark.closePath()
    return Drawing(size, size, dark)


def _runs(row: bytearray) -> list[tuple[int, int]]:
    """(start, length) of each run of dark modules: one rectangle each leaves no hairlines between."""
    runs: list[tuple[int, int]] = []
    for x, dark in enumerate(row):
        if dark and runs and sum(runs[-1]) == x:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        elif dark:
            runs.append((x, 1))
    return runs


def code128(value: str) -> Drawing:
    """A Code 128 bar code with 1 pt bars, ten bars of quiet zone at both ends, and its text below.

    Raises ValueError for characters outside ASCII, which the code does not have.
    """
    if not value.isascii() or not value:
        raise ValueError(f"a bar code holds plain ASCII text, not {value!r}")
    register()
    drawing: Drawing = createBarcodeDrawing(  # type: ignore[no-untyped-call]
        "Code128",
        value=value,
        barWidth=_BAR,
        barHeight=_BAR_HEIGHT,
        lquiet=_QUIET_BARS,
        rquiet=_QUIET_BARS,
        humanReadable=True,
        fontName=MONO,
        fontSize=_LABEL,
    )
    return drawing


def gs1_128(sscc: str) -> Drawing:
    """A Serial Shipping Container Code as GS1-128, with application identifier 00, and its text below.

    Raises ValueError for anything but 18 digits.
    """
    if not (sscc.isascii() and sscc.isdecimal() and len(sscc) == 18):
        raise ValueError(f"a container code has 18 digits, not {sscc!r}")
    register()
    bars: Drawing = createBarcodeDrawing(  # type: ignore[no-untyped-call]
        "Code128",
        value=f"{_FNC1}00{sscc}",
        barWidth=_GS1_BAR,
        barHeight=_GS1_HEIGHT,
        lquiet=10 * _GS1_BAR,
        rquiet=10 * _GS1_BAR,
        humanReadable=False,
    )
    foot = _GS1_LABEL * 1.3
    drawing = Drawing(bars.width, bars.height + foot)
    drawing.add(Group(*bars.contents, transform=(1, 0, 0, 1, 0, foot)))
    text = String(bars.width / 2, _GS1_LABEL * 0.3, f"(00){sscc}")
    text.fontName, text.fontSize, text.textAnchor = MONO, _GS1_LABEL, "middle"
    drawing.add(text)
    return drawing
