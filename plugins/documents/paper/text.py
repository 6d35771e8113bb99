"""Words into reportlab paragraphs: pieces of text, each with its look.

reportlab's Paragraph would read tags in its text: `<img src="/etc/passwd">` in a customer's name would embed a file.
Here text never becomes markup, and nothing else in the project may make a Paragraph (a test sees to that).
"""

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from itertools import count
from typing import ClassVar, Literal

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus.paraparser import ParaFrag

from plugins.documents.fonts import BOLD, MONO, OBLIQUE, SANS, drawable, register
from plugins.documents.paper.marked import MarkedParagraph
from plugins.documents.paper.markup import Node
from plugins.documents.paper.structure import Element

INK = HexColor("#1b1f24")
MUTED = HexColor("#57606a")
LINK = HexColor("#1f4e79")
REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
_ALIGNMENTS: Mapping[str, Literal[0, 1, 2]] = {"left": 0, "center": 1, "right": 2}
# Sizes in points for an office paper; a paper for the shop floor is set a fifth larger.
_SIZES = {"p": 9.0, "small": 7.5, "h1": 18.0, "h2": 12.5, "h3": 10.0, "big": 24.0}
LARGE = 1.2
_SPACES = re.compile("[^\\S\N{NO-BREAK SPACE}]+")


class Lettering:
    """Text styles of one paper at one scale, and the characters that its fonts could not draw."""

    def __init__(self, scale: float = 1.0) -> None:
        register()
        self.scale = scale
        self._missing: set[str] = set()
        # reportlab tells the links of a paragraph apart by numbers.
        self._links = count()

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
        style, parts = _style(kind, self.scale, align or "left", look), list(words)
        if parts and isinstance(parts[0], str):
            parts[0] = parts[0].lstrip()
        if parts and isinstance(parts[-1], str):
            parts[-1] = parts[-1].rstrip()
        pieces = list(self._pieces(parts, _plain(style)))
        said = "".join("\n" if hasattr(piece, "lineBreak") else piece.text for piece in pieces)
        return MarkedParagraph(said, style, element, frags=pieces)

    def _pieces(self, words: Iterable[Node | str], like: ParaFrag) -> Iterator[ParaFrag]:
        """The words as pieces of text that look as `like` does, but for what tags say."""
        for word in words:
            if isinstance(word, Node):
                yield from self._TAGS[word.tag](self, word, like)
            elif text := self.settable(_SPACES.sub(" ", word), like.fontName):
                yield like.clone(text=text)

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

    def _bold(self, node: Node, like: ParaFrag) -> Iterator[ParaFrag]:
        return self._pieces(node.children, like.clone(fontName=MONO if like.fontName == MONO else BOLD))

    def _italic(self, node: Node, like: ParaFrag) -> Iterator[ParaFrag]:
        face = OBLIQUE if like.fontName == SANS else like.fontName
        return self._pieces(node.children, like.clone(fontName=face))

    def _small(self, node: Node, like: ParaFrag) -> Iterator[ParaFrag]:
        return self._pieces(node.children, like.clone(fontSize=self.size("small")))

    def _code(self, node: Node, like: ParaFrag) -> Iterator[ParaFrag]:
        return self._pieces(node.children, like.clone(fontName=MONO))

    def _link(self, node: Node, like: ParaFrag) -> Iterator[ParaFrag]:
        target = node.get("href")
        # A relative link points beside the paper's folder, which means nothing on paper.
        if ":" in target:
            like = like.clone(link=[*like.link, (next(self._links), target)], textColor=LINK)
        return self._pieces(node.children, like)

    def _break(self, _: Node, like: ParaFrag) -> Iterator[ParaFrag]:
        yield like.clone(text="", lineBreak=True)

    def _tick(self, _: Node, like: ParaFrag) -> Iterator[ParaFrag]:
        yield like.clone(text="\N{BALLOT BOX}", fontSize=round(self.size("p") * 1.3, 2))

    _TAGS: ClassVar[Mapping[str, Callable[["Lettering", Node, ParaFrag], Iterator[ParaFrag]]]] = {
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


@cache
def _plain(style: ParagraphStyle) -> ParaFrag:
    """A piece of text that looks as the style says."""
    look = {"fontName": style.fontName, "fontSize": style.fontSize, "textColor": style.textColor}
    return ParaFrag(text="", rise=0, link=[], us_lines=[], **look)
