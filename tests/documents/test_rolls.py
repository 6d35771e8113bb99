"""Sheets by length, from order to paper: what the printer gets, what is bought, and a map that can be read."""

import json
from io import BytesIO
from pathlib import Path

import pikepdf
import pypdfium2
import pytest

from pipeline.model.measure import Length
from pipeline.model.money import Money
from pipeline.model.order import ArtworkKind
from pipeline.model.run import RunKind
from pipeline.model.sheet import Layout, PlacedPrint
from pipeline.run import Report, run
from plugins.documents.art_page import art_page
from plugins.documents.cutting import parts_of
from plugins.documents.gang import Item, gang_sheet
from tests.builders import INCH
from tests.documents.artworks import svg
from tests.documents.papers import text_of
from tests.host.folder import make_shop, request, write

pytestmark = pytest.mark.untraced

ROLL = """\
rolls:
  - name: roll-13
    width: 13in
    longest: 150in
    step: 2in
    margin: 0.25in
    gap: 0.25in
    prices:
      - {from: 10in, price: "1.20"}
      - {from: 100in, price: "0.90"}
"""


@pytest.fixture(name="report", scope="module")
def _report(tmp_path_factory: pytest.TempPathFactory) -> Report:
    """Two orders whose prints can only be bought by length."""
    shop = make_shop(tmp_path_factory.mktemp("rolls") / "shop")
    file = shop / "transfers/full-colour.yaml"
    file.write_text(file.read_text("utf-8").partition("sheets:")[0] + ROLL, "utf-8")
    write(shop, "H-101", pieces=150)
    write(shop, "H-102", pieces=20)
    return run(request(shop, RunKind.QUOTE))


def papers(report: Report) -> Path:
    """The folder of the quote."""
    assert report.run is not None
    return report.run.shop.root / "out" / report.run.label


def layouts(report: Report) -> tuple[Layout, ...]:
    """What was planned."""
    assert report.run is not None
    return report.run.plan.sheets.layouts


def test_every_copy_is_bought_by_length(report: Report) -> None:
    """170 prints of 3 in, spares apart; every layout is a whole number of steps at the price of its own length."""
    assert report.run is not None
    needed = sum(demand.to_buy for demand in report.run.plan.prints.demands)
    assert sum(layout.sheets * len(layout.prints) for layout in layouts(report)) >= needed >= 170
    for layout in layouts(report):
        assert layout.steps * 2 * INCH == layout.height <= 150 * INCH
        assert layout.price == layout.steps * (90 if layout.length >= 100 * INCH else 120)


def test_the_printers_file_is_as_long_as_the_piece(report: Report) -> None:
    """13 in wide and exactly as long as what is ordered, in points of 1/72 in."""
    for layout in layouts(report):
        file = papers(report) / "suppliers" / "north-pier-prints" / f"sheet-{layout.id.lower()}.pdf"
        width, height = pypdfium2.PdfDocument(file.read_bytes())[0].get_size()
        assert (width, height) == pytest.approx((13 * 72, layout.height / INCH * 72))


def test_the_purchase_order_says_length_and_price_of_a_step(report: Report) -> None:
    """The printer needs the length; the office checks its price."""
    file = papers(report) / "suppliers/north-pier-prints/purchase-order.pdf"
    words = " ".join(" ".join(text_of(file.read_bytes())).split()).replace("\xa0", " ")
    first = max(layouts(report), key=lambda layout: layout.length)
    assert f"by length: {first.length // INCH} in" in words
    assert "$0.90 for each 2 in (51 mm)" in words


def test_the_record_tells_steps_and_stages(report: Report) -> None:
    """Other programs see what was bought by length, and how it is cut."""
    record = json.loads((papers(report) / "run.json").read_bytes())
    for told, layout in zip(record["sheets"], layouts(report), strict=True):
        assert (told["steps"], told["height"]) == (layout.steps, layout.height)
        assert told["stages"] == max(cut["stage"] for cut in told["cuts"])


def test_the_map_of_a_long_piece_comes_in_parts(report: Report) -> None:
    """Each part is told by its place on the piece, and every cut's number stands on the map."""
    long = max(layouts(report), key=lambda layout: layout.height)
    parts = parts_of(long)
    assert len(parts) > 1
    words = " ".join(text_of((papers(report) / f"floor/sheet-{long.id.lower()}.pdf").read_bytes()))
    assert f"Part 1 of {len(parts)}, from 0" in words
    assert "Pieces like this" in words
    assert set(map(str, range(1, len(long.cuts) + 1))) <= set(words.split())


def piece(*rows: tuple[int, int], height: int) -> Layout:
    """A piece 10 in wide with prints from one height to another, in inches."""
    prints = tuple(
        PlacedPrint(
            demand="P01", x=Length(0), y=Length(y * INCH), width=Length(INCH), height=Length((t - y) * INCH)
        )
        for y, t in rows
    )
    return Layout(
        id="S1",
        transfer="film",
        sheet_size="roll",
        width=Length(10 * INCH),
        height=Length(height * INCH),
        prints=prints,
        cuts=(),
        sheets=1,
        price=Money(100),
        set_up=Money(0),
        steps=height,
    )


def test_a_map_is_parted_where_no_print_lies() -> None:
    """A part is 17 in at most on a roll of 10 in, but a print that is longer stays whole."""
    rows = piece((0, 8), (8, 16), (16, 24), (24, 50), (50, 52), height=60)
    assert [(low // INCH, high // INCH) for low, high in parts_of(rows)] == [
        (0, 16),
        (16, 24),
        (24, 50),
        (50, 60),
    ]
    beside = piece((0, 8), (4, 30), height=40)
    assert [(low // INCH, high // INCH) for low, high in parts_of(beside)] == [(0, 40)]
    assert parts_of(piece((0, 8), height=18)) == [(0, 18 * INCH)]


def test_a_piece_longer_than_a_page_may_be_has_larger_units() -> None:
    """ISO 32000-1, annex C (from memory): 14,400 units at most. 300 in are 21,600 points: 10,800 units of two."""
    item = Item(
        page=art_page(svg('<rect width="40" height="20"/>'), ArtworkKind.SVG),
        x=0,
        y=290 * INCH,
        width=4 * INCH,
        height=2 * INCH,
    )
    with pikepdf.open(BytesIO(gang_sheet(width=20 * INCH, height=300 * INCH, items=[item]))) as pdf:
        page = pdf.pages[0]
        assert int(page.obj.UserUnit) == 2
        assert [float(value) for value in page.mediabox] == pytest.approx([0, 0, 720, 10_800])
        assert pdf.pdf_version >= "1.6"
        placed = page.Contents.read_bytes().decode().split()
    # The item's lower left corner, 290 in up: 20,880 points, 10,440 units.
    assert float(placed[placed.index("cm") - 1]) == pytest.approx(10_440)
