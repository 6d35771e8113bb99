"""Drawings and pictures onto PDF pages.

reportlab's own renderer writes the pixels of a picture into the page itself, each time anew and without their
transparency. Here a picture is an object of the document, embedded once, whether a drawing or a page shows it.
"""

import struct
from hashlib import sha256
from io import BytesIO
from typing import Any

from attrs import field, frozen
from PIL.Image import Image as Pixels
from reportlab.graphics.renderbase import renderScaledDrawing
from reportlab.graphics.renderPDF import _PDFRenderer
from reportlab.graphics.shapes import Drawing, Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFDocument, PDFName, PDFObject, PDFStream
from reportlab.pdfgen.canvas import Canvas

from plugins.documents.fonts import SANS, register
from plugins.documents.shading import Shading, ShadingCanvas


@frozen(kw_only=True)
class Picture:
    """A PNG of red, green and blue with 8 bits each, not interlaced, and its size in pixels."""

    png: bytes = field(repr=False)
    width: int
    height: int

    def __len__(self) -> int:
        """Its bytes."""
        return len(self.png)


def draw(drawing: Drawing, canvas: Canvas) -> None:
    """Draw a drawing from the canvas's origin. An `Image` in it may hold a `Picture` instead of a path."""
    _Renderer().draw(renderScaledDrawing(drawing), canvas, 0, 0)  # type: ignore[no-untyped-call]


def drawing_page(drawing: Drawing) -> bytes:
    """A PDF of one page with the drawing alone, and nothing behind it. The same drawing gives the same bytes."""
    register()
    out = BytesIO()
    size = (drawing.width, drawing.height)
    canvas = ShadingCanvas(out, pagesize=size, invariant=1, initialFontName=SANS)
    draw(drawing, canvas)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


class _Renderer(_PDFRenderer):
    """reportlab's renderer, but for pictures and shadings. It has no public way to change how one kind is drawn."""

    _canvas: Canvas
    _begun = False

    def setFillColor(self, colour: Any) -> None:  # noqa: N802 - reportlab's name
        if isinstance(colour, Shading):
            self._shade(colour, stroke=False)
        else:
            self._canvas.setFillColor(colour)

    def setStrokeColor(self, colour: Any) -> None:  # noqa: N802
        if isinstance(colour, Shading):
            self._shade(colour, stroke=True)
        else:
            self._canvas.setStrokeColor(colour)

    def _shade(self, shading: Shading, *, stroke: bool) -> None:
        if isinstance(self._canvas, ShadingCanvas):
            self._canvas.set_shading(shading, stroke=stroke)

    def initState(self, x: float, y: float) -> None:  # noqa: N802
        super().initState(x, y)
        self._begun = True

    def applyStateChanges(self, delta: dict[str, Any], state: dict[str, Any]) -> None:  # noqa: N802
        super().applyStateChanges(delta, state)
        # reportlab knows of it and does not draw it. A page begins with the one that a drawing begins with.
        if self._begun and (limit := delta.get("strokeMiterLimit")):
            self._canvas.setMiterLimit(limit)

    def drawImage(self, image: Image) -> None:  # noqa: N802 - reportlab's name
        source, place = image.path, (image.x, image.y, image.width, image.height)
        if isinstance(source, Picture):
            _draw_picture(self._canvas, source, *place)
        elif isinstance(source, Pixels):
            # What an SVG carries within it. Never a path: that could be any file.
            self._canvas.drawImage(ImageReader(source), *place, mask="auto")


def _draw_picture(canvas: Canvas, picture: Picture, x: float, y: float, width: float, height: float) -> None:
    name = sha256(picture.png).hexdigest()[:16]
    if not canvas.hasForm(name):
        document: PDFDocument = canvas._doc  # type: ignore[attr-defined]  # noqa: SLF001 - no public way
        document.addForm(name, _Packed(picture))
    canvas.saveState()
    canvas.translate(x, y)
    canvas.scale(width, height)
    canvas.doForm(name)
    canvas.restoreState()


class _Packed(PDFObject):
    """A picture as an object of a PDF: a PNG packs pixels as a PDF does (ISO 32000-1, 7.4.4.4, from memory)."""

    def __init__(self, picture: Picture) -> None:
        self._picture = picture

    def format(self, document: object) -> bytes:
        wide, high = self._picture.width, self._picture.height
        entries = {
            "Type": PDFName("XObject"),
            "Subtype": PDFName("Image"),
            "Width": wide,
            "Height": high,
            "ColorSpace": PDFName("DeviceRGB"),
            "BitsPerComponent": 8,
            "Filter": PDFName("FlateDecode"),
            "DecodeParms": PDFDictionary({"Predictor": 15, "Colors": 3, "BitsPerComponent": 8, "Columns": wide}),
        }
        stream = PDFStream(dictionary=PDFDictionary(entries), content=_packed_pixels(self._picture.png))
        packed: bytes = stream.format(document)
        return packed


def _packed_pixels(png: bytes) -> bytes:
    """What the IDAT chunks of a PNG hold: one zlib stream (PNG specification, 5.3 and 10.1)."""
    place, data = 8, []
    while place < len(png):
        (length,) = struct.unpack(">I", png[place : place + 4])
        if png[place + 4 : place + 8] == b"IDAT":
            data.append(png[place + 8 : place + 8 + length])
        place += length + 12
    return b"".join(data)
