"""Papers as PDFs: the same bytes, embedded fonts, all the text there, nothing that reaches outside."""

import ast
from io import BytesIO
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from reportlab.graphics.shapes import Drawing, Rect

from plugins.documents.canvas import Picture
from plugins.documents.paper.assets import Assets
from plugins.documents.paper.fault import PaperError
from plugins.documents.paper.pdf import print_paper
from tests.documents.papers import fonts_of, page, printed, text_of

EVERYTHING = """
<header>Head of the page</header><footer>Foot of the page</footer>
<row><col width="2"><h1>Title one</h1><h2>Two</h2><h3>Three</h3></col>
 <col align="right"><barcode value="A-1"/></col></row>
<p align="center">Plain <b>bold</b> <i>slanted</i> <b><i>both</i></b> <small>little</small> <code>mono</code>
 <a href="https://example.org/">link</a><br/>next <tick/></p>
<big label="Heat">290 °F</big>
<ul><li>point</li></ul><ul mark="number"><li>first</li></ul><ul mark="tick"><li>done <b>it</b></li></ul>
<table class="grid" widths="2 1"><tr><th>Size</th><th align="right">Count</th></tr>
<tr><td class="caution">M</td><td><ul><li>in a cell</li></ul></td></tr>
<tr><td colspan="2" class="total">All</td></tr></table>
<table class="plain"><tr><td>left</td><td>right</td></tr></table>
<box>note</box><box kind="caution" title="Hot">careful</box><box kind="stop">halt</box>
<drawing name="square" alt="a square" width="1in"/><img name="dot" alt="a dot" width="10mm"/><qr value="x"/>
<space height="3mm"/><keep><p>kept together</p></keep><newpage/><p>Second page</p>
"""


def assets() -> Assets:
    """A drawing and a picture under the names that EVERYTHING asks for."""
    square = Drawing(100, 100)
    square.add(Rect(0, 0, 100, 100))
    out = BytesIO()
    Image.new("RGB", (40, 20), "red").save(out, "PNG")
    return Assets(drawings={"square": square}, pictures={"dot": Picture(png=out.getvalue(), width=40, height=20)})


def test_the_same_tree_gives_the_same_bytes() -> None:
    """A run that is repeated after a failure must write what it wrote before."""
    assert printed(EVERYTHING, assets()).data == printed(EVERYTHING, assets()).data


def test_only_bundled_fonts_occur_and_all_are_embedded() -> None:
    """A paper that leans on the reader's fonts looks different on every machine."""
    fonts = fonts_of(printed(EVERYTHING, assets()).data)
    assert fonts
    assert all(fonts.values())
    assert {name.partition("+")[2].rstrip("0123456789+-") for name in fonts} <= {
        "DejaVuSans", "DejaVuSans-Bold", "DejaVuSans-Oblique", "DejaVuSansMono",
    }  # fmt: skip


def test_all_words_are_in_the_text_layer() -> None:
    """Text that cannot be searched or copied is a picture of text."""
    first, second = text_of(printed(EVERYTHING, assets()).data)
    for words in (
        "Title one",
        "bold",
        "both",
        "290 °F",
        "in a cell",
        "Caution: Hot",
        "Stop",
        "kept together",
        "A-1",
    ):
        assert words in first
    assert "Second page" in second
    for number, text in enumerate((first, second), 1):
        assert "Head of the page" in text
        assert f"page {number} of 2" in text


def test_title_author_and_language_are_told_to_the_reader() -> None:
    """Screen readers and archives use them."""
    data = printed("<p>x</p>", title="Löhr &amp; Søn", author="Tidewater Press", language="en-US").data
    with pikepdf.open(BytesIO(data)) as pdf:
        assert str(pdf.Root.Lang) == "en-US"
        assert str(pdf.docinfo.Title) == "Löhr & Søn"
        assert str(pdf.docinfo.Author) == "Tidewater Press"
        assert pdf.Root.ViewerPreferences.DisplayDocTitle is True


