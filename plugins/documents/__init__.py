"""The whole run -> papers and tables: for each customer, for the floor, for the suppliers, for the office."""

from collections.abc import Iterable

from pipeline.hookspecs import hookimpl
from pipeline.model.document import Document
from pipeline.model.order import Order
from pipeline.model.run import Run
from pipeline.problems import Problem
from pipeline.shop import Shop


@hookimpl
def check_orders(orders: tuple[Order, ...], shop: Shop) -> Iterable[Problem]:
    """Find what the papers could not show: letters without a glyph, garments without a drawing."""
    from plugins.documents.door import undrawable, unsettable

    yield from unsettable(orders, shop)
    yield from undrawable(orders, shop)


@hookimpl
def make_documents(run: Run) -> Iterable[Document]:
    """Make every paper and table of the run."""
    from plugins.documents import customer, floor, office, page, purchasing, tables
    from plugins.documents.desk import Desk

    desk = Desk(run)
    made: list[Document] = []
    for part in (customer, purchasing, floor, office, tables):
        made += part.documents(desk)
    yield from made
    # The page that ties the run together links to all the others.
    yield page.document(desk, made)
