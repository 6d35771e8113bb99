"""Tax by rate. The shop says where it is rounded: once per rate on the bill, or on each line and then added.

Both ways are lawful where a shop may choose, and they differ by some cents. Half a cent counts up. Rates are
the shop's own settings; nothing here knows what anyone owes.
"""

from collections.abc import Iterable
from datetime import date
from fractions import Fraction

from pipeline.display import Display
from pipeline.model.cost import BillLine, TaxLine
from pipeline.model.measure import Percent
from pipeline.model.money import ZERO, Money, rounded
from pipeline.shop import Customer, Exemption, Shop, TaxBasis, TaxRate, TaxRegime, VatCategory

# UNTDID 5305, as far as EN 16931 has it; the reasons' codes are of the code list VATEX.
_LETTERS = {
    VatCategory.STANDARD: "S",
    VatCategory.ZERO_RATED: "Z",
    VatCategory.EXEMPT: "E",
    VatCategory.REVERSE_CHARGE: "AE",
    VatCategory.EXPORT: "G",
    VatCategory.OUTSIDE: "O",
}
_REASON_CODES = {
    VatCategory.REVERSE_CHARGE: "VATEX-EU-AE",
    VatCategory.EXPORT: "VATEX-EU-G",
    VatCategory.OUTSIDE: "VATEX-EU-O",
}


def taxes_of(lines: Iterable[BillLine], customer: Customer, shop: Shop, on: date) -> tuple[TaxLine, ...]:
    """One tax line for each rate that occurs, in the order of first appearance; none in a shop without tax.

    A customer with a certificate that is valid on the day of issue pays none, and the tax line says why.
    Raises KeyError for a rate that the shop does not have.
    """
    if shop.tax.regime is TaxRegime.NONE:
        return ()
    nets: dict[str, list[Money]] = {}
    for line in lines:
        nets.setdefault(line.tax, []).append(line.net)
    valid = customer.exemption if customer.exemption and customer.exemption.expires >= on else None
    display = Display.of(shop, customer.language)
    return tuple(_tax_line(name, amounts, shop, valid, display) for name, amounts in nets.items())


def _tax_line(name: str, nets: list[Money], shop: Shop, exemption: Exemption | None, display: Display) -> TaxLine:
    rate = shop.tax_rate(name)
    base = Money(sum(nets))
    if exemption and rate.percent:
        _ = display.language.gettext
        reason = _(
            "%(reason)s, certificate %(number)s, valid until %(day)s",
            reason=exemption.reason,
            number=exemption.certificate,
            day=display.day(exemption.expires),
        )
        return TaxLine(
            tax=name,
            title=_("%(tax)s, exempt", tax=rate.title),
            percent=Percent(Fraction(0)),
            base=base,
            amount=ZERO,
            reason=reason,
            category=_LETTERS[VatCategory.EXEMPT] if shop.tax.regime is TaxRegime.VAT else "",
        )
    if shop.tax.basis is TaxBasis.LINE:
        amount = Money(sum(rounded(net * rate.percent) for net in nets))
    else:
        amount = rounded(base * rate.percent)
    category = _category(rate) if shop.tax.regime is TaxRegime.VAT else None
    return TaxLine(
        tax=name,
        title=rate.title,
        percent=rate.percent,
        base=base,
        amount=amount,
        reason=rate.reason,
        category=_LETTERS[category] if category else "",
        reason_code=rate.reason_code or (_REASON_CODES.get(category, "") if category else ""),
    )


def _category(rate: TaxRate) -> VatCategory | None:
    return rate.category or (VatCategory.STANDARD if rate.percent else None)
