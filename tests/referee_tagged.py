"""An independent reader of tagged PDFs: shares no code with what writes them, and finds text as a screen reader does.

Rules of ISO 32000-1:2008, named by clause: 14.6 marked content, 14.7 structure, 14.8 tagged PDF. Clauses are from
memory, and so are the rules of ISO 14289-1 (PDF/UA-1), of which these are only some: no validator is at hand.
"""

from collections import Counter
from collections.abc import Iterator
from io import BytesIO

import pikepdf
from attrs import field, frozen
from pikepdf import Array, Dictionary, Name

from tests.referee_tagged_content import Content, read_content

#: What each kind may stand in (14.8.4.3): tables 336 and 337, as far as our papers use them.
GROUPS = ("Document", "Div")
FLOWS = (*GROUPS, "TD", "TH", "LBody")
MAY_STAND_IN = {
    **dict.fromkeys(("H1", "H2", "H3", "P", "L", "Table", "Div", "Figure"), FLOWS),
    "LI": ("L",),
    "Lbl": ("LI",),
    "LBody": ("LI",),
    "TR": ("Table",),
    "TH": ("TR",),
    "TD": ("TR",),
    "Link": ("H1", "H2", "H3", "P", "TD", "TH", "LBody"),
}
#: What may hold content itself.
HOLDS_CONTENT = ("H1", "H2", "H3", "P", "Lbl", "LBody", "TH", "TD", "Figure")


@frozen(kw_only=True)
class Part:
    """An element as a reader finds it: its kind, its own text, what is said instead of it, and what it holds."""

    kind: str
    text: str = ""
    alt: str = ""
    facts: dict[str, object] = field(factory=dict)
    kids: "tuple[Part, ...]" = ()

    def walk(self) -> "Iterator[Part]":
        """The part and all below it in reading order."""
        yield self
        for kid in self.kids:
            yield from kid.walk()


def read(data: bytes, *, parted: bool = False) -> Part:
    """The document of a tagged PDF. Fails at whatever is against the rules above.

    On a page the content has the order of the structure (14.8.2.3), but where a row of several columns is `parted`:
    then each column's first part stands before the rest of any.
    """
    with pikepdf.open(BytesIO(data)) as pdf:
        return _Reader(pdf).document(parted)


