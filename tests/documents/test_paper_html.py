"""The same tree for a browser: words escaped, nothing fetched, readable by people and machines."""

import re
from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st

from plugins.documents.paper.html import html_page
from plugins.documents.paper.markup import Node
from tests.documents.papers import page
from tests.documents.test_paper_pdf import EVERYTHING, assets

_VOID = {"meta", "br", "img", "hr", "col"}


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
