"""What is asked for the pieces of a line, and scales that no piece is ordered for."""

from collections.abc import Iterator

from pipeline.model.order import Blanks, Line, Order
from pipeline.model.show import count
from pipeline.problems import Problem, Severity, did_you_mean
from pipeline.shop import PriceMethod, Shop
from plugins.validate.found import error, warning


def check_goods(orders: tuple[Order, ...], shop: Shop) -> Iterator[Problem]:
    """E231 no price; W231-W234 what is worth a second look."""
    for order in orders:
        for line in order.lines:
            yield from _scales(order, line)
            yield from _price(order, line, shop)
            yield from _free_blanks(line, shop)


def _scales(order: Order, line: Line) -> Iterator[Problem]:
    ordered = [item.size for item in line.pieces]
    for print_ in line.prints:
        for scale in print_.scale:
            if scale.size not in ordered:
                message = f"the print has a scale for size `{scale.size}`, of which no piece is ordered"
                hint = did_you_mean(scale.size, ordered) or "delete it, or order pieces of that size"
                yield warning(order, "W234", message, scale.origin, hint=hint)


def _price(order: Order, line: Line, shop: Shop) -> Iterator[Problem]:
    if line.price is not None:
        if line.price == 0:
            message = f"nothing is asked for {count(line.quantity, 'piece')} of `{line.garment}`"
            hint = "right for a free replacement; otherwise write the price, or `price: by-list`"
            yield warning(order, "W231", message, line.at("price"), hint=hint)
        return
    if _agreed(order, line, shop):
        if line.blanks is Blanks.OURS:
            return
        message = (
            f"the price agreed for `{line.garment}` is not used: it includes the garment, here the customer's"
        )
        hint = "right when the shop's own rule is to count; otherwise write `price:` for the printing alone"
        yield warning(order, "W232", message, line.at("blanks"), hint=hint)
    steps = [step.from_pieces for step in shop.pricing.print_prices]
    if shop.pricing.method is PriceMethod.PRICE_LIST and not any(step <= line.quantity for step in steps):
        begins = f"the price list begins at {count(min(steps, default=0), 'piece')}"
        why = begins if steps else "the shop's price list is empty"
        message = f"there is no price for {count(line.quantity, 'piece')} of `{line.garment}`: {why}"
        hint = "write `price:` below this line, or complete `print_prices` in the shop's file"
        yield error(order, "E231", message, line.at("price"), hint=hint)


def _agreed(order: Order, line: Line, shop: Shop) -> bool:
    """True when a price agreed with the customer counts at the line's quantity."""
    if not shop.knows("customer", order.customer):
        return False
    prices = shop.customer(order.customer).prices
    return any(price.garment == line.garment and price.from_pieces <= line.quantity for price in prices)


def _free_blanks(line: Line, shop: Shop) -> Iterator[Problem]:
    if line.blanks is Blanks.CUSTOMER or not shop.knows("garment", line.garment):
        return
    garment = shop.garment(line.garment)
    for item in line.pieces:
        size = garment.size(item.size)
        if size is not None and size.cost == 0:
            yield Problem(
                code="W233",
                message=f"size `{size.name}` of `{garment.name}` costs the shop nothing",
                hint="write what a blank costs: prices by mark-up and all margins stand on it",
                origin=size.at("cost"),
                severity=Severity.WARNING,
            )