class _Reader:
    def __init__(self, pdf: pikepdf.Pdf) -> None:
        self._root = pdf.Root
        self._title = str(pdf.docinfo.get("/Title", ""))
        self._pages = {page.obj.objgen: number for number, page in enumerate(pdf.pages)}
        self._boxes = [[float(value) for value in page.mediabox] for page in pdf.pages]
        self._contents: list[Content] = [read_content(page) for page in pdf.pages]
        self._dictionaries = [page.obj for page in pdf.pages]
        # Which element owns each piece, in reading order, and each annotation.
        self._owners: dict[tuple[int, int], Dictionary] = {}
        self._annotations: dict[tuple[int, int], Dictionary] = {}

    def document(self, parted: bool) -> Part:
        # 14.7.1 and table 321; 14.9.2 natural language; 14289-1, 7.1 (title) and 7.2 (language), from memory.
        assert self._root.MarkInfo.Marked is True
        assert str(self._root.Lang)
        assert self._root.ViewerPreferences.DisplayDocTitle is True
        assert self._title
        tree = self._root.StructTreeRoot
        assert tree.Type == Name.StructTreeRoot
        top = self._part(tree.K, tree, ("root",))
        assert top.kind == "Document"
        self._pieces_are_owned_once(parted)
        self._parents_agree(tree)
        _headings_skip_no_level(top)
        return top

    def _part(self, element: Dictionary, parent: Dictionary, above: tuple[str, ...]) -> Part:
        kind = str(element.S)[1:]
        # Table 323: P is required and names the immediate parent.
        assert element.P.objgen == parent.objgen, f"{kind} does not know its parent"
        assert above[-1] in MAY_STAND_IN.get(kind, ("root",)), f"{kind} in {above[-1]}"
        texts, parts, places = [], [], []
        for kid in _kids(element):
            if isinstance(kid, Dictionary) and "/S" in kid:
                parts.append(self._part(kid, element, (*above, kind)))
            elif isinstance(kid, Dictionary) and kid.Type == Name.OBJR:
                assert kind == "Link"
                assert kid.Obj.objgen not in self._annotations
                self._annotations[kid.Obj.objgen] = element
            else:
                assert kind in HOLDS_CONTENT, f"{kind} holds content itself"
                page, number = self._place(kid, element)
                assert (page, number) not in self._owners, f"piece {number} of page {page} has two owners"
                self._owners[page, number] = element
                places.append((page, list(self._contents[page].texts).index(number)))
                texts.append(self._contents[page].texts[number])
        assert places == sorted(places), f"{kind} is written backwards"
        part = Part(
            kind=kind,
            text=" ".join("".join(texts).split()),
            alt=str(element.get("/Alt", "")),
            facts=_facts(element),
            kids=tuple(parts),
        )
        _check_kind(part)
        if kind == "Figure":
            self._figure_has_its_place(element, part)
        return part

    def _place(self, kid: object, element: Dictionary) -> tuple[int, int]:
        """14.7.4.2: a number on the element's page, or a reference with a page of its own."""
        if isinstance(kid, Dictionary):
            assert kid.Type == Name.MCR
            return self._pages[kid.get("/Pg", element.get("/Pg")).objgen], int(kid.MCID)
        return self._pages[element.Pg.objgen], int(kid)  # type: ignore[call-overload]

    def _pieces_are_owned_once(self, parted: bool) -> None:
        for page, content in enumerate(self._contents):
            owned = [number for (at, number) in self._owners if at == page]
            assert sorted(owned) == sorted(content.texts), f"page {page}: pieces without an element"
            assert parted or owned == list(content.texts), f"page {page}: the order is not that of the structure"

    def _parents_agree(self, tree: Dictionary) -> None:
        """14.7.4.4: from each page and annotation back to the elements."""
        numbers = list(tree.ParentTree.Nums)
        parents = dict(zip(map(int, numbers[::2]), numbers[1::2], strict=True))
        assert list(parents) == sorted(parents)
        assert all(key < int(tree.ParentTreeNextKey) for key in parents)
        keys = Counter(int(page.StructParents) for page in self._dictionaries)
        for number, page in enumerate(self._dictionaries):
            # 14289-1, 7.18.3, from memory: the tab order is that of the structure.
            assert page.Tabs == Name.S
            owners = [element.objgen for element in parents[int(page.StructParents)]]
            assert dict(enumerate(owners)) == {
                piece: element.objgen for (at, piece), element in self._owners.items() if at == number
            }
            for annotation in page.get("/Annots", []):
                # 14289-1, 7.18.5, from memory: a link stands in a Link and says where it leads.
                assert annotation.Subtype == Name.Link
                assert str(annotation.Contents)
                keys[int(annotation.StructParent)] += 1
                owner = parents[int(annotation.StructParent)]
                assert owner.objgen == self._annotations[annotation.objgen].objgen
        assert keys == Counter(parents.keys())

    def _figure_has_its_place(self, element: Dictionary, figure: Part) -> None:
        """14.8.5.4.3: an illustration on one page has its box."""
        left, bottom, right, top = (float(value) for value in figure.facts["BBox"])  # type: ignore[attr-defined]
        box = self._boxes[self._pages[element.Pg.objgen]]
        assert left < right
        assert bottom < top
        assert left < box[2], "beside the page"
        assert bottom < box[3], "above the page"


def _kids(element: Dictionary) -> list[object]:
    kids = element.get("/K", Array())
    return list(kids) if isinstance(kids, Array) else [kids]


def _facts(element: Dictionary) -> dict[str, object]:
    found = element.get("/A", Dictionary())
    return {key[1:]: value for key, value in found.items()}


def _check_kind(part: Part) -> None:
    kinds = [kid.kind for kid in part.kids]
    if part.kind in ("TH", "TD"):
        assert not (part.text and {*kinds} - {"Link"}), "words of a cell beside its parts"
    elif part.kind != "Document":
        assert part.text or part.kids or part.kind in ("Figure", "Link"), f"{part.kind} is empty"
    if part.kind == "Figure":
        # 14.9.3; 14289-1, 7.3, from memory.
        assert part.alt
    if part.kind == "TH":
        # Table 349; 14289-1, 7.5, from memory.
        assert part.facts["Scope"] in (Name.Row, Name.Column)
    if part.kind == "Table":
        widths = {sum(int(cell.facts.get("ColSpan", 1)) for cell in row.kids) for row in part.kids}  # type: ignore[call-overload]
        assert len(widths) == 1, f"rows of {widths} columns"
    if part.kind == "LI":
        assert kinds[0] == "Lbl"
        assert kinds[1:] in (["LBody"], [])
    if part.kind == "L":
        # Table 347; 14289-1, 7.6, from memory: where there are labels, their kind is told.
        assert part.facts["ListNumbering"] in (Name.Disc, Name.Decimal, Name.Square)


def _headings_skip_no_level(top: Part) -> None:
    """14289-1, 7.4.2, from memory: the first is H1, and none is more than one below the one before."""
    level = 0
    for part in top.walk():
        if part.kind[0] == "H":
            assert int(part.kind[1]) <= level + 1, f"{part.kind} after level {level}"
            level = int(part.kind[1])
