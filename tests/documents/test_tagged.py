"""Papers that a screen reader can read: the structure of a PDF says what its XML says, in its order.

Clauses are those of ISO 32000-1:2008, from memory.
"""

import ctypes
from collections.abc import Callable, Iterator
from datetime import date
from io import BytesIO

import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from hypothesis import given, reject
from pikepdf import Array, Dictionary, Name

from plugins.documents.einvoice.attach import attached
from plugins.documents.paper.fault import PaperError
from tests.documents.papers import box_of, printed, raster
from tests.documents.random_papers import papers
from tests.documents.read_aloud import said_by_pdf, said_by_xml
from tests.documents.test_paper_pdf import EVERYTHING, assets
from tests.referee_tagged import read
from tests.referee_tagged_content import read_content

SMALL = {"size": "5in 4in", "margin": "6mm"}


def test_every_tag_says_what_it_says_in_the_xml() -> None:
    """Headings, lists, tables and figures are what they are in the paper's own words."""
    assert said_by_pdf(read(printed(EVERYTHING, assets()).data)) == said_by_xml(EVERYTHING)


@given(papers())
def test_whatever_stands_in_a_paper_is_read_as_it_is_written(inner: str) -> None:
    """Over page breaks, in nested tables, in empty cells: nothing is lost, doubled, run together or out of turn."""
    try:
        data = printed(inner, assets(), **SMALL).data
    except PaperError:
        # A row that no page can hold; told, and shown elsewhere.
        reject()
    assert said_by_pdf(read(data, parted=True)) == said_by_xml(inner)


def test_a_paragraph_over_pages_is_one() -> None:
    """Three pages, one paragraph: a reader does not stop at the foot of a page."""
    words = " ".join(f"word{number}" for number in range(1500))
    paper = printed(f"<p>{words}</p>", **SMALL)
    [paragraph] = read(paper.data).kids
    assert paper.pages > 2
    assert (paragraph.kind, paragraph.text) == ("P", words)


def test_the_head_of_a_table_is_read_once() -> None:
    """On the pages after it is an artifact: nobody wants to hear it between two rows."""
    rows = "".join(f"<tr><td>row{number}</td></tr>" for number in range(100))
    data = printed(f"<table><tr><th>Headline</th></tr>{rows}</table>", **SMALL).data
    [table] = read(data).kids
    assert [row.kids[0].text for row in table.kids] == ["Headline", *(f"row{number}" for number in range(100))]
    with pikepdf.open(BytesIO(data)) as pdf:
        first, *others = [read_content(page).artifacts for page in pdf.pages]
    assert "Headline" not in first
    assert others
    assert all(artifacts.count("Headline") == 1 for artifacts in others)


def test_header_footer_and_page_number_are_artifacts() -> None:
    """They stand on every page, and say what the paper says (14.8.2.2)."""
    data = printed("<header>Head</header><footer>Foot</footer><p>said</p>").data
    assert [part.text for part in read(data).walk()] == ["", "said"]
    with pikepdf.open(BytesIO(data)) as pdf:
        assert read_content(pdf.pages[0]).artifacts == ["Head", "Foot", "page 1 of 1"]


def test_a_label_begins_with_a_first_heading() -> None:
    """Where a paper has smaller headings only, they are its first ones; a skipped level is none."""
    data = printed("<h2>a</h2><h2>b</h2><h3>c</h3><h1>d</h1><h3>e</h3>").data
    assert [part.kind for part in read(data).kids] == ["H1", "H1", "H2", "H1", "H2"]


def test_a_table_says_what_it_shows_and_where_its_heads_are() -> None:
    """Heads of columns, heads of rows, cells over several columns (14.8.5.7)."""
    inner = (
        '<table title="Pieces"><tr><th/><th>S</th><th>M</th></tr>'
        '<tr><th>Good</th><td>1</td><td/></tr><tr><td colspan="3">All</td></tr></table>'
    )
    [table] = read(printed(inner).data).kids
    assert str(table.facts["Summary"]) == "Pieces"
    assert [[(cell.kind, str(cell.facts.get("Scope", ""))) for cell in row.kids] for row in table.kids] == [
        [("TH", "/Column")] * 3,
        [("TH", "/Row"), ("TD", ""), ("TD", "")],
        [("TD", "")],
    ]
    assert table.kids[2].kids[0].facts["ColSpan"] == 3


def test_the_box_of_a_figure_is_where_it_is_seen() -> None:
    """A reader's frame lies around the picture: measured in the pixels of another library."""
    data = printed('<p>x</p><box><img name="dot" alt="a red dot" width="20mm"/></box>', assets()).data
    [figure] = [part for part in read(data).walk() if part.kind == "Figure"]
    left, bottom, right, top = (float(value) for value in figure.facts["BBox"])  # type: ignore[attr-defined]
    image = raster(data, 144)
    seen = box_of(image, (255, 0, 0))
    assert (left * 2, image.height - top * 2, right * 2, image.height - bottom * 2) == pytest.approx(
        seen, abs=1.5
    )


