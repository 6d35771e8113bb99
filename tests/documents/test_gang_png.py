"""The sheet as a picture: read back by Pillow, held against the PDF drawn in one piece."""

import tracemalloc
from io import BytesIO
from pathlib import Path

import pytest
from attrs import evolve
from PIL import Image, ImageChops

from pipeline.model.order import ArtworkKind
from plugins.documents.gang import gang_sheet
from plugins.documents.gang_png import sheet_png
from tests.documents.artworks import png
from tests.documents.papers import raster
from tests.documents.small_shop import numbered_run, papers_of, shop_on_disk
from tests.documents.test_gang_sheet import RED, item
from tests.documents.test_office_papers import two_orders

pytestmark = pytest.mark.untraced

INCH = 25_400


def a_sheet(width: int = 2 * INCH, height: int = 3 * INCH) -> bytes:
    """A sheet with a solid print and one that is half transparent."""
    items = (
        item(png((40, 40), (*RED, 255)), ArtworkKind.PNG, 5, 5, 20, 20),
        item(png((40, 40), (*RED, 128)), ArtworkKind.PNG, 26, 40, 20, 20),
    )
    return gang_sheet(width=width, height=height, items=items, label="W S1")


def opened(data: bytes) -> Image.Image:
    """The picture, decoded and checked."""
    image: Image.Image = Image.open(BytesIO(data))
    image.load()
    return image


def test_it_is_of_exact_size_and_transparent() -> None:
    """300 pixels to the inch, and told so (ISO/IEC 15948, pHYs: 11,811 to the metre); nothing where nothing lies."""
    image = opened(sheet_png(a_sheet(), 2 * INCH))
    assert (image.size, image.mode) == ((600, 900), "RGBA")
    assert image.info["dpi"] == pytest.approx((300, 300), abs=0.01)
    assert image.getpixel((599, 0)) == (0, 0, 0, 0)
    # 15 mm from the left and from the foot: 177 pixels.
    assert image.getpixel((177, 900 - 177)) == (*RED, 255)


def test_what_is_half_transparent_keeps_its_colour() -> None:
    """Premultiplied colours would print too dark."""
    image = opened(sheet_png(a_sheet(), 2 * INCH))
    red, green, blue, alpha = image.getpixel((425, 900 - 590))
    assert alpha == pytest.approx(128, abs=1)
    assert (red, green, blue) == pytest.approx(RED, abs=2)


@pytest.mark.parametrize("strip", [600, 600 * 7, 600 * 450, 600 * 899, 600 * 900, 10**9])
def test_strips_join_without_a_seam(strip: int) -> None:
    """However high they are, they are the sheet as another call draws it whole."""
    sheet = a_sheet()
    whole = raster(sheet, 300, clear=True)
    image = opened(sheet_png(sheet, 2 * INCH, strip))
    assert ImageChops.difference(image.getchannel("A"), whole.getchannel("A")).getbbox() is None
    solid = Image.new("RGBA", image.size, "white")
    one, other = (Image.alpha_composite(solid, each).convert("RGB") for each in (image, whole))
    assert max(high for _, high in ImageChops.difference(one, other).getextrema()) <= 1


def test_the_same_sheet_gives_the_same_bytes() -> None:
    """As of every paper."""
    assert sheet_png(a_sheet(), 2 * INCH) == sheet_png(a_sheet(), 2 * INCH)


def test_a_sheet_in_larger_units_is_as_wide_as_it_is() -> None:
    """Past 200 in units are several points (ISO 32000-1, 14.11.2.1, clause from memory); pixels are 300 an inch."""
    image = opened(sheet_png(a_sheet(2 * INCH, 210 * INCH), 2 * INCH))
    assert image.size == (600, 63_000)


def test_memory_does_not_grow_with_the_sheet() -> None:
    """Python's own part of it: a strip, its packed rows, and the file."""
    sheet = a_sheet(11 * INCH, 40 * INCH)
    tracemalloc.start()
    sheet_png(sheet, 11 * INCH, 1_000_000)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    # The whole would be 3300 x 12000 x 4 = 158 MB.
    assert peak < 20_000_000


def test_a_printer_who_takes_pictures_gets_them(tmp_path: Path) -> None:
    """Beside the PDF, for the transfers that ask for it, and for no other."""
    shop = shop_on_disk(tmp_path)
    run = numbered_run(shop, two_orders(shop))
    assert not [path for path in papers_of(run) if path.endswith(".png")]
    asking = evolve(shop, transfers=tuple(evolve(transfer, png=True) for transfer in shop.transfers))
    found = papers_of(numbered_run(asking, two_orders(shop)))
    pictures = sorted(path for path in found if path.endswith(".png"))
    assert pictures == sorted(
        path.removesuffix("pdf") + "png"
        for path in found
        if path.startswith("suppliers/") and "/sheet-" in path and path.endswith("pdf")
    )
    layout = run.plan.sheets.layouts[0]
    assert opened(found[pictures[0]].content).size == (layout.width * 300 // INCH, layout.height * 300 // INCH)
