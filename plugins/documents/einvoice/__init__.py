"""E-invoices by EN 16931, where shop.yaml asks for them: XML in both syntaxes beside the paper, and inside of it.

    terms.py    a bill -> the norm's business terms     xml.py     the terms -> UBL 2.1, CII
    attach.py   the PDF with the XML attached

The paper and the XML come from the same bill, so they say the same.
"""

from collections.abc import Iterator

from attrs import evolve

from pipeline.language import Language
from pipeline.model.document import Document
from plugins.documents.einvoice.terms import Invoiced, terms


def with_einvoice(paper: Document, invoiced: Invoiced, language: Language) -> Iterator[Document]:
    """The paper of an invoice, deposit invoice or credit note; with its XML where the shop makes e-invoices.

    A bill whose taxes have no category is of a time before e-invoices, and what corrects it stays a paper as well.
    """
    if invoiced.shop.einvoice is None or not all(tax.category for tax in invoiced.bill.taxes):
        yield paper
        return
    from plugins.documents.einvoice.attach import attached
    from plugins.documents.einvoice.xml import cii, ubl

    _ = language.gettext
    stem = paper.path.removesuffix(".pdf")
    embedded = cii(terms(invoiced))
    yield evolve(paper, content=attached(paper.content, embedded, invoiced.issued))
    for syntax, name, content in (("UBL", "ubl", ubl(terms(invoiced))), ("CII", "cii", embedded)):
        title = _("%(paper)s as data (%(syntax)s)", paper=paper.title, syntax=syntax)
        yield evolve(paper, path=f"{stem}.{name}.xml", title=title, content=content)
