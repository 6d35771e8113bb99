"""The press schedule as bars for the page: pointing at a run tells all about it, and shows its order's other runs."""

from collections.abc import Sequence
from datetime import timedelta
from xml.etree.ElementTree import Element

from plugins.documents.desk import FloorDesk
from plugins.documents.drawings import ink
from plugins.documents.drawings.axis import FOLD, Axis, stretches
from plugins.documents.drawings.bars import MEANING, Bar, BarKind
from plugins.documents.page import svg

_HEAD, _ROW, _BAR, _STRIP, _LABEL = 40.0, 44.0, 28.0, 5.0, 11.0
_NAME = 12.0
#: On a phone most of the width is for the bars.
_NAME_WIDE = 110.0
#: Points for an hour at least: a run of ten minutes can still be pointed at.
_HOUR_WIDE = 36.0
_WIDE = 1_080.0
_HOUR = timedelta(hours=1)


def presses_view(desk: FloorDesk, rows: Sequence[str], bars: Sequence[Bar], about: str) -> str:
    """The bars by `rows`, as wide as their hours need."""
    shown = stretches((bar.start, bar.end) for bar in bars)
    hours = sum((end - start) / _HOUR for start, end in shown)
    names = [ink.broken(row, _NAME_WIDE, _NAME, bold=True) for row in rows]
    left = max(ink.width_of(said, _NAME, bold=True) for lines in names for said in lines) + 14
    lines = [1 + max((bar.line for bar in bars if bar.row == row), default=0) for row in rows]
    highs = [max(_ROW * count, len(said) * _NAME * 1.15 + 6) for count, said in zip(lines, names, strict=True)]
    folds = FOLD * (len(shown) - 1)
    scale = max(_HOUR_WIDE, (_WIDE - left - folds) / hours) / 3600
    axis = Axis(stretches=shown, left=left, scale=scale)
    width, height = left + folds + hours * 3600 * scale + 2, _HEAD + sum(highs) + 1
    figure, drawing = svg.view(about, width, height)
    _draw_hours(drawing, desk, axis, height)
    top = _HEAD
    for row, said, high in zip(rows, names, highs, strict=True):
        svg.line(drawing, 0, top, width, top, "hair")
        for place, words in enumerate(said):
            base = top + high / 2 + 4 + _NAME * 1.15 * (place - (len(said) - 1) / 2)
            svg.words(drawing, 2, base, words, _NAME, "strong")
        for bar in bars:
            if bar.row == row:
                _draw_bar(drawing, desk, axis, bar, top + bar.line * _ROW)
        top += high
    svg.line(drawing, 0, height - 0.5, width, height - 0.5, "hair")
    return svg.as_html(figure)


def _draw_hours(drawing: Element, desk: FloorDesk, axis: Axis, height: float) -> None:
    day, named = None, 0.0
    for index, (start, end) in enumerate(axis.stretches):
        if index:
            svg.rect(drawing, axis.x(start) - FOLD, _HEAD - 8, FOLD, height - _HEAD + 8, "night")
        moment = start
        while moment <= end:
            x = axis.x(moment)
            svg.line(drawing, x, _HEAD - 6, x, height, "hair")
            if moment.date() != day and moment < end:
                day = moment.date()
                named = max(x + 2, named)
                svg.words(drawing, named, 14, desk.display.day(moment), _NAME, "strong")
                named += ink.width_of(desk.display.day(moment), _NAME, bold=True) + 8
            if moment < end:
                svg.words(drawing, x + 2, _HEAD - 10, f"{moment.hour}:00", 10, "soft")
            moment += _HOUR


def _draw_bar(drawing: Element, desk: FloorDesk, axis: Axis, bar: Bar, line: float) -> None:
    x = axis.x(bar.start)
    width = max(1.0, axis.x(bar.end) - x)
    about = f"{bar.about} · {desk.language.gettext(MEANING[bar.kind])}"
    group = svg.part(drawing, (bar.job,), about, bar.kind)
    top = line + (_ROW - _BAR) / 2
    if bar.kind is BarKind.COOL:
        svg.rect(group, x, top - _STRIP - 1, max(2.0, width), _STRIP)
        return
    if bar.kind is BarKind.CHANGE:
        svg.rect(group, x, top + _BAR * 0.25, width, _BAR * 0.5)
        return
    svg.rect(group, x, top, width, _BAR, round_by=min(3.0, width / 2))
    whole = bar.label
    for said in (whole, whole.partition(" ")[0]):
        if said and ink.width_of(said, _LABEL) <= width - 4:
            svg.words(group, x + width / 2, top + _BAR / 2 + 4, said, _LABEL, "centred")
            break
