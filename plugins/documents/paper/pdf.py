"""The tree of a paper -> PDF bytes. The same tree gives the same bytes, on every machine and day."""

from collections.abc import Callable
from io import BytesIO
from typing import Any

from attrs import frozen
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Flowable, Frame, PageTemplate
from reportlab.platypus.doctemplate import LayoutError

from pipeline.language import SOURCE, Language
from plugins.documents.fonts import SANS
from plugins.documents.paper.assets import Assets
from plugins.documents.paper.flow import Setting, blocks
from plugins.documents.paper.grid import RULE
from plugins.documents.paper.marked import MarkedCanvas
from plugins.documents.paper.markup import Node, language_of
from plugins.documents.paper.structure import Element, level_headings
from plugins.documents.paper.text import LARGE, MUTED, Lettering
from plugins.documents.paper.vocabulary import page_size, points

_MARGIN = "15mm"
_ROOM_AFTER_HEADING = 1.3 * 72


@frozen(kw_only=True)
class PrintedPaper:
    """A finished PDF, its number of pages, and the characters that the bundled fonts could not set."""

    data: bytes
    pages: int
    missing: tuple[str, ...]


def print_paper(page: Node, assets: Assets | None = None) -> PrintedPaper:
    """Lay out and print one paper.

    Raises PaperError when the template asks for a drawing or picture that is not there, or for something that
    cannot be laid out on its page.
    """
    lettering = Lettering(LARGE if page.get("text") == "large" else 1.0)
    assets = assets or Assets()
    language = assets.language or language_of(page)
    paper = _Paper(page, lettering, language)
    top = Element("Document", None)
    setting = Setting(
        element=top,
        lettering=lettering,
        assets=assets,
        language=language,
        width=paper.room_width,
        height=paper.room_height,
    )
    # An empty paper is still a page.
    story = _loosened(blocks(page, setting)) or [lettering.paragraph(["\N{NO-BREAK SPACE}"], None)]
    level_headings(top)
    try:
        return PrintedPaper(data=paper.print_story(story, top), pages=paper.page, missing=lettering.missing)
    except LayoutError as error:
        raise page.fault(f"something does not fit on its page: {error}") from error


def _loosened(story: list[Flowable]) -> list[Flowable]:
    """The story with room asked for after each heading.

    reportlab keeps a heading together with the whole of what follows: a table that does not fit the rest of the
    page would leave that rest empty.
    """
    loose: list[Flowable] = []
    for flowable in story:
        if flowable.getKeepWithNext():  # type: ignore[no-untyped-call]
            flowable.keepWithNext = 0
            loose.append(CondPageBreak(_ROOM_AFTER_HEADING))
        loose.append(flowable)
    return loose


class _Paper(BaseDocTemplate):
    """The sheet of paper: its size, margins, header and footer."""

    def __init__(self, page: Node, lettering: Lettering, language: Language) -> None:
        width, height = page_size(page.get("size", "Letter"))
        if page.get("orientation") == "landscape":
            width, height = max(width, height), min(width, height)
        margin = points(page.get("margin", _MARGIN))
        furniture = {node.tag: node for node in page.nodes if node.tag in ("header", "footer")}
        # Filled in by the canvas, when the number is known.
        self._pages = language.gettext("page {page} of {pages}")
        self._lettering = lettering
        self._header = furniture.get("header")
        self._footer = furniture.get("footer")
        self._band = lettering.size("small") * 2.4
        top = self._band if self._header else 0
        bottom = self._band if self._footer else 0
        self.room_width = width - 2 * margin
        self.room_height = height - 2 * margin - top - bottom
        self._edge = margin
        self._out = BytesIO()
        super().__init__(
            self._out,
            pagesize=(width, height),
            title=lettering.settable(page.get("title"), SANS),
            author=page.get("author"),
            lang=page.get("language", SOURCE),
            creator="peelwright",
            displayDocTitle=1,
            invariant=1,
            initialFontName=SANS,
        )
        if min(self.room_width, self.room_height) <= 0:
            raise page.fault("the margins leave no room on this page")
        frame = Frame(
            margin, margin + bottom, self.room_width, self.room_height,
            leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
        )  # fmt: skip
        self.addPageTemplates(PageTemplate(frames=[frame], onPage=self._furnish))

    def print_story(self, story: list[Flowable], top: Element) -> bytes:
        """Lay the flowables out and return the PDF, whose structure begins at `top`."""
        pages = (self._footer.get("pages") if self._footer else "") or self._pages
        self.build(story, canvasmaker=_counting_canvas(top, self._page_count if self._footer else None, pages))
        return self._out.getvalue()

    def _furnish(self, canvas: Any, _document: BaseDocTemplate) -> None:
        width, height = self.pagesize
        first = canvas.getPageNumber() == 1
        leading = self._band / 2
        # The base line of each band, and how far its rule stands from that line.
        top, bottom = height - self._edge - leading * 0.8, self._edge
        for node, y, rule in ((self._header, top, -leading * 0.5), (self._footer, bottom, leading)):
            if node is None or (first and node.get("first") == "no"):
                continue
            room = self.room_width * (1 if node is self._header else 0.8)
            line = self._lettering.paragraph(node.children, None, "small", look="muted")
            _, used = line.wrap(room, self._band)
            canvas.begin(None, node.tag.title())
            # A paragraph hangs from its top: bring its first base line to y.
            line.drawOn(canvas, self._edge, y + line.style.fontSize - used)
            canvas.setStrokeColor(RULE)
            canvas.setLineWidth(0.4)
            canvas.line(self._edge, y + rule, width - self._edge, y + rule)
            canvas.end()

    def _page_count(self, canvas: MarkedCanvas, text: str) -> None:
        canvas.begin(None, "Footer")
        canvas.setFont(SANS, self._lettering.size("small"))
        canvas.setFillColor(MUTED)
        canvas.drawRightString(self.pagesize[0] - self._edge, self._edge, text)
        canvas.end()


def _counting_canvas(
    top: Element, draw_count: Callable[[MarkedCanvas, str], None] | None, pages: str
) -> type[Canvas]:
    """A canvas that holds its pages back until their number is known."""

    class CountingCanvas(MarkedCanvas):
        def __init__(self, *args: Any, **options: Any) -> None:
            super().__init__(*args, top=top, **options)
            self._held: list[dict[str, object]] = []

        def showPage(self) -> None:  # noqa: N802 - reportlab's name
            self._held.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            for number, page in enumerate(self._held, 1):
                self.__dict__.update(page)
                if draw_count is not None:
                    draw_count(self, pages.format(page=number, pages=len(self._held)))
                super().showPage()
            super().save()

    return CountingCanvas
