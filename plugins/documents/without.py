"""What the others pay when some orders are taken off: a paper and a table for the office, where that was asked."""

from collections.abc import Iterator

from pipeline.model.document import Audience, Document
from plugins.documents.desk import Desk, WholeWork, Work
from plugins.documents.tables import Row, amount, as_csv


def works(desk: Desk) -> Iterator[Work]:
    """The paper and the table; nothing for a run, and for a quote of all orders."""
    yield WholeWork(_documents, desk)


def _documents(desk: Desk) -> Iterator[Document]:
    _ = desk.language.gettext
    without = desk.run.without
    if without is None:
        return
    jobs = ", ".join(order.job for order in without.off)
    yield desk.paper(
        "without",
        "office/without.pdf",
        _("Without %(jobs)s", jobs=jobs),
        Audience.OFFICE,
        without=without,
        titles={customer.name: customer.title for customer in desk.shop.customers},
    )
    yield Document(
        path="tables/without.csv",
        title=_("Table of what changes"),
        content=as_csv(list(_rows(desk))),
        audience=Audience.OFFICE,
    )


def _rows(desk: Desk) -> Iterator[Row]:
    without = desk.run.without
    for order in without.orders if without else ():
        yield {
            "job": order.job,
            "customer": order.customer,
            "transfers": amount(desk, order.transfers),
            "transfers_after": amount(desk, order.transfers_after),
            "transfers_change": amount(desk, order.transfers_change),
            "net": amount(desk, order.net),
            "net_after": amount(desk, order.net_after),
            "net_change": amount(desk, order.net_change),
        }
