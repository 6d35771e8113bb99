"""The print-ready sheet, measured from its pixels: a print that is 1 mm off is a cut motif."""

import random
from io import BytesIO

import pikepdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from pipeline.model.order import ArtworkKind
from plugins.documents.art_page import art_page
from plugins.documents.artwork import ArtworkUnreadable
from plugins.documents.gang import Item, Mark, gang_sheet
from tests.documents.artworks import png, svg
from tests.documents.papers import box_of, raster

MM = 1_000
SHEET = (292_100, 457_200)  # 11.5 x 18 in
RED, GREEN, BLUE, VIOLET = (220, 20, 20), (20, 150, 30), (20, 40, 220), (150, 30, 160)


def sheet(*items: Item, size: tuple[int, int] = SHEET, **options: object) -> bytes:
    """A sheet with some items."""
    return gang_sheet(width=size[0], height=size[1], items=items, **options)  # type: ignore[arg-type]


def item(
    data: bytes, kind: ArtworkKind, x: int, y: int, width: int, height: int, *, turned: bool = False
) -> Item:
    """One print; lengths in millimetres."""
    return Item(
        page=art_page(data, kind), x=x * MM, y=y * MM, width=width * MM, height=height * MM, turned=turned
    )  # fmt: skip


def pdf_art(colour: tuple[int, int, int], size: tuple[int, int] = (200, 100), **page: object) -> bytes:
    """A one-page PDF filled with a colour; `page` sets entries of the page."""
    out = BytesIO()
    canvas = Canvas(out, pagesize=size)
    canvas.setFillColorRGB(*(band / 255 for band in colour))
    canvas.rect(-500, -500, 2000, 2000, stroke=0, fill=1)
    canvas.save()
    with pikepdf.open(BytesIO(out.getvalue())) as pdf:
        for name, value in page.items():
            pdf.pages[0][f"/{name}"] = value
        made = BytesIO()
        pdf.save(made)
    return made.getvalue()


def two_halves(kind: ArtworkKind) -> bytes:
    """Artwork 2:1, its left half red, its right half blue."""
    image = Image.new("RGB", (200, 100), BLUE)
    image.paste(RED, (0, 0, 100, 100))
    out = BytesIO()
    if kind is ArtworkKind.PDF:
        canvas = Canvas(out, pagesize=(200, 100))
        for x, colour in ((0, RED), (100, BLUE)):
            canvas.setFillColorRGB(*(band / 255 for band in colour))
            canvas.rect(x, 0, 100, 100, stroke=0, fill=1)
        canvas.save()
    elif kind is ArtworkKind.SVG:
        halves = ((0, "rgb(220,20,20)"), (20, "rgb(20,40,220)"))
        return svg("".join(f'<rect x="{x}" width="20" height="20" fill="{fill}"/>' for x, fill in halves))
    else:
        image.save(out, kind.value.upper(), **({"quality": 95} if kind is ArtworkKind.JPEG else {}))
    return out.getvalue()


def box_mm(data: bytes, colour: tuple[int, int, int], dpi: int = 300) -> tuple[float, ...]:
    """Where a colour stands: left, bottom, right, top in millimetres from the lower left corner."""
    image = raster(data, dpi)
    with pikepdf.open(BytesIO(data)) as pdf:
        # The whole page fills the whole picture, so a broken last pixel is spread over all.
        wide, high = (float(value) / 72 * 25.4 for value in list(pdf.pages[0].mediabox)[2:])
    left, top, right, bottom = box_of(image, colour)
    x, y = wide / image.width, high / image.height
    return left * x, high - bottom * y, right * x, high - top * y


def pixels_of(pdf: pikepdf.Pdf) -> pikepdf.Object:
    """The only picture of a sheet: each artwork is a form, and pixels are all that is in it."""
    [form] = pdf.pages[0].resources.XObject.values()
    [image] = form.Resources.XObject.values()
    return image


def test_every_kind_lands_within_a_tenth_of_a_millimetre() -> None:
    """Pixels with transparency, a vector PDF and a drawing, each measured from the sheet's pixels at 300 dpi."""
    data = sheet(
        item(png((400, 200), (*RED, 255)), ArtworkKind.PNG, 10, 20, 100, 50),
        item(pdf_art(GREEN), ArtworkKind.PDF, 130, 20, 120, 60),
        item(svg('<rect width="40" height="20" fill="rgb(20,40,220)"/>'), ArtworkKind.SVG, 10, 100, 80, 40),
        item(png((400, 200), (*VIOLET, 255)), ArtworkKind.PNG, 150, 120, 60, 120, turned=True),
    )
    for colour, expected in (
        (RED, (10, 20, 110, 70)),
        (GREEN, (130, 20, 250, 80)),
        (BLUE, (10, 100, 90, 140)),
        (VIOLET, (150, 120, 210, 240)),
    ):
        assert box_mm(data, colour) == pytest.approx(expected, abs=0.1)


