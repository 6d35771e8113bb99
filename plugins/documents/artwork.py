"""Customers' artwork, opened with care: the bytes may be broken or hostile, and come from anywhere."""

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from io import BytesIO

import pypdfium2
from attrs import frozen
from PIL import Image
from pypdfium2.raw import FPDFBitmap_BGRA

from pipeline.artwork.pixels import MAX_PIXELS, eight_bits
from pipeline.artwork.svg import measure_svg
from pipeline.model.order import ArtworkKind
from plugins.documents.kept import Kept

_PIXEL_KINDS = (ArtworkKind.PNG, ArtworkKind.JPEG, ArtworkKind.TIFF)


class ArtworkUnreadable(ValueError):
    """The artwork cannot be opened or would come out wrong; the message is a sentence for people."""


@frozen
class _SvgPage:
    pdf: bytes
    doubts: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.pdf) + sum(map(len, self.doubts))


# A drawing is asked for at the door, for the papers and for the sheets.
_SVG_PAGES = Kept[_SvgPage](16_000_000)


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
        return eight_bits(image)


def svg_page(data: bytes) -> bytes:
    """An SVG as a PDF of one page with nothing behind it. Raises ArtworkUnreadable."""
    return _svg(data).pdf


def svg_doubts(data: bytes) -> tuple[str, ...]:
    """Why an SVG may print otherwise than it was drawn, each reason once. Raises ArtworkUnreadable."""
    return _svg(data).doubts


def _svg(data: bytes) -> _SvgPage:
    return _SVG_PAGES.get(sha256(data).hexdigest(), lambda: _drawn(data))


def _drawn(data: bytes) -> _SvgPage:
    from plugins.documents.canvas import drawing_page
    from plugins.documents.svg import svg_drawing

    with reading(ArtworkKind.SVG):
        # The door let it in; whoever comes another way is asked the same.
        measure_svg("artwork.svg", data)
        drawing, doubts = svg_drawing(data)
        if drawing is None or drawing.width <= 0 or drawing.height <= 0:
            raise ArtworkUnreadable("this SVG cannot be read: it has no size or no content")
        return _SvgPage(drawing_page(drawing), doubts)


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
