"""A bill -> the business terms of EN 16931-1, by their numbers: texts, days, amounts as decimal texts.

Every figure is the bill's own; nothing is rounded here. What is added to the goods is a line like them, what is
taken off an allowance of the whole document, since a price is never below zero (BR-27).
"""

from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from attrs import frozen

from pipeline.model.account import Correction
from pipeline.model.cost import Bill, BillLine, TaxLine
from pipeline.model.money import Money, as_decimal, exponent, round_decimal, rounded
from pipeline.shop import Address, Customer, EInvoiceRules, ElectronicAddress, Shop

INVOICE, CREDIT_NOTE, PREPAYMENT = "380", "381", "386"
"""Kinds of document: UNTDID 1001."""

_PRICE_DECIMALS = 4
# UN/ECE Recommendation 20: a piece; one, for what is not counted in pieces.
_PIECE, _ONE = "H87", "C62"
# UNTDID 4461: credit transfer, and that of SEPA, which is in euros.
_TRANSFER, _SEPA = "30", "58"
_OUTSIDE = "O"
# With a rate, be it 0 %: no reason is told (BR-S-10, BR-Z-10).
_TAXED = ("S", "Z")


@frozen(kw_only=True)
class Invoiced:
    """An invoice, a deposit invoice or a credit note (`kind`), with all that its e-invoice says.

    `terms` say how the amount is settled; `delivered` is None where it is not told.
    """

    kind: str
    number: str
    issued: date
    bill: Bill
    shop: Shop
    customer: Customer
    terms: str
    customer_order: str = ""
    delivered: date | None = None
    pick_up: bool = False
    corrects: Correction | None = None
    notes: tuple[str, ...] = ()


def terms(invoiced: Invoiced) -> dict[str, Any]:
    """The document's business terms and groups. Raises ValueError in a shop that makes no e-invoices."""
    shop, customer, bill, rules = invoiced.shop, invoiced.customer, invoiced.bill, invoiced.shop.einvoice
    if rules is None:
        raise ValueError("the shop makes no e-invoices")
    taxes = {tax.tax: tax for tax in bill.taxes}
    outside = any(tax.category == _OUTSIDE for tax in bill.taxes)
    made: dict[str, Any] = {
        "BT-1": invoiced.number,
        "BT-2": invoiced.issued,
        "BT-3": invoiced.kind,
        "BT-5": shop.currency,
        "BT-9": None if invoiced.kind == CREDIT_NOTE else bill.pay_by,
        "BT-10": customer.buyer_reference,
        "BT-13": invoiced.customer_order,
        "BT-14": bill.job,
        "BT-20": invoiced.terms,
        "BT-72": invoiced.delivered,
        "BG-1": [{"BT-22": note} for note in invoiced.notes if note],
        "BG-3": _preceding(invoiced),
        "BG-4": _seller(shop, rules, outside),
        "BG-7": _buyer(customer, outside),
        "BG-13": {"name": customer.title, **_address(_place(invoiced))},
        **(_payment(invoiced, rules) if invoiced.kind != CREDIT_NOTE else {}),
        "BG-25": [_line(line, taxes[line.tax], shop.currency) for line in bill.lines if line.net >= 0],
        "BG-20": [_allowance(line, taxes[line.tax], shop.currency) for line in bill.lines if line.net < 0],
        "BG-23": _breakdown(bill.taxes, shop.currency),
        **_totals(bill, shop.currency),
    }
    return _told(made)


def _told(group: dict[str, Any]) -> dict[str, Any]:
    """The group without what has nothing to say; inner groups likewise."""
    made: dict[str, Any] = {}
    for term, value in group.items():
        if isinstance(value, dict):
            value = _told(value)
        elif isinstance(value, list):
            value = [_told(item) for item in value]
        if value:
            made[term] = value
    return made


def _preceding(invoiced: Invoiced) -> list[dict[str, Any]]:
    """What a credit note corrects, or the deposit invoices that were paid before an invoice."""
    if invoiced.corrects:
        return [{"BT-25": invoiced.corrects.number, "BT-26": invoiced.corrects.issued}]
    return [{"BT-25": paid.number} for paid in invoiced.bill.prepaid]


def _place(invoiced: Invoiced) -> Address:
    """Where the goods change hands."""
    if invoiced.pick_up:
        return invoiced.shop.address
    return invoiced.customer.ship_to or invoiced.customer.address


def _seller(shop: Shop, rules: EInvoiceRules, outside: bool) -> dict[str, Any]:
    mail = ElectronicAddress(scheme="EM", address=shop.email)
    return {
        "name": shop.name,
        "legal_identifier": rules.registration,
        # BR-O-02: what is outside VAT names no VAT numbers.
        "vat_identifier": "" if outside else rules.vat_id,
        "tax_identifier": rules.tax_number,
        "contacts": [{"name": shop.name, "phone": shop.phone, "email": shop.email}],
        **_electronic(rules.electronic_address or mail),
        **_address(shop.address),
    }