def test_the_sheet_is_exactly_as_large_as_ordered() -> None:
    """11.5 x 18 in = 828 x 1296 pt (72 pt to the inch, by definition of PDF's unit)."""
    with pikepdf.open(BytesIO(sheet())) as pdf:
        assert [float(value) for value in pdf.pages[0].mediabox] == [0, 0, 828, 1296]


@pytest.mark.parametrize(
    "entries",
    [
        {},
        {"Rotate": 90},
        {"Rotate": 180},
        {"Rotate": 270},
        {"CropBox": pikepdf.Array([20, 10, 120, 60])},
        {"MediaBox": pikepdf.Array([-100, -50, 300, 150])},
        {"UserUnit": 2},
        {"Rotate": 90, "CropBox": pikepdf.Array([20, 10, 120, 60])},
        {"TrimBox": pikepdf.Array([50, 25, 150, 75])},
    ],
)
def test_whatever_a_pdf_page_says_of_itself_it_fills_its_place(entries: dict[str, object]) -> None:
    """Design programs write rotated, cropped and offset pages; what a viewer shows is the artwork."""
    upright = entries.get("Rotate") in (90, 270)
    place = (30, 40, 50, 100) if upright else (30, 40, 100, 50)
    data = sheet(item(pdf_art(GREEN, **entries), ArtworkKind.PDF, *place))
    expected = (place[0], place[1], place[0] + place[2], place[1] + place[3])
    assert box_mm(data, GREEN, 150) == pytest.approx(expected, abs=0.2)


@pytest.mark.parametrize("kind", list(ArtworkKind))
def test_turned_is_counter_clockwise_for_every_kind(kind: ArtworkKind) -> None:
    """Turned the wrong way, half of the prints of a sheet lie head down to the cutter's marks."""
    level = sheet(item(two_halves(kind), kind, 20, 20, 100, 50))
    assert box_mm(level, RED, 100)[0] == pytest.approx(20, abs=0.4)
    assert box_mm(level, BLUE, 100)[2] == pytest.approx(120, abs=0.4)
    turned = sheet(item(two_halves(kind), kind, 20, 20, 50, 100, turned=True))
    # Counter-clockwise the left half goes down.
    assert box_mm(turned, RED, 100) == pytest.approx((20, 20, 70, 70), abs=0.6)
    assert box_mm(turned, BLUE, 100) == pytest.approx((20, 70, 70, 120), abs=0.6)


def test_mirrored_swaps_left_and_right() -> None:
    """Paper that is pressed face down carries the motif mirrored."""
    data = sheet(item(two_halves(ArtworkKind.PNG), ArtworkKind.PNG, 20, 20, 100, 50), mirrored=True)
    wide = SHEET[0] / MM
    assert box_mm(data, RED, 150) == pytest.approx((wide - 70, 20, wide - 20, 70), abs=0.2)
    assert box_mm(data, BLUE, 150) == pytest.approx((wide - 120, 20, wide - 70, 70), abs=0.2)


def test_nothing_is_drawn_behind_the_artwork() -> None:
    """A white ground would print as a white box on a dark shirt."""
    ring = Image.new("RGBA", (100, 100), (0, 0, 0, 0))
    ring.paste((*RED, 255), (25, 25, 75, 75))
    ring.paste((*BLUE, 128), (40, 40, 60, 60))
    out = BytesIO()
    ring.save(out, "PNG")
    half = '<rect width="20" height="20" fill="red"/>'
    pixels = raster(
        sheet(
            item(out.getvalue(), ArtworkKind.PNG, 0, 0, 50, 50),
            item(svg(half), ArtworkKind.SVG, 60, 0, 40, 20),
            size=(100 * MM, 100 * MM),
        ),
        254,
        clear=True,
    )
    alphas = {
        spot: pixels.getpixel((spot[0] * 10, 999 - spot[1] * 10))[3]
        for spot in ((3, 3), (15, 15), (25, 25), (65, 5), (95, 5), (80, 80))
    }
    assert alphas == {
        (3, 3): 0,
        (15, 15): 255,
        (25, 25): pytest.approx(128, abs=3),
        (65, 5): 255,
        (95, 5): 0,
        (80, 80): 0,
    }


