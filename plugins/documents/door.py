"""What the papers could not show, found before any is made: letters without a glyph, garments without a drawing."""

from collections.abc import Iterator

from pipeline.model.order import Order
from pipeline.problems import Origin, Problem, Severity
from pipeline.shop import Address, Shop
from plugins.documents.drawings.garments import anchors
from plugins.documents.fonts import SANS, drawable

_SPACES = frozenset(" \t\r\n\u00a0")


def unsettable(orders: tuple[Order, ...], shop: Shop) -> Iterator[Problem]:
    """A warning (W405) for each text that would lose characters on paper."""
    own = (shop.name, *_of(shop.address), shop.payment)
    yield from _look("", "the shop's name and address", own, shop.origin)
    ordering = {order.customer for order in orders}
    for customer in shop.customers:
        if customer.name in ordering:
            texts = (customer.title, customer.contact, *_of(customer.address))
            yield from _look("", f"the name or address of {customer.name}", texts, customer.origin)
    for order in orders:
        texts = (order.job, order.customer_order, order.notes, *(line.notes for line in order.lines))
        yield from _look(order.job, f"job {order.job}", texts, order.origin)


def _look(job: str, what: str, texts: tuple[str, ...], origin: Origin) -> Iterator[Problem]:
    settable = drawable(SANS) | _SPACES
    if lost := sorted(set("".join(texts)) - settable):
        shown = ", ".join(f"{character} (U+{ord(character):04X})" for character in lost)
        yield Problem(
            code="W405",
            severity=Severity.WARNING,
            message=f"the papers cannot set these characters in {what}: {shown}",
            hint="they print as empty boxes; write the text with letters that the bundled fonts have",
            origin=origin,
            job=job,
        )


def _of(address: Address) -> tuple[str, ...]:
    return (*address.lines, address.city, address.region, address.postcode)


def undrawable(orders: tuple[Order, ...], shop: Shop) -> Iterator[Problem]:
    """An error (E706) for each ordered placement that has no place on its garment's outline."""
    for order, line, item in ((o, li, p) for o in orders for li in o.lines for p in li.prints):
        garment = shop.garment(line.garment) if shop.knows("garment", line.garment) else None
        placement = garment.placement(item.placement) if garment else None
        if garment is None or placement is None:
            continue
        try:
            known = anchors(garment.outline, str(placement.view))
        except ValueError as error:
            message, hint = f"{garment.name} cannot be drawn: {error}", "name another outline or view"
        else:
            if placement.anchor in known:
                continue
            message = f"the {placement.view} of a {garment.outline} has no {placement.anchor}"
            hint = f"measure from {', '.join(known)}"
        yield Problem(code="E706", message=message, hint=hint, origin=placement.at("anchor"), job=order.job)
