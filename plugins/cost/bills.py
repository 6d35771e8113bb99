"""The bill of one order: its lines, its charges, tax, total, deposit and terms."""

from datetime import date, timedelta
from fractions import Fraction

from pipeline.model.cost import Bill, BillLine, PriceBook
from pipeline.model.money import ZERO, Money, rounded
from pipeline.model.order import Blanks, Line, Order
from pipeline.model.show import count, percent
from pipeline.shop import Customer, Shop
from plugins.cost.prices import line_net
from plugins.cost.tax import taxes_of


def make_bill(order: Order, shop: Shop, prices: PriceBook, on: date) -> Bill:
    """The bill as issued on the day `on`. Discounts are lines like any others, so they come off before tax."""
    customer = shop.customer(order.customer)
    lines = (*_goods(order, shop, prices), *_charges(order, shop, prices))
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
        terms=terms_of(customer),
    )


def terms_of(customer: Customer) -> str:
    """The terms of payment in words."""
    days = customer.terms_days
    when = f"within {count(days, 'day')} of the invoice date" if days else "on receipt"
    if not customer.deposit:
        return f"Payable {when}, net"
    return f"{percent(customer.deposit)} deposit before work starts, the rest {when}, net"


def _goods(order: Order, shop: Shop, prices: PriceBook) -> tuple[BillLine, ...]:
    return tuple(
        BillLine(
            number=number + 1,
            line=number,
            description=_describe(line, shop),
            quantity=line.quantity,
            unit_price=prices.line(order.job, number).unit_price,
            net=line_net(order, number, prices),
            tax=shop.tax.goods,
        )
        for number, line in enumerate(order.lines)
    )


def _describe(line: Line, shop: Shop) -> str:
    """`Cotton tee, navy; S 4, M 10; printed left chest, full back`."""
    garment = shop.garment(line.garment)
    whose = f"{garment.title}, {line.colour}"
    if line.blanks is Blanks.CUSTOMER:
        whose += " (your blanks)"
    sizes = ", ".join(f"{item.size} {item.count}" for item in line.pieces)
    places = []
    for print_ in line.prints:
        placement = garment.placement(print_.placement)
        places.append(placement.title.lower() if placement else print_.placement)
    return "; ".join([whose, sizes, *([f"printed {', '.join(places)}"] if places else [])])


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
        )
        for number, charge in enumerate(prices.charges_of(order.job), start=len(order.lines) + 1)
    )
