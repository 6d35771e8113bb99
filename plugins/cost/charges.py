"""What is added to or taken off an order beside its lines.

In this order: oversize, rush, discounts, minimum, freight. Percentages are of the order's goods value: its
lines' net amounts and its oversize prints. So a discount gives nothing back of a rush fee, and the order's own
discount and the customer's do not compound. The minimum looks at all of that without freight. A charge of
nothing is left out.
"""

from collections.abc import Iterator

from pipeline.display import Display
from pipeline.model.cost import Charge, ChargeKind, PriceBasis, PriceBook
from pipeline.model.money import Money, rounded
from pipeline.model.order import Delivery, Line, Order
from pipeline.model.packing import PackingPlan
from pipeline.shop import PriceRules, Shop
from plugins.cost.prices import line_net

_AGREED = (PriceBasis.AGREED_ORDER, PriceBasis.AGREED_CUSTOMER)


def charges_of(order: Order, shop: Shop, prices: PriceBook, packing: PackingPlan) -> tuple[Charge, ...]:
    """The charges of one order, from the prices of its lines and its cartons, named in the customer's language."""
    rules, display = shop.pricing, Display.of(shop, shop.customer(order.customer).language)
    _ = display.language.gettext
    oversize = _oversize(order, rules, prices)
    goods = Money(oversize + sum(line_net(order, number, prices) for number in range(len(order.lines))))
    charges = [
        _charge(order, ChargeKind.OVERSIZE, _("Oversize prints"), oversize),
        *(_rush(order, rules, goods, display) if order.rush else ()),
        *_discounts(order, shop, goods, display),
    ]
    missing = rules.minimum_order - goods - sum(charge.amount for charge in charges[1:])
    least = _("Up to the minimum order of %(amount)s", amount=display.money(rules.minimum_order))
    charges.append(_charge(order, ChargeKind.MINIMUM, least, Money(max(0, missing))))
    charges += _freight(order, shop, packing, display)
    return tuple(charge for charge in charges if charge.amount)


def oversize_prints(line: Line, rules: PriceRules) -> int:
    """How many prints of a line, over all pieces, are larger in area than the shop's limit."""
    if rules.oversize_from_width is None or rules.oversize_from_height is None:
        return 0
    limit = rules.oversize_from_width * rules.oversize_from_height
    return sum(
        item.count for print_ in line.prints for item in line.pieces if _area(*print_.size_on(item.size)) > limit
    )


def _area(width: int, height: int) -> int:
    return width * height


def _charge(order: Order, kind: ChargeKind, label: str, amount: Money) -> Charge:
    return Charge(job=order.job, kind=kind, label=label, amount=amount)


def _oversize(order: Order, rules: PriceRules, prices: PriceBook) -> Money:
    """The extra for large prints on lines that have no agreed price: what is agreed is the whole price."""
    count = sum(
        oversize_prints(line, rules)
        for number, line in enumerate(order.lines)
        if prices.line(order.job, number).basis not in _AGREED
    )
    return Money(count * rules.oversize_per_piece)


def _rush(order: Order, rules: PriceRules, goods: Money, display: Display) -> Iterator[Charge]:
    label = display.language.gettext("Rush %(share)s", share=display.percent(rules.rush))
    yield _charge(order, ChargeKind.RUSH, label, rounded(goods * rules.rush))


def _discounts(order: Order, shop: Shop, goods: Money, display: Display) -> Iterator[Charge]:
    """The order's discount and the customer's, each of the goods value; together never more than it."""
    left = goods
    for share in (order.discount, shop.customer(order.customer).discount):
        off = min(left, rounded(goods * share))
        left = Money(left - off)
        label = display.language.gettext("Discount %(share)s", share=display.percent(share))
        yield _charge(order, ChargeKind.DISCOUNT, label, Money(-off))


def _freight(order: Order, shop: Shop, packing: PackingPlan, display: Display) -> Iterator[Charge]:
    """Freight of a shipped order: so much for the order and so much for each carton, taxed as freight is."""
    if order.delivery is Delivery.SHIP:
        cartons = len(packing.of(order.job))
        amount = Money(shop.pricing.freight_per_order + cartons * shop.pricing.freight_per_carton)
        label = display.language.ngettext("Freight, %(num)s carton", "Freight, %(num)s cartons", cartons)
        yield Charge(job=order.job, kind=ChargeKind.FREIGHT, label=label, amount=amount, tax=shop.tax.freight)
