"""Drawings for the shop floor, judged by what stands in their pixels and words."""

from datetime import UTC, datetime, timedelta
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.graphics import renderSVG
from reportlab.graphics.shapes import Drawing, Line, Rect, String

from pipeline.display import Display
from pipeline.model.order import ArtworkKind
from plugins.documents.drawings import ink
from plugins.documents.drawings.bars import Bar, BarKind
from plugins.documents.drawings.gantt import gantt
from plugins.documents.drawings.garments import anchors, placement_drawing
from plugins.documents.drawings.outlines import OUTLINES
from plugins.documents.drawings.sheetmap import MapCut, MapPrint, sheet_map
from plugins.documents.paper.pictures import picture
from tests.documents.artworks import png
from tests.documents.papers import box_of, raster_drawing

INCH = 25_400
PRINT = (0xCF, 0xE3, 0xF5)
DAY = timedelta(days=1)
START = datetime(2026, 11, 30, 8, tzinfo=UTC)


def strings(drawing: Drawing) -> list[String]:
    """Every line of text in a drawing."""
    return [shape for shape in drawing.contents if isinstance(shape, String)]


def box_of_text(string: String) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of a line of text in points."""
    width = ink.width_of(string.text, string.fontSize, bold=string.fontName.endswith("Bold"))
    left = string.x - {"start": 0, "middle": width / 2, "end": width}[string.textAnchor]
    return left, string.y - 0.2 * string.fontSize, left + width, string.y + 0.75 * string.fontSize


def overlap(one: tuple[float, ...], two: tuple[float, ...]) -> bool:
    """Two boxes share an area."""
    return min(one[2], two[2]) - max(one[0], two[0]) > 0.2 and min(one[3], two[3]) - max(one[1], two[1]) > 0.2


@pytest.mark.parametrize(
    ("outline", "view"), [(name, view) for name, views in OUTLINES.items() for view in views]
)
def test_every_view_can_be_drawn_from_every_anchor(outline: str, view: str) -> None:
    """A placement in a garment file may name any of them; words must not run over each other or the edge."""
    for anchor in anchors(outline, view):
        drawing = placement_drawing(
            outline, view, anchor=anchor, down=INCH, across=0, print_width=2 * INCH, print_height=INCH
        )
        boxes = [box_of_text(string) for string in strings(drawing)]
        assert all(box[0] >= -1 and box[2] <= drawing.width + 1 for box in boxes)
        assert not any(overlap(one, two) for one, two in combinations(boxes, 2))
        assert "1 in" in {string.text for string in strings(drawing)}


@pytest.mark.parametrize(
    ("outline", "view", "anchor", "place"),
    [
        ("tee", "front", "collar seam", {"down": 3 * INCH, "across": 0}),
        ("tee", "back", "collar seam", {"down": 4 * INCH, "across": 0}),
        ("sweatshirt", "front", "waistband", {"down": 5 * INCH, "across": 0}),
        ("cloth", "front", "top edge", {"down": 4 * INCH, "across": 0}),
    ],
)
def test_the_print_is_in_true_proportion(outline: str, view: str, anchor: str, place: dict[str, int]) -> None:
    """Measured in the picture: width to height, and the distance to the anchor, as the millimetres are."""
    wide, high = 10 * INCH, 6 * INCH
    drawing = placement_drawing(outline, view, anchor=anchor, print_width=wide, print_height=high, **place)
    image = raster_drawing(drawing, 200)
    # The colour ends where the frame of 1.2 pt begins, half of which lies inside.
    half_pen = 1.2 / 2 / 72 * 200
    left, top, right, bottom = (
        v + d * half_pen for v, d in zip(box_of(image, PRINT, 3), (-1, -1, 1, 1), strict=True)
    )
    assert (right - left) / (bottom - top) == pytest.approx(wide / high, rel=0.02)
    dash = next(shape for shape in drawing.contents if isinstance(shape, Line) and shape.strokeColor == ink.WARN)
    level = image.height - dash.y1 / 72 * 200
    gap = (level - bottom) if OUTLINES[outline][view].anchors[anchor].up else (top - level)
    assert gap / (bottom - top) == pytest.approx(place["down"] / high, rel=0.03)


@pytest.mark.parametrize(
    ("view", "across", "side"), [("front", 4, "right"), ("front", -4, "left"), ("back", 4, "left")]
)
def test_the_wearers_left_is_on_the_right_seen_from_the_front(view: str, across: int, side: str) -> None:
    """The dearest mistake of the trade: the left chest on the wrong side."""
    place = {"down": 7 * INCH, "across": across * INCH, "print_width": 3 * INCH, "print_height": 3 * INCH}
    drawing = placement_drawing("tee", view, anchor="shoulder point", **place)
    left, _, right, _ = box_of(raster_drawing(drawing, 100), PRINT, 3)
    centre = next(string.x for string in strings(drawing) if string.text == "centre line") / 72 * 100
    assert ("right" if (left + right) / 2 > centre else "left") == side
    assert any("wearer's " + ("left" if across > 0 else "right") in string.text for string in strings(drawing))


def test_the_artwork_stands_where_it_will_be_pressed() -> None:
    """A picture in place shows a wrong turn or a wrong file at a glance."""
    art = picture(png((200, 100), (200, 30, 30, 255)), ArtworkKind.PNG)
    place = {"down": 4 * INCH, "across": 0, "print_width": 10 * INCH, "print_height": 5 * INCH}
    drawing = placement_drawing("tee", "back", anchor="collar seam", picture=art, **place)
    left, top, right, bottom = box_of(raster_drawing(drawing, 100), (200, 30, 30))
    assert (right - left) / (bottom - top) == pytest.approx(2, rel=0.05)


def test_a_metric_shop_reads_millimetres_first() -> None:
    """The large figure is the one on the shop's own rulers."""
    place = {"down": 4 * INCH, "across": 0, "print_width": 10 * INCH, "print_height": 5 * INCH}
    drawing = placement_drawing("tee", "back", anchor="collar seam", display=Display(metric_first=True), **place)
    sizes = {string.text: string.fontSize for string in strings(drawing)}
    assert sizes["102 mm"] > sizes["4 in"]  # 4 x 25.4 = 101.6 mm


