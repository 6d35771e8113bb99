"""Garments that are not pressed at all, and children's wear that waits for a signature.

The standards named are United States rules; where goods are sold elsewhere, the rules of that place hold too.
"""

from collections.abc import Iterator
from datetime import date

from attrs import frozen

from pipeline.model.order import Line, Order, SizeCount
from pipeline.problems import Problem
from pipeline.shop import Garment, Hazard, Shop
from plugins.validate.found import error, warning
from plugins.validate.words import day, quoted

POLYPROPYLENE = frozenset({"polypropylene", "polypropene", "olefin"})
PVC = frozenset({"pvc", "polyvinyl-chloride", "vinyl", "vinyon"})


@frozen
class Stop:
    """Why a garment is not pressed: code, sentence, and what can be done."""

    code: str
    message: str
    hint: str


def check_safety(orders: tuple[Order, ...], shop: Shop, today: date) -> Iterator[Problem]:
    """E501-E504 stops; E505 children's wear not signed for, E506 signed on a day to come; W501."""
    for order in orders:
        lines = [
            (line, shop.garment(line.garment)) for line in order.lines if shop.knows("garment", line.garment)
        ]
        for line, garment in lines:
            for stop in stops(line, garment, shop):
                yield error(order, stop.code, stop.message, line.at("garment"), hint=stop.hint)
            if Hazard.SLEEPWEAR in garment.hazards and not children(line, garment):
                message = f"`{garment.name}` is sleepwear: none of it may go to a child (sizes up to 14)"
                yield warning(
                    order, "W501", message, line.at("garment"), hint="16 CFR 1615 and 1616 cover sizes 0 to 14"
                )
        yield from _signature(order, lines, today)


def children(line: Line, garment: Garment) -> tuple[SizeCount, ...]:
    """The children's sizes that are ordered."""
    sizes = ((item, garment.size(item.size)) for item in line.pieces)
    return tuple(item for item, size in sizes if size is not None and size.child)


def stops(line: Line, garment: Garment, shop: Shop) -> Iterator[Stop]:
    """Everything for which the garment of a line is not pressed, whatever the transfer."""
    fibres = {fibre.name for fibre in garment.fabric}
    if Hazard.SLEEPWEAR in garment.hazards and (small := children(line, garment)):
        sizes = quoted(item.size for item in small)
        yield Stop(
            "E501",
            f"`{garment.name}` in {sizes} is children's sleepwear, which is not printed here",
            "a print can make it burn faster than its standard allows (16 CFR 1615 and 1616): take the line out",
        )
    if Hazard.PROTECTIVE in garment.hazards:
        yield Stop(
            "E502",
            f"`{garment.name}` is protective wear: a print can take its protection away",
            "take the line out; with its maker's consent in writing, enter the garment without that hazard",
        )
    if fibres & POLYPROPYLENE and not _taken(fibres & POLYPROPYLENE, shop):
        yield Stop(
            "E503",
            f"`{garment.name}` holds polypropylene, which softens below what transfers are pressed at",
            "take the line out, or have a transfer whose `fabrics` name polypropylene, after a test press",
        )
    if Hazard.COATED in garment.hazards or fibres & PVC:
        yield Stop(
            "E504",
            f"`{garment.name}` is coated or holds PVC, which gives off harmful fumes or sticks to the press",
            "take the line out: nothing with PVC or an unknown coating is heated here",
        )


def _taken(fibres: set[str], shop: Shop) -> bool:
    """True when a transfer of the shop names one of the fibres itself: the shop has tested that."""
    return any(fibres & set(transfer.fabrics) for transfer in shop.transfers)


def _signature(order: Order, lines: list[tuple[Line, Garment]], today: date) -> Iterator[Problem]:
    signed = order.safety_signed
    found = [(garment, item) for line, garment in lines for item in children(line, garment)]
    if signed is None and found:
        garment, item = found[0]
        others = f" and {len(found) - 1} more" if len(found) > 1 else ""
        yield error(
            order,
            "E505",
            f"children's wear (`{garment.name}` in `{item.size}`{others}) waits until someone has signed for it",
            item.origin,
            label="a child's size",
            hint="the responsible person checks the transfer's test reports for lead and phthalates "
            "(16 CFR 1303, 1307, 1500.91(d)(7)) and writes "
            f"`safety_signed: {{by: NAME, on: {today.isoformat()}}}`",
        )
    if signed is not None and signed.on > today:
        message = f"signed on {day(signed.on)}, and today is {day(today)}"
        yield error(order, "E506", message, signed.at("on"), hint="write the day on which it was signed")
