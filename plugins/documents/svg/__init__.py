"""SVG as a drawing, by svglib: with less asked and checked than svglib does, which saves a quarter of the time.

What an SVG says is either drawn as it says or told: a print that differs from the drawing costs a sheet. svglib
passes over much of it without a word. Some is put into words that it reads (`attributes`), some is drawn here
(`gradients`, `shapes`, `renderer`); the rest is said where svglib says what it could not draw (`doubts`).
"""

from io import BytesIO

from reportlab.graphics.shapes import Drawing
from svglib.svglib import load_svg_file

from plugins.documents.svg.doubts import heard
from plugins.documents.svg.renderer import Renderer
from plugins.documents.svg.shapes import checked


def svg_drawing(data: bytes) -> tuple[Drawing | None, tuple[str, ...]]:
    """The drawing, or None when there is none, and what is drawn otherwise than asked, each once.

    Of bytes, not of a path, beside which an SVG could read files.
    """
    drawing: Drawing | None = None
    with heard() as said, checked(False):
        root = load_svg_file(BytesIO(data))
        if root is not None:
            drawing = Renderer(BytesIO(data)).render(root)
    return drawing, tuple(said)