def test_what_an_outline_does_not_have_is_told() -> None:
    """A garment file's typing mistake, told with what there is."""
    with pytest.raises(ValueError, match="no outline 'teee'; there are tee, long-sleeve"):
        anchors("teee", "front")
    with pytest.raises(ValueError, match="'apron' has no back view; it has front"):
        anchors("apron", "back")
    with pytest.raises(
        ValueError, match="the front of 'tee' has no 'brim seam' to measure from; it has collar seam"
    ):
        placement_drawing("tee", "front", anchor="brim seam", down=0, across=0, print_width=1, print_height=1)


@pytest.mark.parametrize(
    "make",
    [
        lambda: placement_drawing("hoodie", "front", anchor="pouch seam", down=INCH, across=0, print_width=INCH, print_height=INCH),  # noqa: E501
        lambda: gantt([Bar(row="A", start=START, end=START + timedelta(hours=2), label="R1")], rows=["A"]),
        lambda: sheet_map(width=9 * INCH, height=9 * INCH, margin=0, prints=()),
    ],
)  # fmt: skip
def test_a_drawing_repeats_as_svg(make: object) -> None:
    """The same run gives the same files, in a browser too."""
    assert callable(make)
    assert renderSVG.drawToString(make()) == renderSVG.drawToString(make())


@st.composite
def weeks(draw: st.DrawFn) -> list[Bar]:
    """Bars of two presses over some days, short and long, labelled and not."""
    bars = []
    for row in ("Press A", "Press B"):
        moment = START
        for index in range(draw(st.integers(1, 9))):
            moment += timedelta(minutes=draw(st.sampled_from((0, 0, 5, 45, 800))))
            end = moment + timedelta(minutes=draw(st.integers(2, 200)))
            label = draw(st.sampled_from(("", f"R{index:02}", f"R{index:02} A job with a long name")))
            kind = draw(st.sampled_from([BarKind.PRESS, BarKind.CHANGE, BarKind.LATE]))
            line = draw(st.integers(0, 1))
            bars.append(Bar(row=row, line=line, start=moment, end=end, label=label, kind=kind))
            bars.append(Bar(row=row, start=end, end=end + timedelta(minutes=4), kind=BarKind.COOL))
            moment = end
    return bars


@given(weeks())
def test_no_label_covers_another_or_a_strange_bar(bars: list[Bar]) -> None:
    """A schedule on the wall is read from afar; a label on the wrong bar sends a run to the wrong press."""
    drawing = gantt(bars, rows=["Press A", "Press B"])
    labels = [string for string in strings(drawing) if string.text.startswith("R0")]
    assert sorted(string.text for string in labels) == sorted(bar.label for bar in bars if bar.label)
    boxes = [box_of_text(string) for string in labels]
    assert not any(overlap(one, two) for one, two in combinations(boxes, 2))
    assert all(box[0] >= 0 and box[2] <= drawing.width for box in boxes)
    for box in boxes:
        touched = [
            shape
            for shape in drawing.contents
            if isinstance(shape, Rect)
            and shape.strokeColor is not None
            and overlap(box, (shape.x, shape.y, shape.x + shape.width, shape.y + shape.height))
        ]
        assert len(touched) <= 1
        assert all(shape.x <= box[0] and box[2] <= shape.x + shape.width for shape in touched)


