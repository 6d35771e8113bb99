"""Drawing so that every piece of a page says what it belongs to (ISO 32000-1:2008, 14.6 and 14.8.2).

Clauses are from memory.
"""

from itertools import accumulate
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.textobject import PDFTextObject
from reportlab.platypus import Flowable

from plugins.documents.paper.structure import Annotation, Element, Mark, Tree
from plugins.documents.paper.words import Words


class MarkedCanvas(Canvas):
    """A canvas whose content belongs to elements or is an artifact, and which writes their tree at the end."""

    _code: list[str]

    def __init__(self, *args: Any, top: Element, **options: Any) -> None:
        self._top = top
        self._open: list[Element | None] = []
        self._begun = self._place = 0
        # The elements of this page by the numbers of their marks; those of each page before; the links.
        self._here: list[Element] = []
        self._pages: list[list[Element]] = []
        self._links: list[Element] = []
        super().__init__(*args, **{"pdfVersion": (1, 7), **options})

    def begin(self, element: Element | None, band: str = "") -> None:
        """What is drawn now belongs to `element`, or to none: an artifact, be it the Header or Footer of each page.

        Within another piece this one says nothing.
        """
        self._open.append(element)
        if len(self._open) > 1:
            return
        if element is not None:
            self._place = len(element.kids)
            opening = f"/{element.kind} <</MCID {len(self._here)}>> BDC"
        else:
            opening = f"/Artifact <</Type/Pagination/Subtype/{band}>> BDC" if band else "/Artifact BMC"
        self._code.append(opening)
        self._begun = len(self._code)

    def end(self) -> None:
        """The piece ends. One in which nothing was drawn is none."""
        element = self._open.pop()
        if self._open:
            return
        if len(self._code) == self._begun:
            self._code.pop()
            return
        self._code.append("EMC")
        if element is not None:
            # Before the links in it, which were noted while it was drawn.
            element.kids.insert(self._place, Mark(self.getPageNumber() - 1, len(self._here)))
            self._here.append(element)

    def showPage(self) -> None:  # noqa: N802 - reportlab's name
        """End the page, and note on it where its marks are explained."""
        here = self._here
        super().showPage()
        page = self._doc.Pages.pages[-1]  # type: ignore[attr-defined]
        page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
        page.StructParents, page.Tabs = len(self._pages), PDFName("S")
        self._pages.append(here)

    def save(self) -> None:
        """Write the document with its structure. All pages must have been shown."""
        for key, link in enumerate(self._links, len(self._pages)):
            for kid in link.kids:
                if isinstance(kid, Annotation):
                    kid.annotation["StructParent"] = key
        catalog = self._doc.Catalog  # type: ignore[attr-defined]
        catalog.MarkInfo = PDFDictionary({"Marked": "true"})
        catalog.StructTreeRoot = Tree(self._top, [*self._pages, *self._links])
        super().save()

    def _startPage(self) -> None:  # noqa: N802
        super()._startPage()  # type: ignore[misc]
        self._here = []

    def _addAnnotation(self, annotation: PDFDictionary, *args: Any) -> None:  # noqa: N802
        element = self._open[0] if self._open else None
        if element is None:
            # A link is part of an element: in what is repeated its words are words.
            return
        link = Element("Link", element)
        link.kids.append(Annotation(annotation, self.getPageNumber() - 1))
        annotation["Contents"] = annotation["A"]["URI"]
        self._links.append(link)
        super()._addAnnotation(annotation, *args)  # type: ignore[misc]


class MarkedParagraph(Words):
    """A paragraph whose parts on several pages are pieces of one element.

    What is drawn again, as the head of a table is on each page, is an artifact there.
    """

    canv: MarkedCanvas
    #: Those of the whole paragraph, where this is a part.
    ends: "_LineEnds | None" = None

    def __init__(
        self, text: str | None, style: ParagraphStyle, element: Element | None = None, **parts: Any
    ) -> None:
        super().__init__(text, style, **parts)  # type: ignore[arg-type]  # None where it is a part
        self.element = element

    def split(self, width: float, height: float) -> list[Flowable]:
        """The parts: one that fits `height`, and the rest."""
        parts = super().split(width, height)
        ends = self._line_ends()
        for part in parts:
            if isinstance(part, MarkedParagraph):
                part.element, part.ends = self.element, ends
        return parts

    def draw(self) -> None:
        """Draw it as a piece of its element."""
        element, self.element = self.element, None
        self.canv.begin(element)
        super().draw()
        self.canv.end()

    def beginText(self, x: float, y: float) -> PDFTextObject:  # noqa: N802
        """The text to be filled."""
        lines = self.blPara.lines  # type: ignore[attr-defined]
        if self.ends is None and len(lines) == 1:
            return PDFTextObject(self.canv, x, y)
        return _Lines(self.canv, x, y, self._line_ends())

    def _line_ends(self) -> "_LineEnds":
        return self.ends or _LineEnds(self.text)


class _LineEnds:
    """Where a line of a paragraph may end between two words, counted in letters."""

    def __init__(self, text: str) -> None:
        self._between = frozenset(accumulate(map(len, text.split()[:-1])))
        self._drawn = 0

    def after(self, text: str) -> bool:
        """Whether a space follows when `text` was drawn."""
        self._drawn += sum(map(len, text.split()))
        return self._drawn in self._between


class _Lines(PDFTextObject):
    """Lines that have the space between two words at their end, too, which nobody sees.

    Otherwise the text would run together where it is not looked at but read (14.8.2.5).
    """

    def __init__(self, canvas: Canvas, x: float, y: float, ends: _LineEnds) -> None:
        super().__init__(canvas, x, y)
        self._ends = ends

    def _textOut(self, text: str, TStar: bool = False) -> None:  # noqa: N802, N803
        follows = self._ends.after(text)
        super()._textOut(f"{text} " if TStar and follows else text, TStar)  # type: ignore[misc]
