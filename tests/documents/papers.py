"""Short ways to make a paper and to look at what came out; PDFs are read by libraries that did not write them."""

from io import BytesIO

import pikepdf
import pypdfium2
from PIL import Image
from reportlab.graphics.shapes import Drawing

from plugins.documents.canvas import drawing_page
from plugins.documents.paper.assets import Assets
from plugins.documents.paper.markup import Node, parse
from plugins.documents.paper.pdf import PrintedPaper, print_paper


def page(inner: str, **attributes: str) -> Node:
    """A paper around some XML."""
    given = {"title": "Test", **attributes}
    said = " ".join(f"{name}='{value}'" for name, value in given.items())
    return parse(f"<page {said}>{inner}</page>", "test.xml.j2")


def printed(inner: str, assets: Assets | None = None, **attributes: str) -> PrintedPaper:
    """A paper around some XML, printed."""
    return print_paper(page(inner, **attributes), assets)


def text_of(data: bytes) -> list[str]:
    """The text layer, page by page."""
    document = pypdfium2.PdfDocument(data)
    return [leaf.get_textpage().get_text_bounded() for leaf in document]


def raster(data: bytes, dpi: float = 100, *, clear: bool = False) -> Image.Image:
    """The first page as pixels. The hair less than `dpi` keeps pdfium from rounding a page up by a pixel."""
    leaf = pypdfium2.PdfDocument(data)[0]
    fill = (255, 255, 255, 0) if clear else (255, 255, 255, 255)
    options = {"force_bitmap_format": pypdfium2.raw.FPDFBitmap_BGRA, "rev_byteorder": True}
    image: Image.Image = leaf.render(scale=dpi / 72 * (1 - 1e-9), fill_color=fill, **options).to_pil()
    return image if clear else image.convert("RGB")


def raster_drawing(drawing: Drawing, dpi: float = 100) -> Image.Image:
    """A drawing as pixels."""
    return raster(drawing_page(drawing), dpi)


def fonts_of(data: bytes) -> dict[str, bool]:
    """Every font of a PDF by its name, and whether its program is embedded."""
    found = {}
    with pikepdf.open(BytesIO(data)) as pdf:
        for item in pdf.objects:
            if isinstance(item, pikepdf.Dictionary) and item.get("/Type") == "/Font":
                descriptor = item.get("/FontDescriptor", pikepdf.Dictionary())
                found[str(item.BaseFont)] = "/FontFile2" in descriptor
    return found


def box_of(image: Image.Image, colour: tuple[int, int, int], tolerance: int = 40) -> tuple[int, int, int, int]:
    """Where a colour stands: left, top, right, bottom in pixels. Fails when it stands nowhere."""
    bands = image.convert("RGB").split()
    masks = [
        band.point(lambda level, want=want: 255 if abs(level - want) <= tolerance else 0)
        for band, want in zip(bands, colour, strict=True)
    ]
    both = Image.merge("RGB", masks).convert("L").point(lambda level: 255 if level == 255 else 0)
    found = both.getbbox()
    assert found is not None, f"nothing is {colour}"
    return found
