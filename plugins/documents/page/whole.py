"""What pages about presses have in common: style and script, the bars, and links to papers."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from attrs import frozen

from pipeline.model.document import Audience, Document
from plugins.documents.desk import FloorDesk
from plugins.documents.page.presses import presses_view
from plugins.documents.paper.assets import Assets
from plugins.documents.paper.html import html_page
from plugins.documents.paper.markup import Node
from plugins.documents.timetable import schedule_bars

_HERE = Path(__file__).parent


@frozen(kw_only=True)
class Link:
    """A document as the page names it."""

    path: str
    title: str


def links(documents: Sequence[Document]) -> tuple[Link, ...]:
    """The documents as links."""
    return tuple(Link(path=document.path, title=document.title) for document in documents)


def press_views(desk: FloorDesk) -> dict[str, str]:
    """The schedule as bars, by press and by operator; nothing where nothing is pressed."""
    _ = desk.language.gettext
    about = {
        "presses": _("The week's press runs as bars, press by press"),
        "operators": _("The same as bars, operator by operator"),
    }
    return {name: presses_view(desk, *bars, about[name]) for name, bars in schedule_bars(desk).items()}


def index_page(desk: FloorDesk, title: str, tree: Node, views: Mapping[str, str]) -> Document:
    """`index.html` of a folder of papers."""
    style, script = ((_HERE / name).read_text("utf-8") for name in ("week.css", "week.js"))
    content = html_page(tree, Assets(views=views, language=desk.language), style=style, script=script)
    return Document(path="index.html", title=title, content=content.encode(), audience=Audience.OFFICE)
