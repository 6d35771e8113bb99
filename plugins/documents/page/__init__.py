"""The page that ties a run together: index.html, from the papers' vocabulary. It needs no server and no network.

Without its script all of it can be read; with it one can search, and point at prints and runs.
"""

from collections.abc import Iterator, Sequence

from attrs import frozen

from pipeline.language import N_
from pipeline.model.document import Audience, Document
from pipeline.model.index import grouped
from pipeline.model.run import Run
from plugins.documents.desk import Desk, slug
from plugins.documents.office import OrderLine, the_week
from plugins.documents.page.sheets import sheet_view
from plugins.documents.page.whole import Link, index_page, links, press_views
from plugins.documents.timetable import press_titles, run_rows

HEADINGS = {
    Audience.OFFICE: N_("For the office"),
    Audience.SUPPLIER: N_("For the suppliers"),
    Audience.FLOOR: N_("For the presses"),
}


@frozen(kw_only=True)
class Group:
    """Documents under one heading; `id` is what links lead to, `find` how the search finds them."""

    id: str
    heading: str
    links: tuple[Link, ...]


def document(run: Run, made: Sequence[Document]) -> Document:
    """The page, with links to all the documents `made`."""
    desk = Desk(run)
    _ = desk.language.gettext
    title = _("Quote for %(week)s", week=desk.week) if desk.quote else _("The week %(week)s", week=desk.week)
    week = the_week(desk)
    tree = desk.fill(
        "index",
        title,
        groups=tuple(_groups(desk, made)),
        orders=_by_urgency(desk, week.orders),
        due={order.job: order.due for order in desk.run.orders},
        slugs={order.job: slug(order.job) for order in desk.run.orders},
        runs=run_rows(desk),
        titles=press_titles(desk),
        week=week,
    )
    sheets = {layout.id: sheet_view(desk, layout) for layout in desk.run.plan.sheets.layouts}
    return index_page(desk, title, tree, {**sheets, **press_views(desk)})


def _by_urgency(desk: Desk, orders: Sequence[OrderLine]) -> tuple[OrderLine, ...]:
    """What is late first, then by the day on which it is due."""
    due = {order.job: order.due for order in desk.run.orders}
    return tuple(sorted(orders, key=lambda row: (not row.late, due[row.job])))


def _groups(desk: Desk, made: Sequence[Document]) -> Iterator[Group]:
    """Each order's own papers, then the rest by who needs them."""
    own = grouped((d for d in made if d.audience is Audience.CUSTOMER), lambda document: document.job)
    for order in desk.run.orders:
        heading = f"{order.job} · {desk.shop.customer(order.customer).title}"
        yield Group(id=slug(order.job), heading=heading, links=links(own.get(order.job, ())))
    for audience, heading in HEADINGS.items():
        theirs = links([d for d in made if d.audience is audience])
        yield Group(id=f"for-{audience}", heading=desk.language.gettext(heading), links=theirs)
