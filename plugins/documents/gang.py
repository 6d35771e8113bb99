"""A print-ready sheet: a PDF of the exact size with the real artwork at the exact place, nothing behind it.

Every artwork is embedded once, however often it lies on the sheet. What a PDF carries beside its page (scripts,
annotations, forms) is left behind.
"""

from collections.abc import Sequence
from io import BytesIO
from math import ceil

import pikepdf
from attrs import field, frozen
from pikepdf import Array, Dictionary, Object, Pdf

from pipeline.model.order import ArtworkKind
from plugins.documents.artwork import ArtworkUnreadable, reading

_POINT = 72 / 25_400
# ISO 32000-1, annex C (from memory): no page is longer, in its units, which from PDF 1.6 on may be several points.
_LONGEST = 14_400
# Proportions may differ from the planned ones by rounding only.
_TOLERANCE = 0.02
_MARK = 3_000

Matrix = tuple[float, float, float, float, float, float]


@frozen(kw_only=True)
class Item:
    """One print: the page of its artwork (art_page.py), and the rectangle that it fills.

    The rectangle is in micrometres from the sheet's lower left corner. `width` and `height` are as it lies; `turned`
    means 90 degrees counter-clockwise.
    """

    page: bytes = field(repr=False)
    x: int
    y: int
    width: int
    height: int
    turned: bool = False


@frozen(kw_only=True)
class Mark:
    """A cut, in micrometres: a short tick is printed at each of its ends that lies on the sheet's edge."""

    x1: int
    y1: int
    x2: int
    y2: int


def gang_sheet(
    *,
    width: int,
    height: int,
    items: Sequence[Item],
    label: str = "",
    marks: Sequence[Mark] = (),
    mirrored: bool = False,
) -> bytes:
    """The sheet as a PDF. The same input gives the same bytes; all lengths are micrometres.

    A sheet longer than 200 in has a user unit of several points.
    `label` is printed small in the lower left corner of the margin, 2 mm high at most. `mirrored` turns artwork
    and marks left to right (for papers that are pressed face down); the label still reads.
    Raises ArtworkUnreadable, naming nothing but the fault: the caller knows which artwork it was.
    """
    with Pdf.new() as pdf:
        points = ceil(max(width, height) * _POINT / _LONGEST)
        unit = _POINT / points
        page = pdf.add_blank_page(page_size=(width * unit, height * unit))
        if points > 1:
            page.obj.UserUnit = points
        sheet = _Sheet(pdf, unit, (-1, 0, 0, 1, width * unit, 0) if mirrored else (1, 0, 0, 1, 0, 0))
        for item in items:
            sheet.place(item)
        if label or marks:
            # The margin's own print goes through the same door as a customer's PDF.
            sheet.mirror = (1, 0, 0, 1, 0, 0)
            margin = _margin_page(width, height, label, marks, mirrored)
            sheet.place(Item(page=margin, x=0, y=0, width=width, height=height))
        page.obj.Resources = Dictionary(XObject=Dictionary(sheet.resources))
        page.obj.Contents = pdf.make_stream("\n".join(sheet.content).encode("ascii"))
        if label:
            pdf.docinfo["/Title"] = label
        out = BytesIO()
        pdf.save(out, deterministic_id=True, compress_streams=True, min_version="1.6" if points > 1 else "")
    return out.getvalue()


@frozen(kw_only=True)
class _Picture:
    """An embedded artwork: its name, its proportions, and the matrix that brings it to the unit square."""

    name: str
    aspect: float
    to_unit: Matrix


