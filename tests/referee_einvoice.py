"""Judges the figures of an e-invoice by exact decimals, from the XML alone; it shares no code with what wrote it.

EN 16931-1, 6.4: BR-CO-10 to BR-CO-17 for totals and tax, BR-27, the definition of BT-131 for lines, all to the last
decimal of the currency. (The published Schematron lets the tax of a rate be off by a whole unit.)
"""

from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal

from attrs import field, frozen
from lxml import etree

_UBL = {
    "a": "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2",
    "b": "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2",
}
_CII = {
    "r": "urn:un:unece:uncefact:data:standard:CrossIndustryInvoice:100",
    "m": "urn:un:unece:uncefact:data:standard:ReusableAggregateBusinessInformationEntity:100",
    "u": "urn:un:unece:uncefact:data:standard:UnqualifiedDataType:100",
}
ZERO = Decimal(0)


@frozen(kw_only=True)
class Change:
    """An allowance (below zero) or a charge, of a line or of the document."""

    amount: Decimal
    category: str = ""
    rate: Decimal | None = None


@frozen(kw_only=True)
class Line:
    """BG-25."""

    quantity: Decimal
    price: Decimal
    net: Decimal
    category: str
    rate: Decimal | None
    base_quantity: Decimal = Decimal(1)
    changes: tuple[Change, ...] = ()


@frozen(kw_only=True)
class Tax:
    """BG-23."""

    category: str
    rate: Decimal | None
    base: Decimal
    amount: Decimal
    reason: str = ""


@frozen(kw_only=True)
class Figures:
    """Whatever of an e-invoice is a figure. `totals` by the number of the term: 106, 107 ... 115."""

    lines: tuple[Line, ...]
    changes: tuple[Change, ...]
    taxes: tuple[Tax, ...]
    totals: dict[int, Decimal] = field(factory=dict)


def faults_of_figures(figures: Figures, decimals: int = 2) -> list[str]:
    """What does not add up to the last decimal; empty for a good invoice."""
    faults: list[str] = []

    def expect(what: str, stands: Decimal, should: Decimal) -> None:
        if stands != should:
            faults.append(f"{what} is {stands}, should be {should}")

    def half_up(amount: Decimal) -> Decimal:
        return amount.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)

    total = {number: figures.totals.get(number, ZERO) for number in range(106, 116)}
    for at, line in enumerate(figures.lines, 1):
        whole = half_up(line.quantity * line.price / line.base_quantity)
        expect(f"BT-131 of line {at}", line.net, whole + sum(change.amount for change in line.changes))
        if line.price < 0:
            faults.append(f"BT-146 of line {at} is below zero")
    expect("BT-106", total[106], sum((line.net for line in figures.lines), ZERO))
    expect("BT-107", total[107], -sum((c.amount for c in figures.changes if c.amount < 0), ZERO))
    expect("BT-108", total[108], sum((c.amount for c in figures.changes if c.amount > 0), ZERO))
    expect("BT-109", total[109], total[106] - total[107] + total[108])
    bases: dict[tuple[str, Decimal], Decimal] = {}
    for part in (*figures.lines, *figures.changes):
        key = part.category, part.rate or ZERO
        bases[key] = bases.get(key, ZERO) + (part.net if isinstance(part, Line) else part.amount)
    told = [(tax.category, tax.rate or ZERO) for tax in figures.taxes]
    if sorted(told) != sorted(bases):
        faults.append(f"BG-23 has {sorted(told)}, the lines {sorted(bases)}")
    for tax in figures.taxes:
        name = f"{tax.category} {tax.rate}"
        expect(f"BT-116 of {name}", tax.base, bases.get((tax.category, tax.rate or ZERO), ZERO))
        expect(f"BT-117 of {name}", tax.amount, half_up(tax.base * (tax.rate or ZERO) / 100))
        if (tax.category in ("S", "Z")) == bool(tax.reason):
            faults.append(f"BT-120 of {name}: a reason stands where none is due, and nowhere else")
    expect("BT-110", total[110], sum((tax.amount for tax in figures.taxes), ZERO))
    expect("BT-112", total[112], total[109] + total[110])
    expect("BT-115", total[115], total[112] - total[113] + total[114])
    return faults


def figures_of(xml: bytes) -> Figures:
    """The figures of an invoice or credit note in UBL, or of one in CII."""
    root = etree.fromstring(xml)
    return _cii(root) if root.tag == f"{{{_CII['r']}}}CrossIndustryInvoice" else _ubl(root)


def _number(node: etree._Element, path: str, names: dict[str, str]) -> Decimal | None:
    found = node.xpath(path, namespaces=names)
    return Decimal(found[0].text) if found else None


def _text(node: etree._Element, path: str, names: dict[str, str]) -> str:
    found = node.xpath(path, namespaces=names)
    return (found[0].text or "") if found else ""


def _totals(node: etree._Element, paths: dict[int, str], names: dict[str, str]) -> dict[int, Decimal]:
    found = {number: _number(node, path, names) for number, path in paths.items()}
    return {number: amount for number, amount in found.items() if amount is not None}


