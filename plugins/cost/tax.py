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
from pipeline.shop import Customer, Exemption, Shop, TaxBasis, TaxRegime


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
        title = _("%(tax)s, exempt", tax=rate.title)
        return TaxLine(tax=name, title=title, percent=Percent(Fraction(0)), base=base, amount=ZERO, reason=reason)
    if shop.tax.basis is TaxBasis.LINE:
        amount = Money(sum(rounded(net * rate.percent) for net in nets))
    else:
        amount = rounded(base * rate.percent)
    return TaxLine(tax=name, title=rate.title, percent=rate.percent, base=base, amount=amount, reason=rate.reason)
