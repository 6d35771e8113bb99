"""Drawings and pictures on PDF pages: each picture once, its pixels and their transparency as they were."""

from base64 import b64encode
from io import BytesIO
from pathlib import Path

import pikepdf
from PIL import Image as Pixels
from reportlab.graphics.shapes import Drawing, Image

from plugins.documents.artwork import svg_page
from plugins.documents.canvas import Picture, drawing_page
from tests.documents.papers import raster


def png(image: Pixels.Image) -> bytes:
    """An image as a PNG."""
    out = BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def shades() -> Pixels.Image:
    """Pixels that differ from row to row and from column to column."""
    ramp = Pixels.linear_gradient("L").resize((60, 40))
    return Pixels.merge("RGB", (ramp, ramp.rotate(180), ramp.transpose(Pixels.Transpose.FLIP_LEFT_RIGHT)))


def test_a_picture_is_embedded_once_and_unchanged() -> None:
    """An instruction shows its artwork twice. Read back by a library that did not write it."""
    image = shades()
    picture = Picture(png=png(image), width=60, height=40)
    drawing = Drawing(200, 100)
    drawing.add(Image(0, 0, 60, 40, picture))
    drawing.add(Image(90, 10, 30, 20, picture))
    page = drawing_page(drawing)
    assert page == drawing_page(drawing)
    with pikepdf.open(BytesIO(page)) as pdf:
        (embedded,) = pdf.pages[0].Resources.XObject.values()
        assert pikepdf.PdfImage(embedded).as_pil_image().tobytes() == image.tobytes()
    # One point to the pixel, the second at half the size.
    shown = raster(page, 72)
    assert shown.crop((0, 60, 60, 100)).tobytes() == image.tobytes()
    assert shown.getpixel((105, 80)) != (255, 255, 255)


def test_pixels_within_an_svg_keep_their_transparency() -> None:
    """A motif with clear corners would be pressed with a box around it."""
    image = Pixels.new("RGBA", (40, 20), (0, 0, 0, 0))
    image.paste((220, 20, 20, 255), (0, 0, 20, 10))
    data = b64encode(png(image)).decode()
    space = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    svg = f'<svg {space} width="40px" height="20px"><image xlink:href="data:image/png;base64,{data}" '
    page = svg_page(f'{svg} width="40" height="20"/></svg>'.encode())
    # An SVG's pixel is 1/96 in.
    shown = raster(page, 96, clear=True)
    assert shown.getpixel((5, 5)) == (220, 20, 20, 255)
    assert [shown.getpixel(spot)[3] for spot in ((30, 5), (5, 15), (30, 15))] == [0, 0, 0]


def test_a_path_in_a_drawing_is_not_opened(tmp_path: Path) -> None:
    """A drawing that came from a customer must not reach into the disk."""
    secret = tmp_path / "secret.png"
    secret.write_bytes(png(shades()))
    drawing = Drawing(60, 40)
    drawing.add(Image(0, 0, 60, 40, str(secret)))
    with pikepdf.open(BytesIO(drawing_page(drawing))) as pdf:
        assert "/XObject" not in pdf.pages[0].Resources
