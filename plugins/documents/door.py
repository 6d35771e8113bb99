"""What papers and sheets could not show, found before any is made.

Letters without a glyph, garments without a drawing, artwork that cannot be drawn, would print as a white box, or may
print otherwise than it was drawn.
"""

from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

from attrs import frozen

from pipeline.artwork import read_artwork
from pipeline.artwork.pixels import white_border
from pipeline.model.order import Artwork, ArtworkKind, Order
from pipeline.problems import Origin, Problem, Severity
from pipeline.shop import Address, Shop
from plugins.documents.artwork import ArtworkUnreadable, raster, svg_doubts
from plugins.documents.drawings.garments import anchors
from plugins.documents.fonts import SANS, drawable

_LOOK = 160
"""Pixels of the longer side in which a drawing is looked at."""
_MOST = 3
"""Doubts about a drawing that are quoted: they seldom come alone."""
_SPACES = frozenset(" \t\r\n\u00a0")


def unfit(orders: tuple[Order, ...], shop: Shop) -> Iterator[Problem]:
    """All of it."""
    yield from unsettable(orders, shop)
    yield from undrawable(orders, shop)
    yield from unprintable(orders, shop)


def unsettable(orders: tuple[Order, ...], shop: Shop) -> Iterator[Problem]:
    """A warning (W405) for each text that would lose characters on paper."""
    own = (shop.name, *_of(shop.address), shop.payment)
    yield from _look("", "the shop's name and address", own, shop.origin)
    for wording in shop.wordings:
        file = f"language/{wording.code}.po"
        said = tuple(line for line in wording.po.decode().splitlines() if not line.startswith("#"))
        yield from _look("", file, said, Origin(file=file))
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


def unprintable(orders: tuple[Order, ...], shop: Shop) -> Iterator[Problem]:
    """An error (E303) for each ordered drawing that cannot be drawn.

    A warning for a white ground behind it (W332), and for what may print otherwise than it was drawn (W334).
    Drawings are SVG and PDF; pixels were looked at when they were measured. What could not be read was told of.
    """
    for order, item in ((o, p) for o in orders for li in o.lines for p in li.prints):
        picture = item.art
        if picture is None or picture.kind not in (ArtworkKind.SVG, ArtworkKind.PDF):
            continue
        for fault in _faults_of(shop.root, picture):
            yield Problem(
                code=fault.code,
                severity=Severity.ERROR if fault.code.startswith("E") else Severity.WARNING,
                message=f"`{item.artwork}`: {fault.what}",
                hint=fault.hint,
                origin=item.at("artwork"),
                job=order.job,
            )


@frozen
class _Fault:
    code: str
    what: str
    hint: str


@lru_cache(maxsize=4096)
def _faults_of(root: Path, picture: Artwork) -> tuple[_Fault, ...]:
    return tuple(_faults(read_artwork(root, picture), picture.kind))


def _faults(data: bytes, kind: ArtworkKind) -> Iterator[_Fault]:
    try:
        drawn = raster(data, kind, _LOOK)
        doubts = svg_doubts(data) if kind is ArtworkKind.SVG else ()
    except ArtworkUnreadable as error:
        yield _Fault("E303", str(error), "ask for the file again, or export it again from the drawing")
        return
    # The outermost pixels are only partly covered.
    edge = 2 if min(drawn.size) > 8 else 0
    if white_border(drawn.crop((edge, edge, drawn.width - edge, drawn.height - edge))):
        fault = "it is white from edge to edge: that is printed as a white box"
        yield _Fault("W332", fault, "take the white shape out of the drawing, unless the box is meant")
    if doubts:
        said = ", ".join(f'"{doubt}"' for doubt in doubts[:_MOST])
        more = f" and {len(doubts) - _MOST} more" if len(doubts) > _MOST else ""
        fault = f"it may print otherwise than it was drawn: {said}{more}"
        hint = "export it again with shapes and plain colours, or look at its sheet before you send it"
        yield _Fault("W334", fault, hint)
