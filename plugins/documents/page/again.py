"""The page of a week that was planned again: what is late, the presses from then on, and the papers."""

from collections.abc import Sequence

from pipeline.model.document import Document
from pipeline.model.run import Replan
from plugins.documents.desk import FloorDesk
from plugins.documents.page.whole import Link, index_page, links, press_views
from plugins.documents.timetable import press_titles, run_rows


def document(replan: Replan, made: Sequence[Document]) -> Document:
    """The page, with links to all the documents `made` and back to the pages of its runs."""
    desk = FloorDesk(replan)
    _ = desk.language.gettext
    title = _("The week %(week)s", week=desk.week)
    weeks = tuple(
        Link(path=f"../{label}/index.html", title=_("The week %(week)s", week=label)) for label in replan.runs
    )
    tree = desk.fill(
        "replan",
        title,
        schedule=replan.schedule,
        runs=run_rows(desk),
        titles=press_titles(desk),
        links=links(made),
        weeks=weeks,
    )
    return index_page(desk, title, tree, press_views(desk))
