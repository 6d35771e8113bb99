"""The bundled typefaces (DejaVu, licence beside them) and which characters each can draw.

Only these occur in our papers: a PDF that leans on the reader's own fonts looks different on every
machine, and reportlab's built-in fonts lack most letters beyond western Europe.
"""

from functools import cache, lru_cache
from pathlib import Path

from reportlab import rl_config
from reportlab.graphics.shapes import STATE_DEFAULTS
from reportlab.pdfbase import pdfdoc, pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

SANS = "DejaVuSans"
BOLD = "DejaVuSans-Bold"
OBLIQUE = "DejaVuSans-Oblique"
MONO = "DejaVuSansMono"

# A week's papers share some ten subsets of the faces, 35 kB each: each is cut out and packed once, not a thousand
# times. So many of a face are kept, and so many of all streams, those of pages among them.
_SUBSETS = 8
_STREAMS = 64


@cache
def register() -> None:
    """Make the four faces known to reportlab; safe to call again and again."""
    for name in (SANS, BOLD, OBLIQUE, MONO):
        pdfmetrics.registerFont(_face(name))
    pdfdoc.PDFZCompress.encode = lru_cache(_STREAMS)(pdfdoc.PDFZCompress.encode)  # type: ignore[method-assign]
    # There is no bold oblique among the four: bold wins where both are asked for.
    pdfmetrics.registerFontFamily(SANS, normal=SANS, bold=BOLD, italic=OBLIQUE, boldItalic=BOLD)
    # Every drawing begins with this font, used or not: the default would add Helvetica, which is not embedded.
    STATE_DEFAULTS["fontName"] = SANS
    # Bytes stay bytes: to write them in letters takes a fifth of the time of a paper, and of its room.
    rl_config.useA85 = 0
    pdfmetrics.registerFontFamily(MONO, normal=MONO, bold=MONO, italic=MONO, boldItalic=MONO)


def _face(name: str) -> TTFont:
    font = TTFont(name, Path(__file__).with_name(f"{name}.ttf"))
    cut = lru_cache(_SUBSETS)(font.face.makeSubset)
    font.face.makeSubset = lambda subset: cut(tuple(subset))  # type: ignore[method-assign]
    return font


@cache
def drawable(name: str) -> frozenset[str]:
    """Every character that the face `name` has a glyph for."""
    register()
    font = pdfmetrics.getFont(name)
    if not isinstance(font, TTFont):
        raise TypeError(f"{name} is not one of the bundled faces")
    return frozenset(chr(code) for code, glyph in font.face.charToGlyph.items() if glyph)


def text_width(text: str, name: str, size: float) -> float:
    """Width in points of one line of `text` in the face `name` at `size` points."""
    register()
    return float(pdfmetrics.stringWidth(text, name, size))
