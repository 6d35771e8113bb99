"""The vocabulary of papers: what is let through, and how a mistake is told."""

import pytest

from plugins.documents.paper.fault import PaperError
from plugins.documents.paper.markup import header_rows, parse
from plugins.documents.paper.vocabulary import ATTRIBUTES, HOLDS, page_size
from tests.documents.papers import page


@pytest.mark.parametrize(
    ("inner", "message"),
    [
        ("<div/>", "there is no tag <div>"),
        ('<p style="x">a</p>', "<p> has no attribute 'style'; it has align, class"),
        ('<p align="justify">a</p>', "it is one of left, center, right"),
        ("<td>a</td>", "<td> may not stand in <page>"),
        ("<p><h1>a</h1></p>", "<h1> may not stand in <p>"),
        ("<table><tr><td colspan='x'/></tr></table>", "write a whole number from 1"),
        ("loose", "the text 'loose' may not stand directly in <page>"),
        ("<drawing name='x'/>", "<drawing> needs the attribute 'alt'"),
        ("<space height='3'/>", "write a length such as 12mm"),
        ("<table widths='1 0'><tr><td/><td/></tr></table>", "write shares above zero"),
        ("<table><tr><td/><td/></tr><tr><td/></tr></table>", "this row fills 1 columns, the table has 2"),
        ("<table></table>", "a table needs at least one <tr>"),
        ("<p><a href='javascript:x'>a</a></p>", "a link is relative, https: or mailto:"),
        ("<footer pages='{page.x}'/>", "only {page} and {pages} may stand in braces"),
        ("<p>&nbsp;</p>", "write &#160; and the like by number"),
        ("<p>", "the markup is broken here or just after"),
    ],
)
def test_a_mistake_names_template_and_line(inner: str, message: str) -> None:
    """People who write templates see where and what, and what they may write instead."""
    with pytest.raises(PaperError) as caught:
        parse(f'<page title="T">\n{inner}\n</page>', "shop.xml.j2")
    assert message in str(caught.value)
    assert str(caught.value).startswith("shop.xml.j2:")


def test_the_line_is_the_one_where_it_stands() -> None:
    """A wrong line number is worse than none."""
    with pytest.raises(PaperError) as caught:
        parse('<page title="T">\n<p>a</p>\n\n<wrong/>\n</page>', "t")
    assert caught.value.line == 4


@pytest.mark.parametrize(
    "bomb",
    [
        '<!DOCTYPE page [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><page title="&b;"/>',
        '<!DOCTYPE page SYSTEM "file:///etc/passwd"><page title="x"/>',
    ],
)
def test_a_document_type_is_refused(bomb: str) -> None:
    """Entities blow up memory or read files; no paper needs a document type."""
    with pytest.raises(PaperError, match="document type"):
        parse(bomb, "t")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("<p>a</p>", "a paper is one <page>"),
        ('<page title="T" size="A5"/>', "write Letter, A4 or a width and height"),
        ('<page title=""/>', "<page> needs the attribute 'title'"),
    ],
)
def test_the_paper_itself_is_checked(text: str, message: str) -> None:
    """What stands around everything else."""
    with pytest.raises(PaperError, match=message):
        parse(text, "t")


def test_a_table_of_heads_alone_repeats_none() -> None:
    """A key and value list made of th only would be all head and no body."""
    [table] = page("<table><tr><th>a</th></tr><tr><th>b</th></tr></table>").nodes
    assert header_rows(table) == 0


def test_other_processing_instructions_are_nothing() -> None:
    """Only the marks of templates mean something."""
    assert page("<?php echo?><p>a</p>").nodes[0].tag == "p"


def test_every_tag_has_its_attributes_and_content_declared() -> None:
    """A tag that may stand somewhere but has no rule for its content would break the reader."""
    assert set().union(*HOLDS.values()) <= set(HOLDS)
    assert set(ATTRIBUTES) <= set(HOLDS)


def test_white_space_between_blocks_is_nothing() -> None:
    """Templates are indented; the indentation must not become content."""
    assert [node.tag for node in page("\n  <p>a</p>\n  <p>b</p>\n").nodes] == ["p", "p"]
    assert not [child for child in page("\n <p>a</p>\n").children if isinstance(child, str)]


def test_paper_sizes_are_the_published_ones() -> None:
    """ISO 216 A4 is 210 x 297 mm, ANSI A (Letter) 8.5 x 11 in, an inch 25.4 mm (published, from memory)."""
    assert page_size("A4") == pytest.approx((210 / 25.4 * 72, 297 / 25.4 * 72))
    assert page_size("Letter") == (612, 792)
    assert page_size("101.6mm 6in") == pytest.approx((288, 432))
