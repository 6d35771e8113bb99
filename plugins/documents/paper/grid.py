"""Tables for reportlab: column widths that follow the content, rules, header rows that repeat."""

from collections.abc import Sequence
from typing import Any

from attrs import frozen
from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable, Paragraph, Table, TableStyle

from plugins.documents.fonts import SANS
from plugins.documents.paper.marked import MarkedCanvas

RULE = HexColor("#8c959f")
HAIR = HexColor("#d0d7de")
TINT = HexColor("#f3f5f7")
CAUTION_TINT = HexColor("#fff3d6")
_ENDLESS = 100_000.0


@frozen(kw_only=True)
class Cell:
    """What stands in one cell, and how many columns it fills."""

    content: list[Flowable]
    span: int = 1
    look: str = ""
    align: str = "left"


@frozen(kw_only=True)
class Look:
    """How a table is ruled and spaced, in points."""

    kind: str = "lines"
    pad_x: float = 4
    pad_y: float = 3


class BreakingTable(Table):
    """A table that breaks between its rows, and inside a row only where a whole page could not hold it.

    reportlab's own choice is to break no row, which stops the run at a row taller than a page, or every row that
    meets the foot of a page, which parts a line from its remark.
    """

    canv: MarkedCanvas
    page_height = 0.0

    def split(self, width: float, height: float) -> list[Flowable]:
        """The parts: one that fits `height`, and the rest; none when the next page should take it whole."""
        self.splitInRow = 0
        parts = super().split(width, height)
        if not parts:
            heights = self._rowHeights  # type: ignore[attr-defined]
            if sum(heights[: self.repeatRows + 1]) > self.page_height:
                self.splitInRow = 1
                parts = super().split(width, height)
        for part in parts:
            if isinstance(part, BreakingTable):
                part.page_height = self.page_height
        return parts


def breaking_table(
    rows: Sequence[list[Any]],
    widths: Sequence[float],
    style: list[Any],
    page_height: float,
    headers: int = 0,
) -> BreakingTable:
    """Rows of cells (lists of flowables) as a table. `page_height` is what the highest page can hold, in points."""
    commands = [("FONTNAME", (0, 0), (-1, -1), SANS), *style]
    table = BreakingTable(
        rows,
        colWidths=widths,
        repeatRows=headers,
        splitByRow=1,
        hAlign="LEFT",
        style=TableStyle(commands),
        renderCB=_mark_rules,  # type: ignore[arg-type]  # any callable will do
    )
    table.page_height = page_height
    return table


def _mark_rules(table: BreakingTable, step: str, *_: object) -> None:
    """Tints and rules are artifacts; what stands in the cells says itself what it belongs to."""
    if step in ("startBG", "startLines"):
        table.canv.begin(None)
    elif step in ("endBG", "endLines"):
        table.canv.end()


def make_table(
    rows: Sequence[Sequence[Cell]],
    *,
    width: float,
    page_height: float,
    shares: Sequence[float],
    headers: int,
    look: Look,
) -> Table:
    """A table of `width` points. Empty `shares` = columns by content. The first `headers` rows repeat."""
    columns = sum(cell.span for cell in rows[0])
    if shares:
        widths = _with_room([width * share / sum(shares) for share in shares], rows[:headers], look.pad_x)
    else:
        widths = content_widths(rows, columns, width, look.pad_x)
    data = [[value for cell in row for value in _spread(cell)] for row in rows]
    return breaking_table(data, widths, [*_frame(look, headers), *_cells(rows)], page_height, headers)


def _spread(cell: Cell) -> list[object]:
    return [cell.content, *[""] * (cell.span - 1)]


