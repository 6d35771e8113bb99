"""Which characters of an order or the shop the papers' fonts cannot set, before any paper is made."""

from collections.abc import Iterator

from pipeline.model.order import Order
from pipeline.problems import Origin, Problem, Severity
from pipeline.shop import Address, Shop
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
