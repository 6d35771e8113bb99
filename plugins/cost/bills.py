"""The bill of one order: its lines, its charges, tax, total, deposit and terms."""

from collections.abc import Iterable
from datetime import date, timedelta
from fractions import Fraction

from attrs import evolve

from pipeline.display import Display
from pipeline.language import Language
from pipeline.model.cost import Bill, BillLine, ChargeKind, Prepayment, PriceBook
from pipeline.model.money import ZERO, Money, rounded
from pipeline.model.order import Blanks, Line, Order
from pipeline.shop import Customer, Shop
from plugins.cost.prices import line_net
from plugins.cost.tax import taxes_of

_WITH_GOODS = (ChargeKind.OVERSIZE, ChargeKind.RUSH, ChargeKind.DISCOUNT)


def make_bill(order: Order, shop: Shop, prices: PriceBook, prepaid: Iterable[Prepayment], on: date) -> Bill:
    """The bill as issued on the day `on`. Discounts are lines like any others, so they come off before tax.

    Of the deposits that were paid, it takes off the order's own.
    """
    customer = shop.customer(order.customer)
    display = Display.of(shop, customer.language)
    lines = (*_goods(order, shop, prices, display.language), *_charges(order, shop, prices))
    if customer.tax:
        lines = tuple(evolve(line, tax=customer.tax) for line in lines)
    taxes = taxes_of(lines, customer, shop, on)
    net = Money(sum(line.net for line in lines))
    tax = Money(sum(line.amount for line in taxes))
    total = Money(net + tax)
    return Bill(
        job=order.job,
        customer=order.customer,
        lines=lines,
        taxes=taxes,
        net=net,
        tax=tax,
        total=total,
        deposit=max(ZERO, rounded(total * customer.deposit)),
        pay_by=on + timedelta(days=customer.terms_days),
        terms=terms_of(customer, display),
        prepaid=tuple(payment for payment in prepaid if payment.job == order.job),
    )


def terms_of(customer: Customer, display: Display) -> str:
    """The terms of payment in words."""
    days, deposit = customer.terms_days, display.percent(customer.deposit)
    _, ngettext = display.language.gettext, display.language.ngettext
    if not customer.deposit:
        if not days:
            return _("Payable on receipt, net")
        return ngettext(
            "Payable within %(num)s day of the invoice date, net",
            "Payable within %(num)s days of the invoice date, net",
            days,
        )
    if not days:
        return _("%(deposit)s deposit before work starts, the rest on receipt, net", deposit=deposit)
    return ngettext(
        "%(deposit)s deposit before work starts, the rest within %(num)s day of the invoice date, net",
        "%(deposit)s deposit before work starts, the rest within %(num)s days of the invoice date, net",
        days,
        deposit=deposit,
    )


def _goods(order: Order, shop: Shop, prices: PriceBook, language: Language) -> tuple[BillLine, ...]:
    return tuple(
        BillLine(
            number=number + 1,
            line=number,
            description=_describe(line, shop, language),
            quantity=line.quantity,
            unit_price=prices.line(order.job, number).unit_price,
            net=line_net(order, number, prices),
            tax=shop.tax.goods,
        )
        for number, line in enumerate(order.lines)
    )


def _describe(line: Line, shop: Shop, language: Language) -> str:
    """`Cotton tee, navy; S 4, M 10; printed: left chest, full back`."""
    garment, _ = shop.garment(line.garment), language.gettext
    whose = f"{garment.title}, {line.colour}"
    if line.blanks is Blanks.CUSTOMER:
        whose = _("%(garment)s (your blanks)", garment=whose)
    sizes = ", ".join(f"{item.size} {item.count}" for item in line.pieces)
    places = []
    for print_ in line.prints:
        placement = garment.placement(print_.placement)
        places.append(placement.title if placement else print_.placement)
    return "; ".join([whose, sizes, *([_("printed: %(places)s", places=", ".join(places))] if places else [])])


def _charges(order: Order, shop: Shop, prices: PriceBook) -> tuple[BillLine, ...]:
    return tuple(
        BillLine(
            number=number,
            line=None,
            description=charge.label,
            quantity=1,
            unit_price=Fraction(charge.amount),
            net=charge.amount,
            tax=charge.tax or shop.tax.goods,
            with_goods=charge.kind in _WITH_GOODS,
        )
        for number, charge in enumerate(prices.charges_of(order.job), start=len(order.lines) + 1)
    )
