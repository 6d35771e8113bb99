"""The same tree for a browser: words escaped, nothing fetched, readable by people and machines."""

import re
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plugins.documents.paper.assets import Assets
from plugins.documents.paper.fault import PaperError
from plugins.documents.paper.html import html_page
from plugins.documents.paper.markup import Node
from tests.documents.papers import page, printed
from tests.documents.test_paper_pdf import EVERYTHING, assets

_VOID = {"meta", "br", "img", "hr", "col", "input"}


class Reader(HTMLParser):
    """Collects tags and text, and whether every element is closed in order."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self._open: list[str] = []
        self.balanced = True

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """An element begins."""
        self.tags.append((tag, dict(attrs)))
        if tag not in _VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """An element without content."""
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        """An element ends."""
        self.balanced = self.balanced and bool(self._open) and self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        """Text, but not the style sheet's."""
        if "style" not in self._open:
            self.words.append(data)


def read(html: str) -> Reader:
    """The page as a browser's parser sees it."""
    reader = Reader()
    reader.feed(html)
    reader.close()
    return reader


def test_the_page_is_whole_and_repeats() -> None:
    """Every element closed, the same text from the same tree."""
    html = html_page(page(EVERYTHING), assets())
    assert read(html).balanced
    assert html == html_page(page(EVERYTHING), assets())


ON_SCREEN = """
<search label="Find" count="{shown} of {all}"/>
<table narrow="cards" title="Few {words}"><tr><th>Job</th><th align="right">Net</th></tr>
<tr find="A-1 &quot;x&quot;" id="a-1"><td>A-1 {0}</td><td align="right">5</td></tr></table>
<table title="Wide"><tr><th>Job</th></tr><tr><td>A-2</td></tr></table>
<h3 id="b">B</h3><ul><li find="b">item</li></ul><view name="map"/><fold title="More"><p>folded</p></fold>
<p><a href="#a-1">up</a></p>
"""


def test_what_only_a_browser_shows() -> None:
    """Rows as cards keep their roles and say their columns; what is wide can be moved by keys."""
    html = html_page(page(ON_SCREEN), Assets(views={"map": "<figure>here</figure>"}))
    reader = read(html)
    assert reader.balanced
    tags = reader.tags
    assert ("table", {"class": "lines cards", "role": "table", "aria-label": "Few {words}"}) in tags
    assert ("tr", {"role": "row", "id": "a-1", "data-find": 'A-1 "x"'}) in tags
    assert ("td", {"role": "cell", "data-label": "Net", "class": "right"}) in tags
    assert ("th", {"scope": "col", "role": "columnheader", "data-label": "Net", "class": "right"}) in tags
    assert ("div", {"class": "scroll", "tabindex": "0", "role": "region", "aria-label": "Wide"}) in tags
    assert ("h3", {"id": "b"}) in tags
    assert "<figure>here</figure>" in html
    assert "<details><summary>More</summary>" in html
    assert "A-1 {0}" in reader.words


def test_paper_refuses_what_only_a_browser_shows() -> None:
    """Silence would leave a hole on the paper."""
    for inner in ('<search label="a" count="b"/>', '<view name="map"/>', '<fold title="a">b</fold>'):
        with pytest.raises(PaperError, match="stands in pages for a browser, not on paper"):
            printed(inner)
    with pytest.raises(PaperError, match="no view 'map' was handed over"):
        html_page(page('<view name="map"/>'))


def test_it_needs_nothing_from_anywhere() -> None:
    """A page of a run is read from a disk or a mail, years later: no script, no fetch."""
    reader = read(html_page(page(EVERYTHING), assets()))
    assert not {"script", "link", "iframe"} & {tag for tag, _ in reader.tags}
    sources = [
        value for _, attrs in reader.tags for name, value in attrs.items() if name in ("src", "xlink:href")
    ]
    assert sources
    assert all(str(source).startswith("data:image/png;base64,") for source in sources)


def test_what_screen_readers_need_is_there() -> None:
    """Language, title, alternative texts, header cells with their scope."""
    tags = read(html_page(page(EVERYTHING, language="en-US"), assets())).tags
    assert ("html", {"lang": "en-US"}) in tags
    assert {"main", "header", "footer", "thead", "h1"} <= {tag for tag, _ in tags}
    assert all(attrs.get("scope") for tag, attrs in tags if tag == "th")
    assert [attrs["alt"] for tag, attrs in tags if tag == "img"] == ["a dot"]
    assert all(attrs.get("role") == "img" for tag, attrs in tags if tag == "svg")


def test_no_two_elements_share_an_id() -> None:
    """Several drawings stand in one page; a shared id makes one cut the other."""
    html = html_page(page("<drawing name='square' alt='a'/>" * 3), assets())
    ids = re.findall(r'\bid="([^"]*)"', html)
    assert len(ids) == len(set(ids))


@given(st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1))
def test_any_text_is_words(value: str) -> None:
    """What a customer writes never becomes markup, in text or in an attribute."""
    leaf = Node(tag="p", attributes={}, children=(value,), template="t", line=1)
    box = Node(tag="box", attributes={"title": value}, children=(), template="t", line=1)
    whole = Node(tag="page", attributes={"title": value}, children=(leaf, box), template="t", line=1)
    reader = read(html_page(whole))
    assert "".join("".join(reader.words).split()) == "".join((value * 3).split())
    plain = {"html", "head", "meta", "title", "style", "body", "main", "p", "div", "b"}
    assert {tag for tag, _ in reader.tags} <= plain