def test_a_link_is_one_where_it_is_first_said() -> None:
    """In the repeated head of a table its words are words."""
    rows = "<tr><td>row</td></tr>" * 40
    head = '<tr><th><a href="https://example.org/">there</a></th></tr>'
    paper = printed(f"<table>{head}{rows}</table>", **SMALL)
    read(paper.data)
    with pikepdf.open(BytesIO(paper.data)) as pdf:
        links = [list(page.obj.get("/Annots", [])) for page in pdf.pages]
    assert paper.pages > 1
    assert [str(link.Contents) for link in links[0]] == ["https://example.org/"]
    assert not any(links[1:])


def test_an_empty_paper_says_nothing() -> None:
    """The space that makes the page is no paragraph."""
    assert read(printed("").data).kids == ()


def test_the_structure_outlives_an_attachment() -> None:
    """An e-invoice is read like any other."""
    data = printed(EVERYTHING, assets()).data
    assert said_by_pdf(read(attached(data, b"<x/>", date(2031, 5, 5)))) == said_by_pdf(read(data))


def _kinds(element: ctypes.c_void_p) -> Iterator[str]:
    size = pdfium.FPDF_StructElement_GetType(element, None, 0)
    buffer = ctypes.create_string_buffer(size)
    pdfium.FPDF_StructElement_GetType(element, buffer, size)
    yield buffer.raw.decode("utf-16-le").rstrip("\0")
    for place in range(pdfium.FPDF_StructElement_CountChildren(element)):
        kid = pdfium.FPDF_StructElement_GetChildAtIndex(element, place)
        if kid:
            yield from _kinds(kid)


def test_a_browsers_reader_sees_the_same() -> None:
    """PDFium, which is in a widespread browser, has a reader of structure of its own."""
    inner = EVERYTHING.partition("<newpage/>")[0]
    data = printed(inner, assets()).data
    page = pypdfium2.PdfDocument(data)[0]
    tree = pdfium.FPDF_StructTree_GetForPage(page)
    try:
        assert pdfium.FPDF_StructTree_CountChildren(tree) == 1
        seen = list(_kinds(pdfium.FPDF_StructTree_GetChildAtIndex(tree, 0)))
    finally:
        pdfium.FPDF_StructTree_Close(tree)
    # It finds elements by their content, and a link is an annotation.
    assert seen == [part.kind for part in read(data).walk() if part.kind != "Link"]


def _untold(pdf: pikepdf.Pdf) -> None:
    stream = pdf.pages[0].Contents
    stream.write(stream.read_bytes() + b"BT /F1+0 9 Tf (x) Tj ET")


def _orphaned(pdf: pikepdf.Pdf) -> None:
    del pdf.Root.StructTreeRoot.K.K[0]


def _stolen(pdf: pikepdf.Pdf) -> None:
    kids = pdf.Root.StructTreeRoot.K.K
    kids[0].K = kids[1].K


def _misfiled(pdf: pikepdf.Pdf) -> None:
    owners = pdf.Root.StructTreeRoot.ParentTree.Nums[1]
    owners[0], owners[1] = owners[1], owners[0]


def _turned(pdf: pikepdf.Pdf) -> None:
    top = pdf.Root.StructTreeRoot.K
    top.K = Array([top.K[1], top.K[0], *list(top.K)[2:]])


def _loose(pdf: pikepdf.Pdf) -> None:
    [cell] = [item for item in pdf.objects if isinstance(item, Dictionary) and item.get("/S") == Name.TD][:1]
    cell.S = Name.LI


def _unseen(pdf: pikepdf.Pdf) -> None:
    for item in pdf.objects:
        if isinstance(item, Dictionary) and item.get("/S") == Name.Figure:
            del item["/Alt"]


def _unmarked(pdf: pikepdf.Pdf) -> None:
    pdf.Root.MarkInfo.Marked = False


@pytest.mark.parametrize(
    "spoil",
    [_untold, _orphaned, _stolen, _misfiled, _turned, _loose, _unseen, _unmarked],
    ids=lambda f: f.__name__,
)
def test_the_referee_sees_what_is_wrong(spoil: Callable[[pikepdf.Pdf], None]) -> None:
    """A judge that lets everything pass proves nothing."""
    with pikepdf.open(BytesIO(printed(EVERYTHING, assets()).data)) as pdf:
        spoil(pdf)
        out = BytesIO()
        pdf.save(out)
    with pytest.raises(AssertionError):
        read(out.getvalue())