@pytest.mark.parametrize(
    ("size", "orientation", "expected"),
    [("A4", "portrait", (210, 297)), ("A4", "landscape", (297, 210)), ("Letter", "portrait", (215.9, 279.4))],
)
def test_the_sheet_is_as_large_as_the_standard_says(
    size: str, orientation: str, expected: tuple[float, float]
) -> None:
    """ISO 216: A4 = 210 x 297 mm; Letter = 8.5 x 11 in (published, from memory); 1 in = 25.4 mm."""
    with pikepdf.open(BytesIO(printed("<p>x</p>", size=size, orientation=orientation).data)) as pdf:
        box = [float(value) for value in pdf.pages[0].mediabox]
    assert (box[2] / 72 * 25.4, box[3] / 72 * 25.4) == pytest.approx(expected, abs=0.01)


def test_reportlabs_markup_in_a_value_is_words() -> None:
    """`<img src=...>` in a customer's name embedded a local file when it reached reportlab's parser."""
    hostile = "&lt;img src='/etc/hostname'/&gt;&lt;b&gt;&lt;/para&gt; &amp;amp; &lt;a href='x'&gt;"
    [text] = text_of(printed(f"<p>{hostile}</p>").data)
    assert "<img src='/etc/hostname'/><b></para> &amp; <a href='x'>" in " ".join(text.split())


@settings(max_examples=25)
@given(st.text(st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=30))
def test_any_ascii_word_comes_out_as_it_went_in(word: str) -> None:
    """No letter is eaten or interpreted on the way through two markup languages."""
    from plugins.documents.paper.markup import Node

    leaf = Node(tag="p", attributes={}, children=(word,), template="t", line=1)
    whole = Node(tag="page", attributes={"title": "t"}, children=(leaf,), template="t", line=1)
    [text] = text_of(print_paper(whole).data)
    assert "".join(text.split()) == word


def test_missing_glyphs_are_reported_and_seen() -> None:
    """A character without a glyph would print as nothing at all, in a name, on an invoice."""
    paper = printed("<p>Ω Ж 漢</p><p><b>字</b></p><header>\N{FIRE}</header>", title="\N{FISH}")
    assert paper.missing == ("字", "漢", "\N{FISH}", "\N{FIRE}")
    [text] = text_of(paper.data)
    assert "Ω Ж \N{REPLACEMENT CHARACTER}" in text


def test_right_to_left_letters_are_reported() -> None:
    """They have glyphs but would stand in the wrong order; only the user can decide what to do."""
    assert printed("<p>\N{HEBREW LETTER ALEF}</p>").missing == ("\N{HEBREW LETTER ALEF}",)


def test_what_has_no_ink_is_dropped_without_a_report() -> None:
    """Zero-width and direction marks come along with pasted text and mean nothing on paper."""
    paper = printed("<p>a\N{ZERO WIDTH SPACE}b\N{RIGHT-TO-LEFT MARK}c</p>")
    assert paper.missing == ()
    assert "abc" in text_of(paper.data)[0]


def test_letters_written_in_two_parts_are_joined() -> None:
    """Files from some systems hold e + accent; set one after the other they would not meet."""
    assert "Café" in text_of(printed("<p>Cafe\N{COMBINING ACUTE ACCENT}</p>").data)[0]


def test_a_long_table_repeats_its_head_and_loses_no_row() -> None:
    """Long orders run over pages; the reader needs the column heads there too."""
    rows = "".join(f"<tr><td>row{n:04}</td><td> </td></tr>" for n in range(300))
    paper = printed(f"<table><tr><th>Headline</th><th>No</th></tr>{rows}</table><footer/>")
    texts = text_of(paper.data)
    assert paper.pages == len(texts) > 3
    assert all("Headline" in text for text in texts)
    assert [word for text in texts for word in text.split() if word.startswith("row")] == [
        f"row{n:04}" for n in range(300)
    ]


