"""What is asked before work starts: a share of the order's total, on account."""

from datetime import date
from fractions import Fraction

from attrs import evolve

from pipeline.display import Display
from pipeline.model.cost import Bill, BillLine, TaxLine
from pipeline.model.money import ZERO, Money, rounded, split
from pipeline.shop import Shop, TaxRegime


def make_deposit(bill: Bill, shop: Shop, on: date) -> Bill:
    """The bill of a deposit invoice for an order that would be billed as `bill`: payable at once, one line a rate.

    With VAT the deposit is taxed when it is paid, so it says how much of it is tax; it is made from the net amount,
    and may differ from the share of the total by a cent. A sales tax is due with the sale: the deposit has none.
    """
    if shop.tax.regime is not TaxRegime.VAT:
        lines: tuple[BillLine, ...] = (_line(1, bill, bill.deposit, shop.tax.goods, shop),)
        taxes: tuple[TaxLine, ...] = ()
    else:
        gross = split(bill.deposit, [max(0, tax.base + tax.amount) for tax in bill.taxes])
        nets = [rounded(part / (1 + tax.percent)) for part, tax in zip(gross, bill.taxes, strict=True)]
        pairs = [(net, tax) for net, tax in zip(nets, bill.taxes, strict=True) if net]
        lines = tuple(_line(number, bill, net, tax.tax, shop) for number, (net, tax) in enumerate(pairs, 1))
        taxes = tuple(evolve(tax, base=net, amount=rounded(net * tax.percent)) for net, tax in pairs)
    net = Money(sum(line.net for line in lines))
    tax = Money(sum(item.amount for item in taxes))
    return evolve(
        bill,
        lines=lines,
        taxes=taxes,
        net=net,
        tax=tax,
        total=Money(net + tax),
        deposit=ZERO,
        pay_by=on,
        terms=Display.of(shop, shop.customer(bill.customer).language).language.gettext(
            "Payable before work starts"
        ),
    )


def _line(number: int, bill: Bill, net: Money, tax: str, shop: Shop) -> BillLine:
    display = Display.of(shop, shop.customer(bill.customer).language)
    total = display.money(bill.total)
    return BillLine(
        number=number,
        line=None,
        description=display.language.gettext(
            "On account of job %(job)s, estimated at %(total)s", job=bill.job, total=total
        ),
        quantity=1,
        unit_price=Fraction(net),
        net=net,
        tax=tax,
    )
