"""The whole run -> papers and tables: for each customer, for the floor, for the suppliers, for the office."""

from collections.abc import Iterable

from pipeline.hookspecs import hookimpl
from pipeline.model.account import Statement, Voucher
from pipeline.model.document import Document
from pipeline.model.folder import WatchedFolder
from pipeline.model.order import Order
from pipeline.model.run import Replan, Run
from pipeline.problems import Problem
from pipeline.shop import Shop


@hookimpl
def check_orders(orders: tuple[Order, ...], shop: Shop) -> Iterable[Problem]:
    """Find what papers and sheets could not show: letters without a glyph, garments or artwork not to be drawn."""
    from plugins.documents.door import unfit

    yield from unfit(orders, shop)


@hookimpl
def make_documents(run: Run) -> Iterable[Document]:
    """Make every paper and table of the run."""
    from plugins.documents.workers import documents

    yield from documents(run)


@hookimpl
def make_vouchers(vouchers: tuple[Voucher, ...], shop: Shop) -> Iterable[Document]:
    """Make the papers of deposit invoices and credit notes."""
    from plugins.documents import accounts

    yield from accounts.vouchers(vouchers, shop)


@hookimpl
def make_statements(statements: tuple[Statement, ...], shop: Shop) -> Iterable[Document]:
    """Make the statements of account."""
    from plugins.documents import accounts

    yield from accounts.statements(statements, shop)


@hookimpl
def make_replan_documents(replan: Replan) -> Iterable[Document]:
    """Make the floor's papers and the table of a week that was planned again."""
    from plugins.documents.floor import planned_again

    yield from planned_again(replan)


@hookimpl
def index_replan_documents(replan: Replan, documents: tuple[Document, ...]) -> Iterable[Document]:
    """Make the page of a week that was planned again."""
    from plugins.documents.page.again import document

    yield document(replan, documents)


@hookimpl
def index_documents(run: Run, documents: tuple[Document, ...]) -> Iterable[Document]:
    """Make the page that shows the run and links to every paper, those of other plugins too."""
    from plugins.documents.page import document

    yield document(run, documents)


@hookimpl(trylast=True)
def show_folder(folder: WatchedFolder, shop: Shop) -> Document:
    """Make the page of the watched folder, which refreshes itself."""
    from plugins.documents.status import document

    return document(folder, shop)