@pytest.mark.parametrize(("language", "said"), [("en", "page {} of 2"), ("de", "Seite {} von 2")])
def test_each_page_tells_its_number_and_how_many_there_are(language: str, said: str) -> None:
    """Pages part at the printer: whoever holds one must know whether there are more, also on a plain footer."""
    for footer in ("<footer/>", "<footer>Foot of the page</footer>"):
        leaf = page(f"{footer}<p>a</p><newpage/><p>b</p>")
        paper = print_paper(evolve(leaf, attributes={**leaf.attributes, "language": language}))
        texts = text_of(paper.data)
        assert [said.format(number) in text for number, text in enumerate(texts, 1)] == [True, True]


def test_a_row_that_fits_the_next_page_is_not_parted() -> None:
    """A line and its remark stay together, and the head is not repeated in the middle of a page."""
    rows = "".join(f"<tr><td>row{n:03}<br/>remark<br/>end{n:03}</td></tr>" for n in range(60))
    for above in range(1, 12):
        texts = text_of(printed(f"{'<p>x</p>' * above}<table><tr><th>Headline</th></tr>{rows}</table>").data)
        assert all(text.count("Headline") == 1 for text in texts)
        assert all(text.count("row") == text.count("end") for text in texts)


def test_a_box_that_fits_the_next_page_is_not_parted() -> None:
    """A caution that breaks off reads as if it were whole."""
    texts = text_of(printed(f"<space height='8in'/><box title='T'>{'word ' * 300}LAST</box>").data)
    assert [("T" in text, "LAST" in text) for text in texts] == [(False, False), (True, True)]


@pytest.mark.parametrize(
    "wrap",
    [
        "<p>{}</p>",
        "<table><tr><td>A</td><td>{}</td></tr></table>",
        "<box title='T'>{}</box>",
        "<row><col>{}</col><col>x</col></row>",
        "<ul><li>{}</li></ul>",
        "<keep><p>{}</p></keep>",
    ],
)
def test_what_is_taller_than_a_page_is_broken(wrap: str) -> None:
    """One endless note must not stop the whole run."""
    words = " ".join(f"w{n:04}" for n in range(2500))
    texts = text_of(printed(wrap.format(words)).data)
    assert len(texts) > 1
    assert [word for text in texts for word in text.split() if word.startswith("w")] == words.split()


def test_a_word_wider_than_its_column_is_broken_not_cut() -> None:
    """An article number without a space still has to be read."""
    word = "A1B2C3D4E5" * 30
    [text] = text_of(printed(f"<table widths='1 9'><tr><td>{word}</td><td>x</td></tr></table>").data)
    assert word in "".join(text.split())


def test_a_drawing_too_large_is_shrunk_to_the_page() -> None:
    """It would stop the run: reportlab refuses what no page can hold."""
    huge = Drawing(5000, 9000)
    huge.add(Rect(0, 0, 5000, 9000))
    paper = printed("<drawing name='huge' alt='huge'/>", Assets(drawings={"huge": huge}))
    assert paper.pages == 1


def test_a_picture_used_often_is_embedded_once() -> None:
    """Ten runs of one artwork must not make ten copies."""
    paper = printed("<img name='dot' alt='a'/>" * 10, assets())
    with pikepdf.open(BytesIO(paper.data)) as pdf:
        streams = [item for item in pdf.objects if isinstance(item, pikepdf.Stream)]
        assert sum(1 for stream in streams if stream.get("/Subtype") == "/Image") == 1


@pytest.mark.parametrize(
    ("inner", "message"),
    [
        ("<drawing name='squarr' alt='x'/>", "no drawing 'squarr' was handed over .* there are: square"),
        ("<img name='x' alt='x'/>", "no picture 'x' was handed over .* there are: dot"),
        ("<barcode value='naïve'/>", "plain ASCII"),
    ],
)
def test_what_is_not_there_is_told(inner: str, message: str) -> None:
    """A template that asks for a wrong name must not make a paper with a hole."""
    with pytest.raises(PaperError, match=message):
        printed(inner, assets())


def test_margins_that_leave_no_room_are_told() -> None:
    """A label with the margins of a letter."""
    with pytest.raises(PaperError, match="no room"):
        printed("<p>x</p>", size="1in 1in", margin="20mm")


