"""The structure of a paper beside its pages: what is a heading, a cell, a list, and in which order it is read.

ISO 32000-1:2008: structure 14.7, marked content 14.6, the kinds of elements 14.8.4 and their attributes 14.8.5
(here and below clauses from memory).
An element is made with the flowables of its tag, so the tree has the order of the paper's XML. Where it is drawn it
learns by marks; reportlab writes it as it writes every object that something refers to.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFDocument, PDFName, PDFObject, PDFString

_CELLS = ("TH", "TD")
_HEADINGS = ("H1", "H2", "H3")


class Mark(NamedTuple):
    """A piece of marked content: the page, counted from 0, and its number there (MCID)."""

    page: int
    number: int


class Element(PDFObject):
    """One element: its kind, what it holds, and its attributes with their owner under `O`."""

    # An object of its own, never written into another: reportlab's word for it.
    __RefOnly__ = 1

    def __init__(
        self,
        kind: str,
        parent: PDFObject | None,
        attributes: Mapping[str, object] | None = None,
        alt: str = "",
    ) -> None:
        self.kind = kind
        self.parent = parent
        self.attributes = attributes
        self.alt = alt
        self.kids: list[Element | Mark | Annotation] = []
        if isinstance(parent, Element):
            parent.kids.append(self)

    def walk(self) -> "Iterator[Element]":
        """The element and all below it, in the order in which they are read."""
        yield self
        for kid in self.kids:
            if isinstance(kid, Element):
                yield from kid.walk()

    def prune(self) -> bool:
        """Leave out what nothing was drawn of, but for cells, which keep their column. Tells if anything is left."""
        self.kids = [kid for kid in self.kids if not isinstance(kid, Element) or kid.prune()]
        return bool(self.kids) or self.kind in _CELLS

    def format(self, document: PDFDocument) -> bytes:
        """The dictionary of the element (14.7.2, table 323)."""
        pages = document.Pages.pages  # type: ignore[attr-defined]
        page = next((kid.page for kid in self.kids if isinstance(kid, Mark)), None)
        entries = [b"/S/%s/P %s" % (self.kind.encode("ascii"), reference(self.parent, document))]
        if page is not None:
            entries.append(b"/Pg %s" % reference(pages[page], document))
        if self.attributes:
            entries.append(b"/A %s" % PDFDictionary(dict(self.attributes)).format(document))
        if self.alt:
            entries.append(b"/Alt %s" % PDFString(self.alt).format(document))
        kids = []
        for kid in self.kids:
            if not isinstance(kid, Mark):
                kids.append(reference(kid, document) if isinstance(kid, Element) else kid.format(document))
            elif kid.page == page:
                kids.append(b"%d" % kid.number)
            else:
                entry = (reference(pages[kid.page], document), kid.number)
                kids.append(b"<</Type/MCR/Pg %s/MCID %d>>" % entry)
        if kids:
            entries.append(b"/K %s" % kids[0] if len(kids) == 1 else b"/K[%s]" % b" ".join(kids))
        return b"<<%s>>" % b"".join(entries)


class Annotation(PDFObject):
    """What stands on a page without being drawn, such as a link, as part of an element (14.7.4.3)."""

    def __init__(self, annotation: PDFDictionary, page: int) -> None:
        self.annotation = annotation
        self.page = page

    def format(self, document: PDFDocument) -> bytes:
        """The reference to the object."""
        page = document.Pages.pages[self.page]  # type: ignore[attr-defined]
        entry = (reference(page, document), reference(self.annotation, document))
        return b"<</Type/OBJR/Pg %s/Obj %s>>" % entry


class Tree(PDFObject):
    """The root of the structure, and from each key back to its elements (14.7.2, table 322; 14.7.4.4)."""

    __RefOnly__ = 1

    def __init__(self, top: Element, owners: Sequence[Sequence[Element] | Element]) -> None:
        self._top = top
        self._owners = owners
        top.parent = self
        top.prune()

    def format(self, document: PDFDocument) -> bytes:
        """The dictionary of the root."""
        keys = []
        for key, owner in enumerate(self._owners):
            if isinstance(owner, Element):
                keys.append(b"%d %s" % (key, reference(owner, document)))
            else:
                keys.append(b"%d[%s]" % (key, b" ".join(reference(element, document) for element in owner)))
        entry = (reference(self._top, document), b" ".join(keys), len(keys))
        return b"<</Type/StructTreeRoot/K %s/ParentTree<</Nums[%s]>>/ParentTreeNextKey %d>>" % entry


def reference(obj: PDFObject | None, document: PDFDocument) -> bytes:
    """How one object names another."""
    written: bytes = document.Reference(obj).format(document)  # type: ignore[no-untyped-call]
    return written


def level_headings(top: Element) -> None:
    """Give headings the levels of an outline that skips none, as a label whose only headings are h2 would."""
    above: list[str] = []
    for element in top.walk():
        if element.kind in _HEADINGS:
            while above and above[-1] >= element.kind:
                above.pop()
            above.append(element.kind)
            element.kind = f"H{len(above)}"


def attributes(owner: str, **values: object) -> Mapping[str, object]:
    """Attributes of an element; words are names of the standard."""
    return {
        key: PDFName(value) if isinstance(value, str) else value for key, value in {"O": owner, **values}.items()
    }
