"""Customers' artwork, opened with care: the bytes may be broken or hostile, and come from anywhere.

Nothing here takes a path: an SVG given to svglib by name can read files beside it, given as bytes it cannot.
"""

import warnings
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from io import BytesIO

import pypdfium2
from PIL import Image
from pypdfium2.raw import FPDFBitmap_BGRA

from pipeline.model.order import ArtworkKind

#: A 22 x 24 in sheet at 500 pixels per inch has 132 million.
MAX_PIXELS = 150_000_000
MAX_ELEMENTS = 50_000
_PIXEL_KINDS = (ArtworkKind.PNG, ArtworkKind.JPEG, ArtworkKind.TIFF)
# svglib draws these wrongly without a word, or they reach outside the file, or depend on the reader's fonts.
_REFUSED = {
    "script": "a script",
    "foreignObject": "a foreignObject",
    "mask": "a mask",
    "filter": "a filter",
    "pattern": "a pattern",
    "text": "live text: turn it into outlines",
    "animate": "an animation",
    "animateTransform": "an animation",
    "animateMotion": "an animation",
    "set": "an animation",
}


class ArtworkUnreadable(ValueError):
    """The artwork cannot be opened or would come out wrong; the message is a sentence for people."""


@contextmanager
def reading(kind: ArtworkKind) -> Iterator[None]:
    """Turn whatever a reader raises on broken bytes into ArtworkUnreadable; parsers document no closed list."""
    try:
        yield
    except ArtworkUnreadable:
        raise
    except Exception as error:
        reason = str(error).strip() or type(error).__name__
        raise ArtworkUnreadable(f"this {kind.value.upper()} cannot be read: {reason}") from error


def open_pixels(data: bytes, kind: ArtworkKind) -> Image.Image:
    """A PNG, JPEG or TIFF, decoded whole in its own colour mode. Raises ArtworkUnreadable."""
    with reading(kind), warnings.catch_warnings():
        # Our own limit stands in place of Pillow's, which an honest gang sheet exceeds.
        warnings.simplefilter("ignore", Image.DecompressionBombWarning)
        image = Image.open(BytesIO(data), formats=[kind.value.upper()])
        if image.width * image.height > MAX_PIXELS:
            raise ArtworkUnreadable(
                f"this picture has {image.width} × {image.height} pixels, over {MAX_PIXELS:,}"
            )
        image.load()
        return image


def svg_page(data: bytes) -> bytes:
    """An SVG as a PDF of one page with nothing behind it. Raises ArtworkUnreadable."""
    from reportlab.graphics import renderPDF
    from svglib.svglib import svg2rlg

    from plugins.documents.fonts import SANS, register

    with reading(ArtworkKind.SVG):
        _check_svg(data)
        register()
        drawing = svg2rlg(BytesIO(data))
        if drawing is None or drawing.width <= 0 or drawing.height <= 0:
            raise ArtworkUnreadable("this SVG cannot be read: it has no size or no content")
        settings = {"invariant": 1, "initialFontName": SANS}
        page: bytes = renderPDF.drawToString(drawing, canvasKwds=settings)  # type: ignore[assignment]
        return page


def raster(data: bytes, kind: ArtworkKind, longest: int) -> Image.Image:
    """Any artwork as RGBA pixels, its longer side `longest` pixels at most. Raises ArtworkUnreadable."""
    if kind in _PIXEL_KINDS:
        pixels = open_pixels(data, kind)
        with reading(kind):
            # Shrink in premultiplied colour: otherwise the hidden colour of clear pixels bleeds into the edge.
            rgba = pixels.convert("RGBA").convert("RGBa")
            rgba.thumbnail((longest, longest), Image.Resampling.LANCZOS)
            return rgba.convert("RGBA")
    page_data = svg_page(data) if kind is ArtworkKind.SVG else data
    with reading(kind):
        document = pypdfium2.PdfDocument(page_data)
        try:
            page = document[0]
            # A hair less: pdfium rounds up, and a page must not gain a pixel.
            scale = longest / max(page.get_size()) * (1 - 1e-4)
            bitmap = page.render(
                scale=scale,
                fill_color=(255, 255, 255, 0),
                force_bitmap_format=FPDFBitmap_BGRA,
                may_draw_forms=False,
                draw_annots=False,
                rev_byteorder=True,
            )
            image: Image.Image = bitmap.to_pil().convert("RGBA")
        finally:
            document.close()
        image.thumbnail((longest, longest), Image.Resampling.LANCZOS)
        return image


def _check_svg(data: bytes) -> None:
    root = ET.XML(data, ET.XMLParser(target=_NoDoctype()))  # noqa: S314 - entities need the refused DOCTYPE
    for element in root.iter():
        name = _local(element.tag)
        if name in _REFUSED:
            raise ArtworkUnreadable(f"this SVG holds {_REFUSED[name]}")
        for attribute, value in element.attrib.items():
            _check_attribute(_local(attribute), value)
        if name == "style" and element.text and ("@import" in element.text or "url(" in element.text):
            raise ArtworkUnreadable("the style of this SVG refers to something else")
    if _drawn_elements(root) > MAX_ELEMENTS:
        raise ArtworkUnreadable(f"this SVG draws more than {MAX_ELEMENTS:,} elements")


class _NoDoctype(ET.TreeBuilder):
    """A document type brings entities: bombs, and files of this machine. No SVG needs one."""

    def doctype(self, *_: object) -> None:
        raise ArtworkUnreadable("this SVG has a DOCTYPE: save it again as plain SVG")


def _local(name: str) -> str:
    """A tag's or attribute's name without its namespace."""
    return name.rpartition("}")[2]


def _check_attribute(name: str, value: str) -> None:
    if name.startswith("on"):
        raise ArtworkUnreadable("this SVG holds a script")
    outside = name == "href" and not value.strip().startswith(("#", "data:image/png", "data:image/jpeg"))
    if outside or ("url(" in value and "url(#" not in value.replace(" ", "").replace("'", "").replace('"', "")):
        raise ArtworkUnreadable(f"this SVG refers to another file, {value[:40]!r}")


def _drawn_elements(root: ET.Element) -> int:
    """How many elements are drawn once every `use` is followed; a chain of ten lines can make billions."""
    by_id = {element.get("id"): element for element in root.iter() if element.get("id")}
    open_ids: set[str] = set()

    @cache
    def drawn(element: ET.Element) -> int:
        total = 1 + sum(drawn(child) for child in element)
        if _local(element.tag) == "use":
            href = next((value for key, value in element.attrib.items() if key.endswith("href")), "")
            target = by_id.get(href.strip().removeprefix("#"))
            if target is not None:
                if href in open_ids:
                    raise ArtworkUnreadable("this SVG uses a part of itself inside that part")
                open_ids.add(href)
                total += drawn(target)
                open_ids.remove(href)
        return total

    return drawn(root)