class _Sheet:
    """The sheet while it grows: what is embedded so far, and the page's drawing commands."""

    def __init__(self, pdf: Pdf, unit: float, mirror: Matrix) -> None:
        self.mirror = mirror
        self._unit = unit
        self.resources: dict[str, Object] = {}
        self.content: list[str] = []
        self._pdf = pdf
        self._pictures: dict[bytes, _Picture] = {}

    def place(self, item: Item) -> None:
        """Draw one print, embedding its artwork if it is new."""
        if item.page not in self._pictures:
            self._pictures[item.page] = self._embed(item.page)
        picture = self._pictures[item.page]
        planned = item.height / item.width if item.turned else item.width / item.height
        if abs(picture.aspect / planned - 1) > _TOLERANCE:
            raise ArtworkUnreadable(
                f"this artwork is {picture.aspect:.3f} times as wide as high, planned were {planned:.3f}"
            )
        x, y, wide, high = (value * self._unit for value in (item.x, item.y, item.width, item.height))
        lie: Matrix = (0, high, -wide, 0, x + wide, y) if item.turned else (wide, 0, 0, high, x, y)
        matrix = _then(_then(picture.to_unit, lie), self.mirror)
        numbers = " ".join(f"{number:.6f}" for number in matrix)
        self.content.append(f"q {numbers} cm {picture.name} Do Q")

    def _embed(self, page: bytes) -> _Picture:
        name = f"/A{len(self.resources)}"
        with reading(ArtworkKind.PDF):
            form = _form(self._pdf, page)
        box = _shown_box(form)
        wide, high = box[2] - box[0], box[3] - box[1]
        if wide <= 0 or high <= 0:
            raise ArtworkUnreadable("the page of this artwork has no size")
        self.resources[name] = form
        to_unit = (1 / wide, 0, 0, 1 / high, -box[0] / wide, -box[1] / high)
        return _Picture(name=name, aspect=wide / high, to_unit=to_unit)


def _then(first: Matrix, second: Matrix) -> Matrix:
    """The matrix that does `first`, then `second` (PDF's order: row vectors)."""
    a, b, c, d, e, f = first
    g, h, i, j, k, m = second
    return (
        a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m
    )  # fmt: skip


def _form(pdf: Pdf, data: bytes) -> Object:
    """The first page of a PDF as a form in `pdf`, cropped to what a viewer shows."""
    with pikepdf.open(BytesIO(data)) as source:
        page = source.pages[0]
        page.trimbox = page.cropbox
        return pdf.copy_foreign(page.as_form_xobject())


def _shown_box(form: Object) -> tuple[float, float, float, float]:
    """What the form covers once its own matrix (page rotation, user unit) is applied."""
    left, bottom, right, top = (float(value) for value in form.BBox)
    values = form.get("/Matrix", Array([1, 0, 0, 1, 0, 0]))
    a, b, c, d, e, f = (float(value) for value in values)
    ends = [(a * x + c * y + e, b * x + d * y + f) for x in (left, right) for y in (bottom, top)]
    xs, ys = [x for x, _ in ends], [y for _, y in ends]
    return min(xs), min(ys), max(xs), max(ys)


def _margin_page(width: int, height: int, label: str, marks: Sequence[Mark], mirrored: bool) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    from plugins.documents.fonts import SANS, register

    register()
    out = BytesIO()
    size = (width * _POINT, height * _POINT)
    canvas = Canvas(out, pagesize=size, invariant=1, initialFontName=SANS)  # type: ignore[arg-type]
    canvas.setLineWidth(0.4)
    for mark in marks:
        for x, y in ((mark.x1, mark.y1), (mark.x2, mark.y2)):
            step_x = (x == 0) - (x == width) if mark.y1 == mark.y2 else 0
            step_y = (y == 0) - (y == height) if mark.x1 == mark.x2 else 0
            if step_x or step_y:
                from_x, to_x = ((width - v if mirrored else v) * _POINT for v in (x, x + step_x * _MARK))
                canvas.line(from_x, y * _POINT, to_x, (y + step_y * _MARK) * _POINT)
    canvas.setFont(SANS, 5)
    canvas.drawString(_MARK * 1.5 * _POINT, 0.7 / 25.4 * 72, label)
    canvas.showPage()
    canvas.save()
    return out.getvalue()
