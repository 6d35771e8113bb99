"""Block elements into reportlab flowables: what each tag of the vocabulary becomes on paper."""

from collections.abc import Callable, Mapping

from attrs import evolve, frozen
from reportlab.graphics.shapes import Drawing, Image
from reportlab.lib.colors import HexColor
from reportlab.pdfbase.pdfdoc import PDFArray, PDFString
from reportlab.platypus import Flowable, KeepTogether, PageBreak, Spacer

from pipeline.language import Language
from plugins.documents.canvas import draw
from plugins.documents.paper.assets import Assets
from plugins.documents.paper.grid import BreakingTable, Cell, Look, breaking_table, make_table
from plugins.documents.paper.marked import MarkedCanvas
from plugins.documents.paper.markup import Node, alternative, columns, header_rows, pieces
from plugins.documents.paper.structure import Element, attributes
from plugins.documents.paper.text import Lettering
from plugins.documents.paper.vocabulary import BOX_WORDS, ON_SCREEN, points, shares

_GUTTER = 12.0
_BAR_WIDTH = 4.0
_NUMBERINGS = {"": "Disc", "bullet": "Disc", "number": "Decimal", "tick": "Square"}
# Frame colour and tint of each kind of box.
_BOXES = {
    "note": (HexColor("#57606a"), HexColor("#f3f5f7")),
    "caution": (HexColor("#b35900"), HexColor("#fff6e5")),
    "stop": (HexColor("#b3261e"), HexColor("#fdeceb")),
}


@frozen(kw_only=True)
class Setting:
    """Where a block stands: in which element, with which letters, assets and language, and its room in points."""

    element: Element
    lettering: Lettering
    assets: Assets
    language: Language
    width: float
    height: float

    def narrowed(self, width: float, element: Element | None = None) -> "Setting":
        """The setting inside a cell or box: less wide, and less high by what frames and padding may take."""
        return evolve(self, width=width, height=self.height * 0.9, element=element or self.element)


def blocks(node: Node, setting: Setting, align: str = "left", look: str = "") -> list[Flowable]:
    """Everything in a flow (a page, a cell, a box) as flowables, in order."""
    flowables: list[Flowable] = []
    parts = list(pieces(node))
    # Words alone in a cell or item are its own, as in HTML.
    alone = len(parts) == 1 and node.tag in ("th", "td", "li")
    for piece in parts:
        if isinstance(piece, Node):
            flowables += _BLOCKS[piece.tag](piece, setting)
        else:
            element = setting.element if alone else Element("P", setting.element)
            flowables.append(setting.lettering.paragraph(piece, element, "p", align, look))
    return flowables


def _heading(node: Node, setting: Setting) -> list[Flowable]:
    return [setting.lettering.paragraph(node.children, Element(node.tag.upper(), setting.element), node.tag)]


def _paragraph(node: Node, setting: Setting) -> list[Flowable]:
    element = Element("P", setting.element)
    paragraph = setting.lettering.paragraph(
        node.children, element, _kind(node), node.get("align"), node.get("class")
    )
    paragraph.spaceAfter = setting.lettering.size("p") * 0.5
    return [paragraph]


def _kind(node: Node) -> str:
    """A paragraph that is small throughout has the line spacing of small print."""
    words = [child for child in node.children if isinstance(child, Node) or child.strip()]
    return "small" if len(words) == 1 and isinstance(words[0], Node) and words[0].tag == "small" else "p"


def _big(node: Node, setting: Setting) -> list[Flowable]:
    label: list[Flowable] = []
    if node.get("label"):
        element = Element("P", setting.element)
        label = [setting.lettering.paragraph([node.get("label")], element, "small", look="muted")]
    return [*label, setting.lettering.paragraph(node.children, Element("P", setting.element), "big")]


