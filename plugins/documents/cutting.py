"""What hangs at the cutting table: a map of each sheet, the long piece of a roll in parts that can be read."""

from collections.abc import Iterator, Sequence
from functools import partial

from attrs import frozen
from reportlab.graphics.shapes import Drawing

from pipeline.model.document import Audience, Document
from pipeline.model.measure import Length
from pipeline.model.sheet import Layout, PlacedPrint
from plugins.documents.desk import Desk, Work, slug
from plugins.documents.drawings.sheetmap import MapCut, MapPrint, sheet_map

# Points: so that the map of an ordinary sheet with its list fits one page, and two parts of a long one.
_ROOM = (520.0, 410.0)
_PART_ROOM = (520.0, 300.0)
_LONG = 1.7
"""How many times as long as wide a piece may be that is drawn in one; an ordinary sheet is."""


@frozen(kw_only=True)
class MapRow:
    """The prints on a sheet that are alike, by their numbers on the map: for whom, how large as they lie."""

    numbers: str
    job: str
    artwork: str
    size: tuple[Length, Length]
    turned: bool
    each: int
    total: int


@frozen(kw_only=True)
class Part:
    """A part of a layout that is drawn by itself, from one height to another."""

    drawing: str
    bottom: Length
    top: Length


def works(desk: Desk) -> Iterator[Work]:
    """A map per layout."""
    for layout in desk.run.plan.sheets.layouts:
        yield partial(_map, desk, layout)


def _map(desk: Desk, layout: Layout) -> Iterator[Document]:
    parts = tuple(
        Part(drawing=f"map{number}", bottom=Length(bottom), top=Length(top))
        for number, (bottom, top) in enumerate(parts_of(layout), 1)
    )
    yield desk.paper(
        "sheet_map",
        f"floor/sheet-{slug(layout.id)}.pdf",
        desk.language.gettext("Sheet map %(id)s", id=layout.id),
        Audience.FLOOR,
        drawings={part.drawing: _drawing(desk, layout, part) for part in parts},
        layout=layout,
        parts=parts,
        transfer=desk.shop.transfer(layout.transfer),
        rows=tuple(_map_rows(desk, layout)),
        each=len(layout.prints),
        total=len(layout.prints) * layout.sheets,
        cuts=len(layout.cuts),
    )


def parts_of(layout: Layout) -> list[tuple[int, int]]:
    """The heights between which a layout is drawn: whole, or parted where a line across touches no print.

    Parts are no longer than they may be, unless there is no such line.
    """
    most = int(layout.width * _LONG)
    parts: list[tuple[int, int]] = []
    bottom = before = 0
    for line in (*_free_lines(layout.prints), layout.height):
        if line - bottom > most and before > bottom:
            parts.append((bottom, before))
            bottom = before
        before = line
    return [*parts, (bottom, layout.height)]


def _free_lines(prints: Sequence[PlacedPrint]) -> Iterator[int]:
    """Heights of lines across the sheet that touch no print, midway between the prints on both sides."""
    top = None
    for item in sorted(prints, key=lambda item: item.y):
        if top is not None and item.y >= top:
            yield (top + item.y) // 2
        top = max(top or 0, item.y + item.height)


def _drawing(desk: Desk, layout: Layout, part: Part) -> Drawing:
    whole = (part.bottom, part.top) == (0, layout.height)
    jobs = [", ".join(desk.run.plan.prints.demand(placed.demand).jobs) for placed in layout.prints]
    tints = {job: tint for tint, job in enumerate(dict.fromkeys(jobs))}
    return sheet_map(
        width=layout.width,
        height=part.top - part.bottom,
        margin=desk.shop.transfer(layout.transfer).offer(layout.sheet_size).margin if whole else 0,
        prints=tuple(
            MapPrint(
                number=str(number),
                x=p.x,
                y=p.y - part.bottom,
                width=p.width,
                height=p.height,
                turned=p.turned,
                caption=job,
                tint=tints[job],
            )
            for number, (job, p) in enumerate(zip(jobs, layout.prints, strict=True), 1)
            if part.bottom <= p.y < part.top
        ),
        room=_ROOM if whole else _PART_ROOM,
        display=desk.display,
        cuts=tuple(_cuts(layout, part)),
    )


def _cuts(layout: Layout, part: Part) -> Iterator[MapCut]:
    """The cuts of a part by their numbers; one that runs through several parts is drawn in each of them."""
    for number, cut in enumerate(layout.cuts, 1):
        low, high = max(cut.y1, part.bottom), min(cut.y2, part.top)
        if low < high or (cut.y1 == cut.y2 and low == high):
            yield MapCut(number=number, x1=cut.x1, y1=low - part.bottom, x2=cut.x2, y2=high - part.bottom)


def _map_rows(desk: Desk, layout: Layout) -> Iterator[MapRow]:
    alike: dict[tuple[str, bool], list[int]] = {}
    for number, placed in enumerate(layout.prints, 1):
        alike.setdefault((placed.demand, placed.turned), []).append(number)
    for (name, turned), numbers in alike.items():
        demand, first = desk.run.plan.prints.demand(name), layout.prints[numbers[0] - 1]
        yield MapRow(
            numbers=_ranges(numbers),
            job=", ".join(demand.jobs),
            artwork=demand.artwork.path.rsplit("/", 1)[-1],
            size=(first.width, first.height),
            turned=turned,
            each=len(numbers),
            total=len(numbers) * layout.sheets,
        )


def _ranges(numbers: list[int]) -> str:
    """Rising numbers as people write them: 1–4, 7."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)
