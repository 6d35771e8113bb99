"""Artwork that is broken or means harm ends in one plain sentence; good artwork in a small picture."""

from io import BytesIO

import numpy as np
import pikepdf
import pytest
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from pipeline.model.order import ArtworkKind
from plugins.documents import artwork
from plugins.documents.artwork import ArtworkUnreadable, raster
from plugins.documents.paper.pictures import picture
from tests.documents.artworks import png, svg


@pytest.mark.parametrize(
    ("inner", "message"),
    [
        ("<script>1</script>", "holds `script`"),
        ('<mask id="m"/>', "holds `mask`"),
        ("<text>Hi</text>", "holds `text`"),
        ('<image xlink:href="../secret.png" width="9" height="9"/>', "holds a reference to another file"),
        ('<g id="a"><use xlink:href="#a"/></g>', "in which `use` stands again"),
    ],
)
def test_an_svg_that_reaches_out_or_comes_out_wrong_is_refused(inner: str, message: str) -> None:
    """Svglib draws some of these wrongly without a word; the others reach outside the file.

    Every kind of fault is tried where artwork is read; here only that a drawing is asked before it is drawn.
    """
    with pytest.raises(ArtworkUnreadable, match=message):
        picture(svg(inner), ArtworkKind.SVG)


@pytest.mark.parametrize("data", [b"<svg xmlns='http://www.w3.org/2000/svg' width='0' height='0'/>", b"<html/>"])
def test_an_svg_without_a_picture_is_told(data: bytes) -> None:
    """It would become a sheet with a hole."""
    with pytest.raises(ArtworkUnreadable, match="SVG cannot be read"):
        picture(data, ArtworkKind.SVG)


def test_a_doctype_is_refused_before_an_entity_is_read() -> None:
    """Entities read local files and blow up memory."""
    bomb = b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/hostname">]>' + svg("<g>&a;</g>")
    with pytest.raises(ArtworkUnreadable, match="DOCTYPE"):
        picture(bomb, ArtworkKind.SVG)


def test_a_chain_of_uses_is_counted_not_drawn() -> None:
    """Thirty lines that draw 2^30 rectangles took seconds and gigabytes."""
    steps = "".join(f'<g id="s{n + 1}"><use xlink:href="#s{n}"/><use xlink:href="#s{n}"/></g>' for n in range(30))
    with pytest.raises(ArtworkUnreadable, match="`use` stands again"):
        picture(svg(f'<rect id="s0" width="1" height="1"/>{steps}'), ArtworkKind.SVG)


@pytest.mark.parametrize("kind", list(ArtworkKind))
@pytest.mark.parametrize(
    "data", [b"", b"rubbish", b"\x89PNG\r\n\x1a\n", b"%PDF-1.7\n", b"<svg", b"II*\x00", b"\xff\xd8\xff"]
)
def test_broken_files_end_in_one_error(kind: ArtworkKind, data: bytes) -> None:
    """Readers raise a dozen kinds of errors; the documents know one."""
    with pytest.raises(ArtworkUnreadable):
        picture(data, kind)


def test_a_cut_off_png_is_not_half_a_picture() -> None:
    """Some readers fill the rest with grey."""
    data = png((300, 300), (9, 200, 30, 255))
    with pytest.raises(ArtworkUnreadable, match="PNG cannot be read"):
        picture(data[: len(data) // 2], ArtworkKind.PNG)


def test_too_many_pixels_are_refused_before_they_are_decoded(monkeypatch: pytest.MonkeyPatch) -> None:
    """A file of a few kilobytes can claim a hundred gigabytes; the header is read first."""
    monkeypatch.setattr(artwork, "MAX_PIXELS", 10_000)
    with pytest.raises(ArtworkUnreadable, match="101 × 100 pixels"):
        picture(png((101, 100), (0, 0, 0, 255)), ArtworkKind.PNG)


def test_an_encrypted_pdf_is_refused() -> None:
    """A customer forgot to take the password off; the shop must hear it in words."""
    out = BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.save(out, encryption=pikepdf.Encryption(owner="o", user="u"))
    with pytest.raises(ArtworkUnreadable, match="PDF cannot be read"):
        picture(out.getvalue(), ArtworkKind.PDF)


def test_line_artwork_keeps_its_colours_and_its_clear_ground() -> None:
    """SVG and PDF come as pixels with nothing behind them; red and blue are not swapped."""
    drawn = raster(svg('<rect width="20" height="20" fill="#ff0000"/>'), ArtworkKind.SVG, 200)
    assert drawn.size == (200, 100)
    assert drawn.getpixel((50, 50)) == (255, 0, 0, 255)
    assert drawn.getpixel((150, 50))[3] == 0
    out = BytesIO()
    canvas = Canvas(out, pagesize=(200, 100))
    canvas.setFillColorRGB(0, 0, 1)
    canvas.rect(0, 0, 100, 100, stroke=0, fill=1)
    canvas.save()
    drawn = raster(out.getvalue(), ArtworkKind.PDF, 200)
    assert drawn.getpixel((50, 50)) == (0, 0, 255, 255)
    assert drawn.getpixel((150, 50))[3] == 0


def test_a_picture_is_small_and_repeats() -> None:
    """A press instruction goes by mail: 150 pixels per inch are enough to know the motif."""
    data = png((3000, 1500), (200, 40, 40, 255))
    made = picture(data, ArtworkKind.PNG)
    assert (made.width, made.height) == (450, 225)
    assert made.png == picture(data, ArtworkKind.PNG).png


@pytest.mark.parametrize(
    ("colour", "ground"), [((255, 255, 255, 255), (99, 108, 118)), ((10, 20, 90, 255), (255, 255, 255))]
)
def test_light_motifs_stand_on_grey(colour: tuple[int, ...], ground: tuple[int, ...]) -> None:
    """White ink for dark shirts would be white on white paper."""
    motif = Image.new("RGBA", (100, 100), (0, 0, 0, 0))
    motif.paste(colour, (40, 40, 60, 60))
    out = BytesIO()
    motif.save(out, "PNG")
    shown = Image.open(BytesIO(picture(out.getvalue(), ArtworkKind.PNG).png))
    assert shown.getpixel((5, 5)) == ground


def test_the_hidden_colour_of_clear_pixels_does_not_bleed() -> None:
    """Clear pixels often are black underneath; shrinking must not draw a dark rim round a white motif."""
    motif = Image.new("RGBA", (900, 900), (0, 0, 0, 0))
    motif.paste((255, 0, 0, 255), (333, 333, 601, 601))
    out = BytesIO()
    motif.save(out, "PNG")
    small = raster(out.getvalue(), ArtworkKind.PNG, 100)
    pixels = np.asarray(small)
    rim = pixels[(pixels[..., 3] > 40) & (pixels[..., 3] < 215)]
    assert len(rim)
    assert rim[:, 0].min() > 235
