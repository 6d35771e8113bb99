"""Drawings of the page held against the plan: every print and run in its place, whichever way a sheet lies."""

import re
from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path
from xml.etree.ElementTree import Element, fromstring

import pytest
from attrs import evolve

from pipeline.model.measure import Length
from pipeline.model.sheet import Layout
from pipeline.shop import Shop
from plugins.documents.desk import Desk
from plugins.documents.drawings.bars import Bar, BarKind
from plugins.documents.page.presses import presses_view
from plugins.documents.page.sheets import sheet_view
from tests.builders import MONDAY
from tests.documents.small_shop import numbered_run, shop_on_disk
from tests.documents.test_office_papers import two_orders

Box = tuple[float, ...]


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Shop:
    return shop_on_disk(tmp_path)


def parsed(view: str) -> Element:
    """A drawing of our own, read as XML."""
    return fromstring(view)  # noqa: S314


def box(rect: Element) -> Box:
    """Left, top, right, bottom."""
    x, y, width, height = (float(rect.attrib[name]) for name in ("x", "y", "width", "height"))
    return x, y, x + width, y + height


def drawn(shop: Shop, layout: Layout) -> tuple[Box, Sequence[Box]]:
    """The sheet's edge and its prints."""
    view = parsed(sheet_view(Desk(numbered_run(shop, two_orders(shop))), layout))
    ground, *prints = view.iter("rect")
    assert ground.attrib["class"] == "ground"
    return box(ground), [box(rect) for rect in prints]


def test_prints_stand_where_they_lie(shop: Shop) -> None:
    """Left is left and up is up: shares of the sheet's width and height, counted from its lower left corner."""
    (layout, *_rest) = numbered_run(shop, two_orders(shop)).plan.sheets.layouts
    edge, prints = drawn(shop, layout)
    assert len(prints) == len(layout.prints)
    wide, high = edge[2] - edge[0], edge[3] - edge[1]
    assert wide / high == pytest.approx(layout.width / layout.height, rel=1e-3)
    for item, (left, top, right, bottom) in zip(layout.prints, prints, strict=True):
        assert (left - edge[0]) / wide == pytest.approx(item.x / layout.width, abs=1e-3)
        assert (right - edge[0]) / wide == pytest.approx((item.x + item.width) / layout.width, abs=1e-3)
        assert (edge[3] - bottom) / high == pytest.approx(item.y / layout.height, abs=1e-3)
        assert (edge[3] - top) / high == pytest.approx((item.y + item.height) / layout.height, abs=1e-3)


def test_a_long_piece_lies_on_its_left_side(shop: Shop) -> None:
    """A piece of a roll is turned, not mirrored: its foot is on the right, its left edge at the bottom."""
    (layout, *_rest) = numbered_run(shop, two_orders(shop)).plan.sheets.layouts
    edge, prints = drawn(shop, evolve(layout, height=Length(layout.width * 4)))
    wide, high = edge[2] - edge[0], edge[3] - edge[1]
    assert wide / high == pytest.approx(4, rel=1e-3)
    for item, (left, top, right, bottom) in zip(layout.prints, prints, strict=True):
        assert (edge[2] - right) / wide == pytest.approx(item.y / layout.width / 4, abs=1e-3)
        assert (edge[2] - left) / wide == pytest.approx((item.y + item.height) / layout.width / 4, abs=1e-3)
        assert (edge[3] - bottom) / high == pytest.approx(item.x / layout.width, abs=1e-3)
        assert (edge[3] - top) / high == pytest.approx((item.x + item.width) / layout.width, abs=1e-3)


def test_bars_are_as_long_as_their_runs(shop: Shop) -> None:
    """One scale for all open hours; the night takes no more than a fold; who is late is told in words."""
    desk = Desk(numbered_run(shop, two_orders(shop)))
    start = datetime(MONDAY.year, MONDAY.month, MONDAY.day, 9, tzinfo=desk.run.start.tzinfo)
    hours = ((0, 1), (1, 3), (23.5, 24))
    bars = tuple(
        Bar(
            row="clam",
            start=start + timedelta(hours=a),
            end=start + timedelta(hours=b),
            job=f"H-{n}",
            about=f"R{n}",
        )
        for n, (a, b) in enumerate(hours, 1)
    )
    text = presses_view(desk, ("clam",), bars, "bars")
    drawing = parsed(text)
    boxes = [box(part[1]) for part in drawing.iter("g")]
    lengths = [right - left for left, _, right, _ in boxes]
    assert lengths[1] == pytest.approx(2 * lengths[0], rel=1e-3)
    assert lengths[2] == pytest.approx(lengths[0] / 2, rel=1e-2)
    assert boxes[1][0] == pytest.approx(boxes[0][2], abs=0.02)
    assert boxes[2][0] - boxes[1][2] < lengths[0]
    assert re.findall(r"<title>(R\d) · pressing</title>", text) == ["R1", "R2", "R3"]


def test_lines_of_a_row_do_not_touch(shop: Shop) -> None:
    """Each run can be pointed at, whatever else its operator does meanwhile."""
    desk = Desk(numbered_run(shop, two_orders(shop)))
    start, hour = desk.run.start, timedelta(hours=1)
    kinds = ((0, BarKind.PRESS), (1, BarKind.LATE), (0, BarKind.COOL))
    bars = tuple(Bar(row="Ada", line=line, start=start, end=start + hour, kind=kind) for line, kind in kinds)
    drawing = parsed(presses_view(desk, ("Ada",), bars, "bars"))
    (first, second, strip), foot = [box(part[1]) for part in drawing.iter("g")], [*drawing.iter("line")][-1]
    assert strip[3] <= first[1]
    assert first[3] < second[1]
    assert second[3] < float(foot.attrib["y1"])


def test_names_of_presses_stay_in_their_rows(shop: Shop) -> None:
    """A long name is broken into lines, and the rows grow with them."""
    desk = Desk(numbered_run(shop, two_orders(shop)))
    name = "Swing-away press with a drawer and a second platen beside the window of the loft"
    start = desk.run.start
    bar = Bar(row=name, start=start, end=start + timedelta(hours=1), job="H-1", about="R1")
    drawing = parsed(presses_view(desk, (name,), (bar,), "bars"))
    *_others, foot = drawing.iter("line")
    lines = [float(text.attrib["y"]) for text in drawing.iter("text") if text.text and text.text in name]
    assert len(lines) > 3
    assert min(lines) - 10 > 40
    assert max(lines) < float(foot.attrib["y1"])