def test_pixels_arrive_unchanged() -> None:
    """No resampling, no colour shift: the printer gets what the customer sent, to the bit."""
    gradient = Image.linear_gradient("L").resize((64, 64))
    art = Image.merge("RGBA", (gradient, gradient.rotate(90), gradient.rotate(180), gradient.rotate(270)))
    out = BytesIO()
    art.save(out, "PNG")
    with pikepdf.open(BytesIO(sheet(item(out.getvalue(), ArtworkKind.PNG, 0, 0, 50, 50)))) as pdf:
        image = pikepdf.PdfImage(pixels_of(pdf))
        assert image.as_pil_image().convert("RGB").tobytes() == art.convert("RGB").tobytes()
        alpha = pikepdf.PdfImage(image.obj.SMask).as_pil_image()
        assert alpha.tobytes() == art.getchannel("A").tobytes()


def test_jpeg_data_is_not_touched() -> None:
    """Every new compression costs quality."""
    data = two_halves(ArtworkKind.JPEG)
    with pikepdf.open(BytesIO(sheet(item(data, ArtworkKind.JPEG, 0, 0, 100, 50)))) as pdf:
        image = pixels_of(pdf)
        assert image.read_raw_bytes() == data


def test_inks_of_a_photo_stay_inks() -> None:
    """Photos in four inks are stored upside down by common programs, with a marker; unread, they print negative."""
    out = BytesIO()
    Image.new("CMYK", (40, 20), (0, 255, 255, 0)).save(out, "JPEG", quality=95)
    data = sheet(item(out.getvalue(), ArtworkKind.JPEG, 20, 20, 100, 50))
    with pikepdf.open(BytesIO(data)) as pdf:
        image = pixels_of(pdf)
        assert image.ColorSpace == "/DeviceCMYK"
    left, bottom, right, top = box_mm(data, (237, 28, 36), 100)
    assert (left, bottom, right, top) == pytest.approx((20, 20, 120, 70), abs=0.6)


def test_a_photo_taken_sideways_stands_upright() -> None:
    """Cameras note the turn instead of turning; a viewer shows it upright and so must the sheet."""
    image = Image.open(BytesIO(two_halves(ArtworkKind.JPEG)))
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned 90 degrees clockwise (Exif 2.3, orientation, from memory)
    out = BytesIO()
    image.save(out, "JPEG", exif=exif, quality=95)
    data = sheet(item(out.getvalue(), ArtworkKind.JPEG, 0, 0, 50, 100))
    assert box_mm(data, RED, 100)[3] == pytest.approx(100, abs=0.5)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "I;16", "RGB", "RGBA"])
def test_every_kind_of_png_is_taken(mode: str) -> None:
    """Palettes, greys and deep pixels all come from customers."""
    image = Image.new("L", (20, 10), 0) if mode != "I;16" else Image.new("I;16", (20, 10), 0)
    out = BytesIO()
    (image if mode == "I;16" else image.convert(mode)).save(out, "PNG")
    data = sheet(item(out.getvalue(), ArtworkKind.PNG, 20, 20, 100, 50))
    assert box_mm(data, (0, 0, 0), 100) == pytest.approx((20, 20, 120, 70), abs=0.4)


def test_a_grey_of_16_bits_keeps_its_shade() -> None:
    """0x8000 of 0xFFFF is a half: 128 of 255."""
    out = BytesIO()
    Image.new("I;16", (20, 10), 0x8000).save(out, "PNG")
    with pikepdf.open(BytesIO(sheet(item(out.getvalue(), ArtworkKind.PNG, 0, 0, 100, 50)))) as pdf:
        assert pikepdf.PdfImage(pixels_of(pdf)).as_pil_image().getextrema() == (128, 128)


@pytest.mark.parametrize("high", [1, 127, 128, 129, 300])
def test_pixels_arrive_unchanged_wherever_a_strip_ends(high: int) -> None:
    """They are packed strip by strip, each row as it differs from the one above, in the strip before too."""
    art = Image.frombytes("RGBA", (50, high), random.Random(high).randbytes(50 * high * 4))
    out = BytesIO()
    art.save(out, "PNG")
    place = item(out.getvalue(), ArtworkKind.PNG, 0, 0, 50, high)
    with pikepdf.open(BytesIO(sheet(place, size=(400 * MM, 400 * MM)))) as pdf:
        assert pikepdf.PdfImage(pixels_of(pdf)).as_pil_image().tobytes() == art.tobytes()


@pytest.mark.parametrize("mode", ["RGBA", "P"])
def test_a_colour_profile_goes_along(mode: str) -> None:
    """Without it the printer guesses what the customer's red is."""
    from PIL import ImageCms

    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    out = BytesIO()
    Image.new("RGBA", (20, 10), (*RED, 200)).convert(mode).save(out, "PNG", icc_profile=profile)
    with pikepdf.open(BytesIO(sheet(item(out.getvalue(), ArtworkKind.PNG, 0, 0, 20, 10)))) as pdf:
        image = pixels_of(pdf)
        assert image.ColorSpace[0] == "/ICCBased"
        assert image.ColorSpace[1].read_bytes() == profile
        assert mode == "P" or image.SMask.ColorSpace == "/DeviceGray"


