"""The net price of one piece of a line: as agreed, or by the shop's rule."""

from fractions import Fraction

from pipeline.model.cost import CostBook, LinePrice, PriceBasis, PriceBook
from pipeline.model.money import Money, exponent, rounded
from pipeline.model.order import Blanks, Line, Order
from pipeline.shop import AgreedPrice, Customer, PriceMethod, Shop
from plugins.cost.costs import blanks_of

DECIMALS = 4
"""A unit price has at most so many decimals of the currency: what is shown is what is multiplied."""


def price_line(order: Order, number: int, shop: Shop, costs: CostBook) -> LinePrice:
    """The price of line `number` (from 0).

    First what the order says, then what is agreed with the customer for that garment at that quantity - for a
    finished piece, so only when the blanks are the shop's - and else the shop's rule.
    """
    line = order.lines[number]
    agreed = agreed_price(line, shop.customer(order.customer))
    if line.price is not None:
        price, basis = line.price, PriceBasis.AGREED_ORDER
    elif agreed is not None:
        price, basis = agreed.price, PriceBasis.AGREED_CUSTOMER
    else:
        price, basis = _by_rule(order, number, shop, costs)
    return LinePrice(job=order.job, line=number, unit_price=_to_decimals(price, shop.currency), basis=basis)


def agreed_price(line: Line, customer: Customer) -> AgreedPrice | None:
    """The customer's price for this garment with the most pieces that the line reaches, if there is one."""
    if line.blanks is Blanks.CUSTOMER:
        return None
    reached = [
        price for price in customer.prices if price.garment == line.garment and price.from_pieces <= line.quantity
    ]
    return max(reached, key=lambda price: price.from_pieces, default=None)


def list_price(pieces: int, shop: Shop) -> Fraction:
    """The list's price of one print at this quantity of a line; below the first step, the first step's.

    Raises ValueError when the shop has no price list.
    """
    steps = sorted(shop.pricing.print_prices, key=lambda step: step.from_pieces)
    if not steps:
        raise ValueError("the shop prices by list but has no price list: write `print_prices` under `pricing`")
    return next((step.price for step in reversed(steps) if step.from_pieces <= pieces), steps[0].price)


def line_net(order: Order, number: int, prices: PriceBook) -> Money:
    """The net amount of line `number` (from 0): quantity x unit price, rounded once."""
    return rounded(order.lines[number].quantity * prices.line(order.job, number).unit_price)


def _by_rule(order: Order, number: int, shop: Shop, costs: CostBook) -> tuple[Fraction, PriceBasis]:
    line, rules = order.lines[number], shop.pricing
    cost = costs.line(order.job, number).total
    match rules.method:
        case PriceMethod.PRICE_LIST:
            blanks = blanks_of(line, shop) * (1 + rules.blanks_mark_up) / line.quantity
            prints = len(line.prints) * list_price(line.quantity, shop) if line.prints else 0
            return blanks + prints, PriceBasis.PRICE_LIST
        case PriceMethod.MARK_UP:
            return cost * (1 + rules.mark_up) / line.quantity, PriceBasis.MARK_UP
        case PriceMethod.TARGET_MARGIN:
            # A margin is a share of the price, a mark-up one of the cost: 40 % margin is 66.67 % mark-up.
            return cost / (1 - rules.target_margin) / line.quantity, PriceBasis.TARGET_MARGIN


def _to_decimals(price: Fraction, currency: str) -> Fraction:
    """A price in minor units, rounded to `DECIMALS` decimals of the major unit."""
    fine = 10 ** max(0, DECIMALS - exponent(currency))
    return Fraction(rounded(price * fine), fine)