def _ubl(root: etree._Element) -> Figures:
    def changes(node: etree._Element) -> Iterator[Change]:
        for item in node.xpath("a:AllowanceCharge", namespaces=_UBL):
            sign = 1 if _text(item, "b:ChargeIndicator", _UBL) == "true" else -1
            yield Change(
                amount=sign * (_number(item, "b:Amount", _UBL) or ZERO),
                category=_text(item, "a:TaxCategory/b:ID", _UBL),
                rate=_number(item, "a:TaxCategory/b:Percent", _UBL),
            )

    return Figures(
        lines=tuple(
            Line(
                quantity=_number(item, "b:InvoicedQuantity|b:CreditedQuantity", _UBL) or ZERO,
                price=_number(item, "a:Price/b:PriceAmount", _UBL) or ZERO,
                base_quantity=_number(item, "a:Price/b:BaseQuantity", _UBL) or Decimal(1),
                net=_number(item, "b:LineExtensionAmount", _UBL) or ZERO,
                category=_text(item, "a:Item/a:ClassifiedTaxCategory/b:ID", _UBL),
                rate=_number(item, "a:Item/a:ClassifiedTaxCategory/b:Percent", _UBL),
                changes=tuple(changes(item)),
            )
            for item in root.xpath("a:InvoiceLine|a:CreditNoteLine", namespaces=_UBL)
        ),
        changes=tuple(changes(root)),
        taxes=tuple(
            Tax(
                category=_text(item, "a:TaxCategory/b:ID", _UBL),
                rate=_number(item, "a:TaxCategory/b:Percent", _UBL),
                base=_number(item, "b:TaxableAmount", _UBL) or ZERO,
                amount=_number(item, "b:TaxAmount", _UBL) or ZERO,
                reason=_text(item, "a:TaxCategory/b:TaxExemptionReason", _UBL),
            )
            for item in root.xpath("a:TaxTotal/a:TaxSubtotal", namespaces=_UBL)
        ),
        totals=_totals(
            root,
            {
                106: "a:LegalMonetaryTotal/b:LineExtensionAmount",
                107: "a:LegalMonetaryTotal/b:AllowanceTotalAmount",
                108: "a:LegalMonetaryTotal/b:ChargeTotalAmount",
                109: "a:LegalMonetaryTotal/b:TaxExclusiveAmount",
                110: "a:TaxTotal/b:TaxAmount",
                112: "a:LegalMonetaryTotal/b:TaxInclusiveAmount",
                113: "a:LegalMonetaryTotal/b:PrepaidAmount",
                114: "a:LegalMonetaryTotal/b:PayableRoundingAmount",
                115: "a:LegalMonetaryTotal/b:PayableAmount",
            },
            _UBL,
        ),
    )


def _cii(root: etree._Element) -> Figures:
    def changes(node: etree._Element) -> Iterator[Change]:
        for item in node.xpath("m:SpecifiedTradeAllowanceCharge", namespaces=_CII):
            sign = 1 if _text(item, "m:ChargeIndicator/u:Indicator", _CII) == "true" else -1
            yield Change(
                amount=sign * (_number(item, "m:ActualAmount", _CII) or ZERO),
                category=_text(item, "m:CategoryTradeTax/m:CategoryCode", _CII),
                rate=_number(item, "m:CategoryTradeTax/m:RateApplicablePercent", _CII),
            )

    settlement = root.xpath("r:SupplyChainTradeTransaction/m:ApplicableHeaderTradeSettlement", namespaces=_CII)[0]
    price = "m:SpecifiedLineTradeAgreement/m:NetPriceProductTradePrice"
    of_line, tax = "m:SpecifiedLineTradeSettlement", "m:ApplicableTradeTax"
    lines = []
    for item in root.xpath("r:SupplyChainTradeTransaction/m:IncludedSupplyChainTradeLineItem", namespaces=_CII):
        net = f"{of_line}/m:SpecifiedTradeSettlementLineMonetarySummation/m:LineTotalAmount"
        lines.append(
            Line(
                quantity=_number(item, "m:SpecifiedLineTradeDelivery/m:BilledQuantity", _CII) or ZERO,
                price=_number(item, f"{price}/m:ChargeAmount", _CII) or ZERO,
                base_quantity=_number(item, f"{price}/m:BasisQuantity", _CII) or Decimal(1),
                net=_number(item, net, _CII) or ZERO,
                category=_text(item, f"{of_line}/{tax}/m:CategoryCode", _CII),
                rate=_number(item, f"{of_line}/{tax}/m:RateApplicablePercent", _CII),
                changes=tuple(changes(item.xpath(of_line, namespaces=_CII)[0])),
            )
        )
    total = "m:SpecifiedTradeSettlementHeaderMonetarySummation"
    return Figures(
        lines=tuple(lines),
        changes=tuple(changes(settlement)),
        taxes=tuple(
            Tax(
                category=_text(item, "m:CategoryCode", _CII),
                rate=_number(item, "m:RateApplicablePercent", _CII),
                base=_number(item, "m:BasisAmount", _CII) or ZERO,
                amount=_number(item, "m:CalculatedAmount", _CII) or ZERO,
                reason=_text(item, "m:ExemptionReason", _CII),
            )
            for item in settlement.xpath(tax, namespaces=_CII)
        ),
        totals=_totals(
            settlement,
            {
                106: f"{total}/m:LineTotalAmount",
                107: f"{total}/m:AllowanceTotalAmount",
                108: f"{total}/m:ChargeTotalAmount",
                109: f"{total}/m:TaxBasisTotalAmount",
                110: f"{total}/m:TaxTotalAmount",
                112: f"{total}/m:GrandTotalAmount",
                113: f"{total}/m:TotalPrepaidAmount",
                114: f"{total}/m:RoundingAmount",
                115: f"{total}/m:DuePayableAmount",
            },
            _CII,
        ),
    )