def test_a_profile_of_other_colours_stays_behind() -> None:
    """A grey picture with a profile of red, green and blue is an error that stops a printer's software."""
    from PIL import ImageCms

    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    out = BytesIO()
    Image.new("L", (20, 10), 90).save(out, "PNG", icc_profile=profile)
    with pikepdf.open(BytesIO(sheet(item(out.getvalue(), ArtworkKind.PNG, 0, 0, 20, 10)))) as pdf:
        assert pixels_of(pdf).ColorSpace == "/DeviceGray"


def test_an_artwork_is_embedded_once_and_the_bytes_repeat() -> None:
    """Forty copies of a back print must not make a sheet that no mail server takes."""
    art = two_halves(ArtworkKind.PNG)
    items = [item(art, ArtworkKind.PNG, x * 30, y * 20, 20, 10) for x in range(8) for y in range(5)]
    data = sheet(*items, label="W49 S1")
    assert data == sheet(*items, label="W49 S1")
    with pikepdf.open(BytesIO(data)) as pdf:
        assert len(pdf.pages[0].resources.XObject) == 2  # the artwork, and the margin's own print


def test_what_a_pdf_carries_beside_its_page_is_left_behind() -> None:
    """Scripts and annotations have no business in a printer's queue."""
    out = BytesIO()
    with pikepdf.open(BytesIO(pdf_art(GREEN))) as pdf:
        pdf.Root.OpenAction = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="app.alert(1)")
        note = pikepdf.Dictionary(
            Type=pikepdf.Name.Annot, Subtype=pikepdf.Name.Text, Rect=[0, 0, 9, 9], Contents="x"
        )
        pdf.pages[0].Annots = pdf.make_indirect(pikepdf.Array([note]))
        pdf.save(out)
    data = sheet(item(out.getvalue(), ArtworkKind.PDF, 0, 0, 100, 50))
    with pikepdf.open(BytesIO(data)) as pdf:
        assert "/OpenAction" not in pdf.Root
        assert "/Annots" not in pdf.pages[0]
        assert not [entry for entry in pdf.objects if isinstance(entry, pikepdf.Dictionary) and "/JS" in entry]


def test_marks_stand_at_the_edge_and_the_label_can_be_read() -> None:
    """The cutter lays the ruler from mark to mark; they must end before the prints begin."""
    data = sheet(
        marks=(
            Mark(x1=0, y1=100 * MM, x2=SHEET[0], y2=100 * MM),
            Mark(x1=50 * MM, y1=0, x2=50 * MM, y2=100 * MM),
        ),
        label="W49 S1",
    )
    image = raster(data, 254).convert("L")  # 10 pixels to the millimetre
    row = image.height - 1000
    assert min(image.getpixel((15, row + step)) for step in (-1, 0, 1)) < 160
    assert min(image.getpixel((image.width - 16, row + step)) for step in (-1, 0, 1)) < 160
    assert image.crop((40, row - 20, image.width - 40, row + 20)).getextrema() == (255, 255)
    assert min(image.getpixel((500 + step, image.height - 16)) for step in (-1, 0, 1)) < 160
    from tests.documents.papers import text_of

    assert "W49 S1" in text_of(data)[0]


def test_wrong_proportions_are_not_stretched_away() -> None:
    """A changed file, or a camera's turn that the plan did not see, must not come out squeezed."""
    with pytest.raises(ArtworkUnreadable, match=r"1\.000 times as wide as high, planned were 2\.000"):
        sheet(item(png((10, 10), (*RED, 255)), ArtworkKind.PNG, 0, 0, 100, 50))


@pytest.mark.parametrize("kind", list(ArtworkKind))
def test_broken_artwork_ends_in_one_error(kind: ArtworkKind) -> None:
    """The caller names the artwork; the sheet only says what is wrong."""
    with pytest.raises(ArtworkUnreadable):
        sheet(item(b"rubbish", kind, 0, 0, 10, 10))


@settings(max_examples=8)
@given(x=st.integers(0, 90_000), y=st.integers(0, 90_000), wide=st.integers(3_000, 9_000), turned=st.booleans())
def test_any_place_is_kept(x: int, y: int, wide: int, turned: bool) -> None:
    """Places are whole micrometres, wherever the packer finds them."""
    art = Item(
        page=art_page(png((30, 30), (*RED, 255)), ArtworkKind.PNG),
        x=x,
        y=y,
        width=wide,
        height=wide,
        turned=turned,
    )
    found = box_mm(sheet(art, size=(100_000, 100_000)), RED, 600)
    assert found == pytest.approx((x / MM, y / MM, (x + wide) / MM, (y + wide) / MM), abs=0.1)