def _frame(look: Look, headers: int) -> list[Any]:
    whole = ((0, 0), (-1, -1))
    commands: list[Any] = [
        ("VALIGN", *whole, "TOP"),
        ("LEFTPADDING", *whole, look.pad_x),
        ("RIGHTPADDING", *whole, look.pad_x),
        ("TOPPADDING", *whole, look.pad_y),
        ("BOTTOMPADDING", *whole, look.pad_y),
    ]
    if look.kind == "grid":
        commands.append(("GRID", *whole, 0.6, RULE))
    if look.kind == "lines":
        commands.append(("LINEBELOW", *whole, 0.4, HAIR))
    if headers and look.kind != "plain":
        head = ((0, 0), (-1, headers - 1))
        commands += [
            ("LINEBELOW", (0, headers - 1), (-1, headers - 1), 1, RULE),
            ("BACKGROUND", *head, TINT),
            ("VALIGN", *head, "BOTTOM"),
        ]
    return commands


def _cells(rows: Sequence[Sequence[Cell]]) -> list[Any]:
    commands: list[Any] = []
    for y, row in enumerate(rows):
        x = 0
        for cell in row:
            area = ((x, y), (x + cell.span - 1, y))
            if cell.span > 1:
                commands.append(("SPAN", *area))
            if cell.align != "left":
                commands.append(("ALIGN", *area, cell.align.upper()))
            if cell.look == "total":
                commands.append(("LINEABOVE", *area, 1, RULE))
            if cell.look == "caution":
                commands.append(("BACKGROUND", *area, CAUTION_TINT))
            x += cell.span
    return commands


def content_widths(rows: Sequence[Sequence[Cell]], columns: int, width: float, pad: float) -> list[float]:
    """Column widths in points that sum to `width`, as a browser would choose them.

    Every column gets its longest word; what is left goes by how much more each would like.
    """
    least, most = _extents(rows, columns, pad)
    if sum(most) <= width:
        return [wish * width / sum(most) for wish in most]
    if sum(least) >= width:
        # Each keeps its padding and a point: reportlab stops at less.
        floor = min(2 * pad + 1, width / columns)
        more = [max(part - floor, 0) for part in least]
        room = width - floor * columns
        return [floor + room * part / (sum(more) or 1) for part in more]
    wishes = [wish - part for part, wish in zip(least, most, strict=True)]
    spare = width - sum(least)
    return [part + spare * wish / sum(wishes) for part, wish in zip(least, wishes, strict=True)]


def _with_room(widths: list[float], heads: Sequence[Sequence[Cell]], pad: float) -> list[float]:
    """The widths with room for the longest word in each column's head, which in another language may be longer.

    What a column lacks is taken from those that have more than their head needs.
    """
    least, _ = _extents(heads, len(widths), pad)
    lack = sum(max(0.0, need - has) for need, has in zip(least, widths, strict=True))
    spare = sum(max(0.0, has - need) for need, has in zip(least, widths, strict=True))
    if not lack or lack >= spare:
        return widths
    return [
        need if need > has else has - (has - need) * lack / spare for need, has in zip(least, widths, strict=True)
    ]


def _extents(rows: Sequence[Sequence[Cell]], columns: int, pad: float) -> tuple[list[float], list[float]]:
    """For each column the narrowest and the widest of use, in points, by its cells that fill it alone."""
    least, most = [0.0] * columns, [1.0] * columns
    for row in rows:
        x = 0
        for cell in row:
            if cell.span == 1:
                narrow, wide = extent(cell.content)
                least[x] = max(least[x], narrow + 2 * pad)
                most[x] = max(most[x], wide + 2 * pad)
            x += cell.span
    return least, most


def extent(content: Sequence[Flowable]) -> tuple[float, float]:
    """The narrowest width without breaking a word, and the widest that is of use, in points."""
    extents = [_extent(flowable) for flowable in content]
    return max((least for least, _ in extents), default=0), max((most for _, most in extents), default=0)


def _extent(flowable: Flowable) -> tuple[float, float]:
    if isinstance(flowable, Paragraph):
        flowable.wrap(_ENDLESS, _ENDLESS)
        # A hair more than measured: reportlab breaks a line that fills its width exactly.
        return flowable.minWidth() + 0.1, max(flowable.getActualLineWidths0(), default=0) + 0.1
    width, _ = flowable.wrap(_ENDLESS, _ENDLESS)
    return width, width
