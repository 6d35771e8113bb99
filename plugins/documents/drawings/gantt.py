"""The press schedule as bars: a row for each press or person, hours from left to right, empty nights folded away."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from attrs import evolve, frozen
from reportlab.graphics.shapes import Drawing

from pipeline.display import Display
from pipeline.language import Language
from plugins.documents.drawings import ink
from plugins.documents.drawings.axis import FOLD, Axis, stretches
from plugins.documents.drawings.bars import HIGH, MEANING, STRIP, Bar, BarKind, draw_bar, hatch

_LANE = 11.0
_PAD = 7.0
_LABEL = 7.5
_TITLE = 8.5
_TITLE_WIDTH = 130.0
_HEAD = 34.0
_LEGEND = 22.0
_HOUR = timedelta(hours=1)


def gantt(
    bars: Sequence[Bar],
    *,
    rows: Sequence[str],
    pauses: Sequence[tuple[datetime, datetime]] = (),
    display: Display = Display(),
    width: float = 720,
) -> Drawing:
    """The bars by `rows`, `width` points wide; as high as its rows and labels need.

    `pauses` (lunch, say) are shaded where they fall into open time. A label stands in its bar, right of it where
    there is room, or on a line below, so that no label covers anything. Raises ValueError when there is no bar.
    """
    if not bars:
        raise ValueError("a schedule without a bar cannot be drawn")
    titles = {row: ink.broken(row, _TITLE_WIDTH, _TITLE, bold=True) for row in rows}
    left = max(ink.width_of(line, _TITLE, bold=True) for lines in titles.values() for line in lines) + 14
    shown = stretches((bar.start, bar.end) for bar in bars)
    seconds = sum((end - start).total_seconds() for start, end in shown)
    room = width - left - 4 - FOLD * (len(shown) - 1)
    axis = Axis(stretches=shown, left=left, scale=room / seconds)
    axis = evolve(axis, scale=min([axis.scale, *_scales_that_leave_room(bars, axis, width)]))
    made = [_row([bar for bar in bars if bar.row == row], titles[row], axis, width) for row in rows]
    height = _HEAD + sum(row.height for row in made) + _LEGEND
    drawing = ink.sheet(width, height)
    _draw_axis(drawing, axis, pauses, height, display)
    top = height - _HEAD
    for row in made:
        drawing.add(ink.line(0, top, width, top, ink.HAIR, 0.5))
        _draw_row(drawing, row, axis, top)
        top -= row.height
    drawing.add(ink.line(0, top, width, top, ink.HAIR, 0.5))
    _draw_legend(drawing, {bar.kind for bar in bars}, left, display.language)
    return drawing


def _scales_that_leave_room(bars: Sequence[Bar], axis: Axis, width: float) -> Iterator[float]:
    """For each bar the largest scale at which its label, begun with the bar, ends before the right edge."""
    for bar in bars:
        fixed, x = evolve(axis, scale=0).x(bar.start), axis.x(bar.start)
        if x > fixed:
            seconds = (x - fixed) / axis.scale
            yield max(0.0, width - fixed - ink.width_of(bar.label, _LABEL) - 5) / seconds


@frozen(kw_only=True)
class _Label:
    """Where a bar's label stands: lane 0 on the bar's own line, 1 and more on the lines below."""

    bar: Bar
    x: float
    lane: int = 0
    inside: bool = False


@frozen(kw_only=True)
class _Row:
    """A row as it is drawn: its name, what cools meanwhile, and line by line its bars with their labels."""

    title: Sequence[str]
    beside: Sequence[Bar]
    lines: Sequence[tuple[Sequence[Bar], Sequence[_Label]]]

    @property
    def strip(self) -> float:
        return STRIP if self.beside else 0.0

    @property
    def height(self) -> float:
        return _PAD + self.strip + sum(_line_height(labels) for _, labels in self.lines)


def _row(bars: Sequence[Bar], title: Sequence[str], axis: Axis, width: float) -> _Row:
    beside = [bar for bar in bars if bar.kind is BarKind.COOL]
    own = sorted((bar for bar in bars if bar.kind is not BarKind.COOL), key=lambda bar: (bar.start, bar.end))
    lines = [
        [bar for bar in own if bar.line == line] for line in range(1 + max((b.line for b in own), default=0))
    ]
    return _Row(title=title, beside=beside, lines=[(line, _place_labels(line, axis, width)) for line in lines])


def _line_height(labels: Sequence[_Label]) -> float:
    return HIGH + _PAD + _LANE * max((label.lane for label in labels), default=0)


def _place_labels(bars: Sequence[Bar], axis: Axis, width: float) -> tuple[_Label, ...]:
    placed: list[_Label] = []
    lane_starts: list[float] = []
    # From right to left: a leader then passes only labels that begin right of it.
    for index, bar in reversed(list(enumerate(bars))):
        if not bar.label:
            continue
        need = ink.width_of(bar.label, _LABEL) + 5
        x1, x2 = axis.x(bar.start), axis.x(bar.end)
        next_x = axis.x(bars[index + 1].start) if index + 1 < len(bars) else width
        if need <= x2 - x1:
            placed.append(_Label(bar=bar, x=(x1 + x2 - need) / 2 + 2.5, inside=True))
        elif need + 2 <= next_x - x2:
            placed.append(_Label(bar=bar, x=x2 + 3))
        else:
            in_the_way = [lane for lane, start in enumerate(lane_starts, 1) if start < x1 + need]
            lane = max(in_the_way, default=0) + 1
            lane_starts[lane - 1 : lane] = [x1]
            placed.append(_Label(bar=bar, x=x1 + 2.5, lane=lane))
    return tuple(placed)


def _draw_axis(
    drawing: Drawing,
    axis: Axis,
    pauses: Sequence[tuple[datetime, datetime]],
    height: float,
    display: Display,
) -> None:
    top, bottom = height - _HEAD, _LEGEND
    step = next((hours for hours in (1, 2, 3, 6, 12) if hours * 3600 * axis.scale >= 22), 24)
    shown_day = None
    days: list[tuple[float, datetime]] = []
    for index, (start, end) in enumerate(axis.stretches):
        x1, x2 = axis.x(start), axis.x(end)
        if index:
            drawing.add(ink.box(x1 - FOLD, bottom, FOLD, top - bottom, ink.CLOTH, None))
            hatch(drawing, x1 - FOLD, bottom, FOLD, top - bottom, 4)
        for pause_start, pause_end in pauses:
            if pause_start < end and pause_end > start:
                a, b = axis.x(max(pause_start, start)), axis.x(min(pause_end, end))
                drawing.add(ink.box(a, bottom, b - a, top - bottom, ink.CLOTH, None))
        hour = start
        while hour <= end:
            x = axis.x(hour)
            new_day = hour.date() != shown_day and hour < end
            drawing.add(ink.line(x, bottom, x, top + 3, ink.SOFT if new_day else ink.HAIR, 1 if new_day else 0.4))
            if new_day:
                days.append((x, hour))
                shown_day = hour.date()
            if hour.hour % step == 0 and x + 12 < x2:
                drawing.add(ink.words(x + 1, top + 6, f"{hour.hour}:00", 6.5, ink.SOFT))
            hour += _HOUR
    for (x, day), (next_x, _) in pairwise([*days, (drawing.width + 5, axis.stretches[-1][1])]):
        # A short day has a short name, or that of its number alone: never one over the next.
        names = (display.day(day), display.weekday(day), str(day.day))
        fitting = (name for name in names if x + ink.width_of(name, 8.5, bold=True) + 6 <= next_x)
        drawing.add(ink.words(x + 1, height - 10, next(fitting, ""), 8.5, bold=True))


def _draw_row(drawing: Drawing, row: _Row, axis: Axis, top: float) -> None:
    y = top - _PAD - row.strip - HIGH
    for number, said in enumerate(row.title):
        base = y + HIGH * 0.35 + _TITLE * 1.2 * ((len(row.title) - 1) / 2 - number)
        drawing.add(ink.words(4, base, said, _TITLE, bold=True))
    for bar in row.beside:
        draw_bar(drawing, axis.x(bar.start), y + HIGH + 1.5, axis.x(bar.end) - axis.x(bar.start), bar.kind)
    for bars, labels in row.lines:
        for bar in bars:
            draw_bar(drawing, axis.x(bar.start), y, axis.x(bar.end) - axis.x(bar.start), bar.kind)
        _draw_labels(drawing, labels, axis, y)
        y -= _line_height(labels)


def _draw_labels(drawing: Drawing, labels: Sequence[_Label], axis: Axis, y: float) -> None:
    for label in labels:
        base = y + HIGH * 0.37 if label.lane == 0 else y - _PAD / 2 - _LANE * label.lane + 3
        if label.lane:
            # A leader ties the label to its bar.
            x = axis.x(label.bar.start) + 1
            drawing.add(ink.line(x, y, x, base - 1, ink.SOFT, 0.5))
        if not label.inside:
            # Clear the ground: hour lines and folds must not run through the words.
            wide = ink.width_of(label.bar.label, _LABEL)
            drawing.add(ink.box(label.x - 0.5, base - 2, wide + 1, _LABEL + 2, ink.PAPER, None))
        drawing.add(ink.words(label.x, base, label.bar.label, _LABEL))


def _draw_legend(drawing: Drawing, kinds: set[BarKind], left: float, language: Language) -> None:
    x = left
    for kind in BarKind:
        if kind in kinds:
            draw_bar(drawing, x, 0, 22, kind)
            meaning = language.gettext(MEANING[kind])
            drawing.add(ink.words(x + 26, 6, meaning, _LABEL, ink.SOFT))
            x += 26 + ink.width_of(meaning, _LABEL) + 18