def _list(node: Node, setting: Setting) -> list[Flowable]:
    size = setting.lettering.size("p")
    mark_width = size * (2.2 if node.get("mark") == "number" else 1.9 if node.get("mark") == "tick" else 1.2)
    element = Element("L", setting.element, attributes("List", ListNumbering=_NUMBERINGS[node.get("mark")]))
    inner = setting.width - mark_width
    rows: list[list[list[Flowable]]] = []
    for number, item in enumerate(node.nodes, 1):
        mark: Node | str = "\N{BULLET}"
        if node.get("mark") == "number":
            mark = f"{number}."
        elif node.get("mark") == "tick":
            mark = Node(tag="tick", attributes={}, children=(), template=item.template, line=item.line)
        part = Element("LI", element)
        label = setting.lettering.paragraph([mark], Element("Lbl", part))
        rows.append([[label], blocks(item, setting.narrowed(inner, Element("LBody", part)))])
    return [_layout(rows, [mark_width, inner], size * 0.15, setting)] if rows else []


def _layout(
    rows: list[list[list[Flowable]]], widths: list[float], pad_y: float, setting: Setting
) -> BreakingTable:
    """An invisible table that sets things side by side."""
    whole = ((0, 0), (-1, -1))
    style = [
        ("VALIGN", *whole, "TOP"),
        ("LEFTPADDING", *whole, 0),
        ("RIGHTPADDING", *whole, 0),
        ("TOPPADDING", *whole, pad_y),
        ("BOTTOMPADDING", *whole, pad_y),
    ]
    return breaking_table(rows, widths, style, setting.height)


def _table(node: Node, setting: Setting) -> list[Flowable]:
    headers = header_rows(node)
    look = Look(kind=node.get("class", "lines"), pad_y=setting.lettering.size("p") * 0.35)
    if look.kind == "plain":
        look = evolve(look, pad_x=0, pad_y=1.5)
    parts = shares(node.get("widths")) if node.get("widths") else ()
    total = columns(node.nodes[0])
    title = {"Summary": PDFString(node.get("title"))} if node.get("title") else {}
    element = Element("Table", setting.element, attributes("Table", **title) if title else None)
    rows = []
    for y, row in enumerate(node.nodes):
        cells = []
        line = Element("TR", element)
        x = 0
        for cell in row.nodes:
            span = int(cell.get("colspan", "1"))
            # What is nested in a cell must know its room before the columns are settled by their content.
            share = sum(parts[x : x + span]) / sum(parts) if parts else span / total
            room = setting.narrowed(setting.width * share - 2 * look.pad_x)
            scope = "Column" if y < headers else "Row"
            cells.append(_cell(cell, room, line, span, scope))
            x += span
        rows.append(cells)
    table = make_table(
        rows, width=setting.width, page_height=setting.height, shares=parts, headers=headers, look=look
    )
    table.spaceAfter = setting.lettering.size("p") * 0.8
    return [table]


def _cell(cell: Node, room: Setting, row: Element, span: int, scope: str) -> Cell:
    facts: dict[str, object] = {"ColSpan": span} if span > 1 else {}
    if cell.tag == "th":
        facts["Scope"] = scope
    element = Element(cell.tag.upper(), row, attributes("Table", **facts) if facts else None)
    look = cell.get("class") or ("strong" if cell.tag == "th" else "")
    align = cell.get("align", "left")
    return Cell(
        content=blocks(cell, evolve(room, element=element), align, look), span=span, look=look, align=align
    )


def _row(node: Node, setting: Setting) -> list[Flowable]:
    parts = [shares(col.get("width", "1"))[0] for col in node.nodes]
    if not parts:
        return []
    room = setting.width - _GUTTER * (len(parts) - 1)
    widths = [room * part / sum(parts) for part in parts]
    cells: list[list[Flowable]] = []
    for col, width in zip(node.nodes, widths, strict=True):
        cells += [blocks(col, setting.narrowed(width), col.get("align", "left")), []]
    gutters = [_GUTTER] * len(parts)
    table = _layout(
        [cells[:-1]], [w for pair in zip(widths, gutters, strict=True) for w in pair][:-1], 0, setting
    )
    for x, col in enumerate(node.nodes):
        table.setStyle([("ALIGN", (2 * x, 0), (2 * x, 0), col.get("align", "left").upper())])
    table.spaceAfter = setting.lettering.size("p") * 0.8
    return [table]