def test_what_goes_on_at_once_lies_apart_under_one_name() -> None:
    """Two presses and the rack are tended by one person, whose name stands once."""
    hour = timedelta(hours=1)
    bars = [
        Bar(row="Ada", start=START, end=START + 2 * hour, label="R1"),
        Bar(row="Ada", line=1, start=START + hour, end=START + 3 * hour, label="R2"),
        Bar(row="Ada", start=START + hour, end=START + 3 * hour, kind=BarKind.COOL),
        Bar(row="Bo", start=START, end=START + hour, label="R3"),
    ]
    drawing = gantt(bars, rows=["Ada", "Bo"])
    assert [string.text for string in strings(drawing) if string.text in ("Ada", "Bo")] == ["Ada", "Bo"]
    inks = (ink.PRINT, ink.SOFT)
    boxes = [
        (shape.x, shape.y, shape.x + shape.width, shape.y + shape.height)
        for shape in drawing.contents
        if isinstance(shape, Rect) and shape.fillColor in inks and shape.y > 22  # above the legend
    ]
    assert len(boxes) == 4
    assert not any(overlap(one, two) for one, two in combinations(boxes, 2))


def test_the_night_is_folded_and_days_are_named() -> None:
    """Fourteen idle hours would leave a hand's breadth for the work."""
    bars = [
        Bar(row="A", start=START, end=START + timedelta(hours=8), label="R1"),
        Bar(row="A", start=START + DAY, end=START + DAY + timedelta(hours=8), label="R2", kind=BarKind.LATE),
    ]
    drawing = gantt(bars, rows=["A"], pauses=[(START + timedelta(hours=4), START + timedelta(hours=5))])
    texts = [string.text for string in strings(drawing)]
    assert "Mon 30 Nov 2026" in texts  # 30 November 2026 is a Monday
    assert "Tue 1 Dec 2026" in texts
    assert "pressing, order late" in texts
    widths = [
        shape.width for shape in drawing.contents if isinstance(shape, Rect) and shape.strokeColor is not None
    ]
    assert max(widths) > drawing.width * 0.4


def test_names_of_short_days_stand_side_by_side() -> None:
    """A day of one run has little room: its name gets shorter, and none lies over another."""
    hours = ((0, 1), (24, 2), (48, 8), (72, 3), (96, 9))
    bars = [
        Bar(row="A", start=START + timedelta(hours=start), end=START + timedelta(hours=start + long))
        for start, long in hours
    ]
    names = [word for word in strings(gantt(bars, rows=["A"])) if word.fontSize == 8.5 and word.y > 20][:5]
    boxes = sorted(box_of_text(name) for name in names if name.text[-1].isdigit())
    assert len(boxes) == 5
    assert all(before[2] < after[0] for before, after in pairwise(boxes))


def test_a_long_press_name_is_broken() -> None:
    """The names must not take the room of the bars."""
    name = "Swing-away, opens itself, 16 x 20 in"
    drawing = gantt([Bar(row=name, start=START, end=START + timedelta(hours=1))], rows=[name])
    parts = [string for string in strings(drawing) if string.text in name]
    assert " ".join(string.text for string in parts) == name
    assert len(parts) == 2


def test_a_schedule_needs_a_bar() -> None:
    """An empty chart says nothing; the caller leaves it out."""
    with pytest.raises(ValueError, match="without a bar"):
        gantt([], rows=["A"])


def test_a_sheet_map_is_to_scale_and_numbers_all() -> None:
    """The cutter finds each print by its number and each cut by its turn."""
    prints = [
        MapPrint(
            number=f"P{n:02}", x=n % 3 * 4 * INCH, y=n // 3 * 5 * INCH, width=3 * INCH, height=4 * INCH, tint=n
        )
        for n in range(6)
    ]
    cuts = [
        MapCut(number=1, x1=0, y1=5 * INCH, x2=12 * INCH, y2=5 * INCH),
        MapCut(number=2, x1=4 * INCH, y1=0, x2=4 * INCH, y2=5 * INCH),
    ]
    drawing = sheet_map(width=12 * INCH, height=18 * INCH, margin=INCH // 4, prints=prints, cuts=cuts)
    texts = [string.text for string in strings(drawing)]
    assert {f"P{n:02}" for n in range(6)} | {"1", "2"} <= set(texts)
    assert "12\xa0in (305\xa0mm)" in texts  # 12 x 25.4 = 304.8 mm
    rects = [shape for shape in drawing.contents if isinstance(shape, Rect) and shape.fillColor in ink.TINTS]
    sheet = next(shape for shape in drawing.contents if isinstance(shape, Rect))
    assert sheet.width / sheet.height == pytest.approx(12 / 18)
    assert rects[0].width / sheet.width == pytest.approx(3 / 12)
    assert (rects[4].x - sheet.x) / sheet.width == pytest.approx(4 / 12)
    assert (rects[4].y - sheet.y) / sheet.height == pytest.approx(5 / 18)


def test_a_tiny_print_still_has_its_number_or_nothing_false() -> None:
    """A number that does not fit would stand in the neighbour."""
    small = MapPrint(number="P01", x=0, y=0, width=INCH // 16, height=INCH // 16)
    texts = [
        string.text for string in strings(sheet_map(width=12 * INCH, height=18 * INCH, margin=0, prints=[small]))
    ]
    assert "P01" not in texts