def _buyer(customer: Customer, outside: bool) -> dict[str, Any]:
    return {
        "name": customer.title,
        "vat_identifier": "" if outside else customer.vat_id,
        "contacts": [{"name": customer.contact}] if customer.contact else [],
        **(_electronic(customer.electronic_address) if customer.electronic_address else {}),
        **_address(customer.address),
    }


def _electronic(address: ElectronicAddress) -> dict[str, str]:
    return {"einvoicing_addr": address.address, "einvoicing_addr_schemeid": address.scheme}


def _address(address: Address) -> dict[str, str]:
    """Three lines at the most: what is more goes onto the third."""
    first, second, *others = (*address.lines, "", "")
    return {
        "addr_l1": first,
        "addr_l2": second,
        "addr_l3": ", ".join(other for other in others if other),
        "city": address.city,
        "postcode": address.postcode,
        "country_subdivision": address.region,
        "country_code": address.country,
    }


def _payment(invoiced: Invoiced, rules: EInvoiceRules) -> dict[str, str]:
    if not rules.iban:
        return {}
    return {
        "BT-81": _SEPA if invoiced.shop.currency == "EUR" else _TRANSFER,
        "BT-83": invoiced.number,
        "BT-84": rules.iban.replace(" ", ""),
        "BT-85": invoiced.shop.name,
        "BT-86": rules.bic,
    }


def _line(line: BillLine, tax: TaxLine, currency: str) -> dict[str, Any]:
    """A line. A price that four decimals cannot tell is that of all pieces: so quantity times price is exact."""
    price, base = _price(line.unit_price, currency), ""
    if price is None or rounded(line.quantity * line.unit_price) != line.net:
        price, base = _amount(line.net, currency), str(line.quantity)
    return {
        "BT-126": str(line.number),
        "BT-129": str(line.quantity),
        "BT-130": _ONE if line.line is None else _PIECE,
        "BT-131": _amount(line.net, currency),
        "BT-146": price,
        "BT-149": base,
        "BT-151": tax.category,
        "BT-152": _percent(tax),
        "BT-153": line.description,
    }


def _price(price: Fraction, currency: str) -> str | None:
    """The price with the currency's decimals or up to four; None when those do not tell it exactly."""
    own = exponent(currency)
    for places in range(own, _PRICE_DECIMALS + 1):
        if (price * 10 ** (places - own)).denominator == 1:
            return str(round_decimal(price / 10**own, places))
    return None


def _allowance(line: BillLine, tax: TaxLine, currency: str) -> dict[str, Any]:
    return {
        "amount": _amount(Money(-line.net), currency),
        "reason": line.description,
        "vat_category_code": tax.category,
        "vat_rate": _percent(tax),
    }


def _breakdown(taxes: Iterable[TaxLine], currency: str) -> list[dict[str, Any]]:
    """One group for each category and rate: of rates of 0 % several may be of one category."""
    groups: dict[tuple[str, Fraction], list[TaxLine]] = {}
    for tax in taxes:
        groups.setdefault((tax.category, tax.percent), []).append(tax)
    return [
        {
            "BT-116": _amount(Money(sum(tax.base for tax in own)), currency),
            "BT-117": _amount(Money(sum(tax.amount for tax in own)), currency),
            "BT-118": own[0].category,
            "BT-119": _percent(own[0]),
            **(_reason(own) if own[0].category not in _TAXED else {}),
        }
        for own in groups.values()
    ]


def _reason(taxes: Sequence[TaxLine]) -> dict[str, str]:
    return {
        "BT-120": "; ".join(dict.fromkeys(tax.reason for tax in taxes if tax.reason)),
        "BT-121": next((tax.reason_code for tax in taxes if tax.reason_code), ""),
    }


def _totals(bill: Bill, currency: str) -> dict[str, str]:
    added = [line.net for line in bill.lines if line.net >= 0]
    taken = [-line.net for line in bill.lines if line.net < 0]
    prepaid = [paid.amount for paid in bill.prepaid]
    return {
        "BT-106": _sum(added, currency),
        "BT-107": _sum(taken, currency) if taken else "",
        "BT-109": _amount(bill.net, currency),
        "BT-110": _amount(bill.tax, currency),
        "BT-112": _amount(Money(bill.total - bill.rounding), currency),
        "BT-113": _sum(prepaid, currency) if prepaid else "",
        "BT-114": _amount(bill.rounding, currency) if bill.rounding else "",
        "BT-115": _amount(bill.due, currency),
    }


def _sum(amounts: Sequence[int], currency: str) -> str:
    return _amount(Money(sum(amounts)), currency)


def _amount(amount: Money, currency: str) -> str:
    return str(as_decimal(amount, currency))


def _percent(tax: TaxLine) -> str:
    """Per cent without idle zeros; none where VAT does not apply (BR-O-05)."""
    if tax.category == _OUTSIDE:
        return ""
    return f"{round_decimal(tax.percent * 100, 4):f}".rstrip("0").rstrip(".")
