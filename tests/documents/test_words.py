"""Quick paragraphs are reportlab's own: whatever is skipped makes no difference."""

from itertools import groupby
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from hypothesis import given
from hypothesis import strategies as st
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from plugins.documents.fonts import MONO, SANS, register
from plugins.documents.paper.markup import Node, parse
from plugins.documents.paper.text import Lettering
from plugins.documents.paper.words import Words
from tests.documents.random_papers import words

register()
STYLE = ParagraphStyle("p", fontName=SANS, fontSize=9, leading=12, splitLongWords=1)
TAGS = {
    "b": ("<b>", "</b>"),
    "i": ("<i>", "</i>"),
    "small": ('<font size="7.5">', "</font>"),
    "code": (f'<font name="{MONO}">', "</font>"),
    "br": ("<br/>", ""),
    "tick": ('<font size="11.7">\N{BALLOT BOX}', "</font>"),
}

SOME = st.text("ab,-. \N{NO-BREAK SPACE}\N{LATIN SMALL LETTER U WITH DIAERESIS}\n", max_size=60)
MARKED = st.sampled_from(["", "<b>bold</b>", "<br/>", "&amp;", "&lt;b&gt;", '<font size="7">small</font>'])
TEXTS = st.lists(st.tuples(SOME, MARKED), max_size=4).map(lambda parts: "".join(a + b for a, b in parts).strip())
WIDTHS = st.lists(st.sampled_from([0.0, 30.0, 57.5, 120.0, 300.0, 10_000.0]), min_size=1, max_size=8)


def looked_at(paragraph: Paragraph) -> Any:
    """Fragments and lines, down to the values of each."""

    def values(item: Any) -> Any:
        if isinstance(item, list | tuple):
            return [values(each) for each in item]
        return {k: values(v) for k, v in vars(item).items()} if hasattr(item, "__dict__") else item

    return values([paragraph.frags, getattr(paragraph, "blPara", None), paragraph.minWidth()])


@given(TEXTS, WIDTHS)
def test_the_same_lines_at_whatever_widths_it_was_asked_for(text: str, widths: list[float]) -> None:
    """In any order and again: as a table does that settles its columns, then its heights, then draws."""
    quick, plain = Words("", STYLE, frags=Paragraph(text, STYLE).frags), Paragraph(text, STYLE)
    for width in widths:
        assert quick.wrap(width, 1000) == plain.wrap(width, 1000)
        assert looked_at(quick) == looked_at(plain)


@given(TEXTS, WIDTHS, st.sampled_from([5.0, 13.0, 30.0]))
def test_the_same_parts_at_the_foot_of_a_page(text: str, widths: list[float], room: float) -> None:
    """A paragraph is parted where reportlab parts it, and its parts break as reportlab's do."""
    quick, plain = Words("", STYLE, frags=Paragraph(text, STYLE).frags), Paragraph(text, STYLE)
    for width in widths:
        assert quick.wrap(width, room) == plain.wrap(width, room)
    parts = [quick.split(widths[-1], room), plain.split(widths[-1], room)]
    assert len(parts[0]) == len(parts[1])
    for one, other in zip(*parts, strict=True):
        assert isinstance(one, Words)
        assert one.wrap(widths[-1], room) == other.wrap(widths[-1], room)
        assert looked_at(one) == looked_at(other)


def marked_up(node: Node) -> str:
    """What stands in an element as reportlab's parser reads it."""
    parts = []
    for child in node.children:
        if isinstance(child, str):
            parts.append(escape(child))
            continue
        link = f'<a href={quoteattr(child.get("href"))} color="#1f4e79">'
        before, behind = (link, "</a>") if child.tag == "a" else TAGS[child.tag]
        parts += [before, marked_up(child), behind]
    return "".join(parts)


def looks(paragraph: Paragraph) -> list[Any]:
    """Each text with its look; reportlab's parser makes several of one at `&amp;`."""

    def look(piece: Any) -> Any:
        letters = piece.fontName, piece.fontSize, str(piece.textColor), piece.rise, piece.us_lines
        return letters, [target for _, target in piece.link], getattr(piece, "lineBreak", False)

    grouped = groupby(paragraph.frags, look)
    return [(said, each) for each, same in grouped if (said := "".join(piece.text for piece in same)) or each[-1]]


NESTED = st.tuples(st.sampled_from(["b", "i", "small", "code"]), words(3)).map("<{0[0]}> {0[1]}</{0[0]}> ".format)


@given(st.lists(words(3) | NESTED, max_size=3).map("".join), st.sampled_from(["p", "h1"]))
def test_the_same_pieces_as_of_markup(xml: str, kind: str) -> None:
    """Words that go past reportlab's parser look as if it had read them."""
    (node,) = parse(f'<page title="t"><p>{xml}</p></page>', "test").nodes
    quick = Lettering().paragraph(node.children, None, kind)
    assert looks(quick) == looks(Paragraph(marked_up(node).strip(), quick.style))