def _box(node: Node, setting: Setting) -> list[Flowable]:
    kind = node.get("kind", "note")
    ink, tint = _BOXES[kind]
    pad = setting.lettering.size("p") * 0.7
    title = ": ".join(part for part in (setting.language.gettext(BOX_WORDS[kind]), node.get("title")) if part)
    element = Element("Div", setting.element)
    content: list[Flowable] = []
    if title:
        content = [setting.lettering.paragraph([title], Element("P", element), look="strong")]
    content += blocks(node, setting.narrowed(setting.width - 2 * pad - _BAR_WIDTH, element))
    whole = ((0, 0), (-1, -1))
    style = [
        ("BACKGROUND", *whole, tint),
        ("BOX", *whole, 0.6, ink),
        ("LINEBEFORE", *whole, _BAR_WIDTH, ink, "butt"),
        ("LEFTPADDING", *whole, pad + _BAR_WIDTH / 2),
        ("RIGHTPADDING", *whole, pad),
        ("TOPPADDING", *whole, pad * 0.7),
        ("BOTTOMPADDING", *whole, pad * 0.9),
    ]
    table = breaking_table([[content]], [setting.width], style, setting.height)
    table.spaceBefore = table.spaceAfter = setting.lettering.size("p") * 0.6
    return [table]


class Figure(Flowable):
    """A drawing at a scale; the drawing itself stays as it is."""

    canv: MarkedCanvas

    def __init__(self, drawing: Drawing, scale: float, element: Element) -> None:
        super().__init__()
        self._element: Element | None = element
        self._drawing = drawing
        self._scale = scale
        self.width = drawing.width * scale
        self.height = drawing.height * scale

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """The room it takes."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw it from its lower left corner."""
        element, self._element = self._element, None
        if element is not None:
            x, y = self.canv.absolutePosition(0, 0)
            element.attributes = attributes("Layout", BBox=PDFArray([x, y, x + self.width, y + self.height]))
        self.canv.begin(element)
        self.canv.scale(self._scale, self._scale)
        draw(self._drawing, self.canv)
        self.canv.end()


def _drawing(node: Node, setting: Setting) -> list[Flowable]:
    drawing = setting.assets.drawing(node)
    # A code keeps its own size where it can: its bars must not fall below what a scanner reads.
    width = points(node.get("width")) if node.get("width") else drawing.width
    scale = min(width / drawing.width, setting.width / drawing.width, setting.height / drawing.height)
    return [Figure(drawing, scale, _figure(node, setting))]


def _picture(node: Node, setting: Setting) -> list[Flowable]:
    picture = setting.assets.picture(node)
    wide = points(node.get("width")) if node.get("width") else setting.width
    high = points(node.get("height")) if node.get("height") else setting.height
    scale = min(wide, setting.width) / picture.width
    scale = min(scale, min(high, setting.height) / picture.height)
    drawing = Drawing(picture.width * scale, picture.height * scale)
    drawing.add(Image(0, 0, drawing.width, drawing.height, picture))
    return [Figure(drawing, 1, _figure(node, setting))]


def _figure(node: Node, setting: Setting) -> Element:
    return Element("Figure", setting.element, alt=alternative(node, setting.language))


def _space(node: Node, _: Setting) -> list[Flowable]:
    return [Spacer(1, points(node.get("height", "4mm")))]


def _keep(node: Node, setting: Setting) -> list[Flowable]:
    return [KeepTogether(blocks(node, setting))]


def _new_page(_: Node, __: Setting) -> list[Flowable]:
    return [PageBreak()]


def _elsewhere(_: Node, __: Setting) -> list[Flowable]:
    """Header and footer are no part of the flow: pdf.py draws them on each page."""
    return []


def _on_screen(node: Node, _: Setting) -> list[Flowable]:
    raise node.fault(f"<{node.tag}> stands in pages for a browser, not on paper")


_BLOCKS: Mapping[str, Callable[[Node, Setting], list[Flowable]]] = {
    "h1": _heading,
    "h2": _heading,
    "h3": _heading,
    "p": _paragraph,
    "big": _big,
    "ul": _list,
    "table": _table,
    "row": _row,
    "box": _box,
    "drawing": _drawing,
    "barcode": _drawing,
    "qr": _drawing,
    "img": _picture,
    "space": _space,
    "keep": _keep,
    "newpage": _new_page,
    "header": _elsewhere,
    "footer": _elsewhere,
    **dict.fromkeys(ON_SCREEN, _on_screen),
}
