"""Words into reportlab paragraphs: the one place where text becomes markup for reportlab.

reportlab's Paragraph reads tags in its text: `<img src="/etc/passwd">` in a customer's name would embed a file.
So nothing else in the project may make a Paragraph (a test sees to that), and all text is escaped here.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import ClassVar, Literal
from xml.sax.saxutils import escape, quoteattr

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle

from plugins.documents.fonts import BOLD, MONO, OBLIQUE, SANS, drawable, register
from plugins.documents.paper.marked import MarkedParagraph
from plugins.documents.paper.markup import Node
from plugins.documents.paper.structure import Element

INK = HexColor("#1b1f24")
MUTED = HexColor("#57606a")
LINK = "#1f4e79"
REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
_ALIGNMENTS: Mapping[str, Literal[0, 1, 2]] = {"left": 0, "center": 1, "right": 2}
# Sizes in points for an office paper; a paper for the shop floor is set a fifth larger.
_SIZES = {"p": 9.0, "small": 7.5, "h1": 18.0, "h2": 12.5, "h3": 10.0, "big": 24.0}
LARGE = 1.2


class Lettering:
    """Text styles of one paper at one scale, and the characters that its fonts could not draw."""

    def __init__(self, scale: float = 1.0) -> None:
        register()
        self.scale = scale
        self._missing: set[str] = set()

    @property
    def missing(self) -> tuple[str, ...]:
        """Characters that cannot be set as they should be, in code point order."""
        return tuple(sorted(self._missing))

    def size(self, kind: str) -> float:
        """The size in points of p, small, h1, h2, h3 or big."""
        return _SIZES[kind] * self.scale

    def paragraph(
        self,
        words: Iterable[Node | str],
        element: Element | None,
        kind: str = "p",
        align: str = "left",
        look: str = "",
    ) -> MarkedParagraph:
        """Words of an element (of none: an artifact) as a paragraph.

        `kind` is p, small, h1, h2, h3 or big; `look` strong, muted, total or caution.
        """
        style = _style(kind, self.scale, align or "left", look)
        return MarkedParagraph(self._markup(words, style.fontName).strip(), style, element)

    def _markup(self, words: Iterable[Node | str], face: str) -> str:
        return "".join(self._word(word, face) for word in words)

    def _word(self, word: Node | str, face: str) -> str:
        return self._text(word, face) if isinstance(word, str) else self._TAGS[word.tag](self, word, face)

    def _text(self, text: str, face: str) -> str:
        return escape(self.settable(re.sub(r"[ \t\r\n]+", " ", text), face))

    def settable(self, text: str, face: str) -> str:
        """`text` with the replacement character for whatever the face cannot draw; each is remembered.

        Characters that draw nothing (zero-width and direction marks) are dropped. Right-to-left letters are kept
        but remembered too: they would come out in the wrong order.
        """
        if text.isascii() and text.isprintable():
            # Most of all text: every face draws these.
            return text
        shown = []
        for character in unicodedata.normalize("NFC", text):
            if unicodedata.category(character) == "Cf":
                continue
            known = character in drawable(face)
            if not known or unicodedata.bidirectional(character) in ("R", "AL"):
                self._missing.add(character)
            shown.append(character if known else REPLACEMENT)
        return "".join(shown)

    def _bold(self, node: Node, _: str) -> str:
        return f"<b>{self._markup(node.children, BOLD)}</b>"

    def _italic(self, node: Node, face: str) -> str:
        return f"<i>{self._markup(node.children, BOLD if face == BOLD else OBLIQUE)}</i>"

    def _small(self, node: Node, face: str) -> str:
        return f'<font size="{self.size("small"):g}">{self._markup(node.children, face)}</font>'

    def _code(self, node: Node, _: str) -> str:
        return f'<font name="{MONO}">{self._markup(node.children, MONO)}</font>'

    def _link(self, node: Node, face: str) -> str:
        words = self._markup(node.children, face)
        target = node.get("href")
        # A relative link points beside the paper's folder, which means nothing on paper.
        return f"<a href={quoteattr(target)} color={quoteattr(LINK)}>{words}</a>" if ":" in target else words

    def _break(self, _: Node, __: str) -> str:
        return "<br/>"

    def _tick(self, _: Node, __: str) -> str:
        return f'<font size="{self.size("p") * 1.3:g}">\N{BALLOT BOX}</font>'

    _TAGS: ClassVar[Mapping[str, Callable[["Lettering", Node, str], str]]] = {
        "b": _bold,
        "i": _italic,
        "small": _small,
        "code": _code,
        "a": _link,
        "br": _break,
        "tick": _tick,
    }


@cache
def _style(kind: str, scale: float, align: str, look: str) -> ParagraphStyle:
    size = _SIZES[kind] * scale
    heading = kind in ("h1", "h2", "h3")
    return ParagraphStyle(
        "-".join((kind, align, look)),
        fontName=BOLD if heading or kind == "big" or look in ("strong", "total", "caution") else SANS,
        fontSize=size,
        leading=size * (1.15 if heading or kind == "big" else 1.35),
        textColor=MUTED if look == "muted" else INK,
        alignment=_ALIGNMENTS[align],
        spaceBefore=size * 0.9 if heading else 0,
        spaceAfter=size * 0.35 if heading else 0,
        keepWithNext=int(heading),
        splitLongWords=1,
        embeddedHyphenation=0,
    )
