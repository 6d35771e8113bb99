"""The page that ties a run together: index.html, from the papers' vocabulary. No script, no network."""

from collections.abc import Iterator, Sequence

from attrs import frozen

from pipeline.language import N_
from pipeline.model.document import Audience, Document
from pipeline.model.index import grouped
from plugins.documents.desk import Desk
from plugins.documents.office import the_week
from plugins.documents.paper.assets import Assets
from plugins.documents.paper.html import html_page
from plugins.documents.timetable import press_titles, schedule_drawings

HEADINGS = {
    Audience.OFFICE: N_("For the office"),
    Audience.SUPPLIER: N_("For the suppliers"),
    Audience.FLOOR: N_("For the presses"),
}


@frozen(kw_only=True)
class Link:
    """A document as the page names it."""

    path: str
    title: str


def document(desk: Desk, made: Sequence[Document]) -> Document:
    """The page, with links to all the documents `made`."""
    _ = desk.language.gettext
    title = _("Quote for %(week)s", week=desk.week) if desk.quote else _("The week %(week)s", week=desk.week)
    tree = desk.fill(
        "index",
        title,
        groups=tuple(_groups(desk, made)),
        orders_count=len(desk.run.orders),
        days=bool(desk.run.schedule.runs),
        titles=press_titles(desk),
        week=the_week(desk),
    )
    content = html_page(tree, Assets(drawings=schedule_drawings(desk))).encode()
    return Document(path="index.html", title=title, content=content, audience=Audience.OFFICE)


def _groups(desk: Desk, made: Sequence[Document]) -> Iterator[tuple[str, tuple[Link, ...]]]:
    """Each order's own papers, then the rest by who needs them."""
    own = grouped((d for d in made if d.audience is Audience.CUSTOMER), lambda document: document.job)
    for order in desk.run.orders:
        yield f"{order.job} · {desk.shop.customer(order.customer).title}", _links(own.get(order.job, ()))
    for audience, heading in HEADINGS.items():
        yield desk.language.gettext(heading), _links([d for d in made if d.audience is audience])


def _links(documents: Sequence[Document]) -> tuple[Link, ...]:
    return tuple(Link(path=document.path, title=document.title) for document in documents)