def test_what_no_page_can_hold_is_told() -> None:
    """Large figures on a label of one inch: an error in words, not a traceback."""
    with pytest.raises(PaperError, match="does not fit on its page"):
        printed("<big>290</big>", size="1in 0.5in", margin="2mm")


@pytest.mark.parametrize(
    "wrap", ["<box>{}</box>", "<table><tr><td>{}</td></tr></table>", "<row><col>{}</col></row>"]
)
def test_a_drawing_too_large_fits_in_a_frame_too(wrap: str) -> None:
    """Frames and padding take their part of the page; the drawing must leave it to them."""
    tall = Drawing(500, 9000)
    tall.add(Rect(0, 0, 500, 9000))
    assert printed(wrap.format("<drawing name='t' alt='t'/>"), Assets(drawings={"t": tall})).pages == 1


def test_columns_follow_their_content() -> None:
    """A column of numbers needs no half page; a drawing in a cell gets the room it takes."""
    note = "A remark that is far too long for one line of the paper, so that it has to be broken " * 3
    cells = f"<td>12</td><td>{note}</td><td><drawing name='square' alt='s' width='1in'/></td>"
    data = printed(f"<table class='grid'><tr>{cells}</tr></table>", assets()).data
    leaf = pypdfium2.PdfDocument(data)[0].get_textpage()
    words = leaf.get_text_range()
    left_of_note = leaf.get_charbox(words.index("A remark"))[0]
    # Two digits and the padding: the remark begins within an inch of the margin (15 mm).
    assert left_of_note < 15 / 25.4 * 72 + 36


def test_columns_too_narrow_for_their_words_share_the_width() -> None:
    """Twelve columns of long words: broken words, but no column off the page."""
    cells = "".join(f"<td>Unbreakable{n:02}word</td>" for n in range(14))
    [text] = text_of(printed(f"<table><tr>{cells}</tr></table>").data)
    assert all(f"Unbreakable{n:02}word" in "".join(text.split()) or f"{n:02}" in text for n in range(14))


def test_an_empty_list_and_an_empty_row_are_nothing() -> None:
    """A loop over nothing leaves the tag standing empty."""
    assert printed("<ul></ul><row></row>").pages == 1


def test_an_empty_paper_is_one_page() -> None:
    """A printer expects a page; reportlab makes a PDF without one."""
    assert printed("").pages == 1


def test_first_page_can_go_without_header() -> None:
    """The first page has its own head."""
    first, second = text_of(printed("<header first='no'>Running head</header><p>a</p><newpage/><p>b</p>").data)
    assert "Running head" not in first
    assert "Running head" in second


def test_paragraphs_are_made_in_one_place_only() -> None:
    """Every other place would be one where unescaped text reaches reportlab's markup."""
    root = Path(__file__).parents[2] / "plugins"
    makers = [
        path.relative_to(root).as_posix()
        for path in sorted(root.rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Call)
        and getattr(node.func, "id", getattr(node.func, "attr", ""))
        in ("Paragraph", "MarkedParagraph", "Words", "XPreformatted", "Preformatted")
    ]
    assert makers == ["documents/paper/text.py"]


def test_the_margin_of_the_page_size_holds() -> None:
    """Nothing is printed into the edge that printers cannot reach."""
    from tests.documents.papers import raster

    image = raster(print_paper(page(EVERYTHING), assets()).data, 72)
    image = image.convert("L").point(lambda level: 255 if level < 250 else 0)
    left, top, right, bottom = image.getbbox() or (0, 0, 0, 0)
    edge = 15 / 25.4 * 72 - 3
    assert left >= edge
    assert top >= edge
    assert right <= image.width - edge
    assert bottom <= image.height - edge


def test_a_head_is_not_broken_within_a_word() -> None:
    """A narrow column whose head is longer in another language takes room from its neighbours."""
    head = "<tr><th>Geschnitten</th><th>Bezeichnung</th></tr><tr><td>1</td><td>x</td></tr>"
    (said,) = text_of(printed(f'<table widths="1 20">{head}</table>').data)
    assert "Geschnitten" in said
