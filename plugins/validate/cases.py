"""Each print together with all that it touches: what most rules look at."""

from collections.abc import Iterator

from attrs import frozen

from pipeline.model.measure import Length
from pipeline.model.order import Line, Order, Print
from pipeline.model.prints import PrintRef
from pipeline.shop import Garment, Placement, Shop


@frozen(kw_only=True)
class Case:
    """One print of an order whose garment and placement are known and whose artwork was read.

    `width` and `height` are those of the largest print ordered, over all sizes of the line; both are above 0.
    """

    ref: PrintRef
    order: Order
    line: Line
    print: Print
    garment: Garment
    placement: Placement
    width: Length
    height: Length


def cases(orders: tuple[Order, ...], shop: Shop) -> Iterator[Case]:
    """Every print of which enough is known, in the order of the files."""
    for order in orders:
        for number, line in enumerate(order.lines):
            if shop.knows("garment", line.garment):
                yield from _of_line(order, number, line, shop.garment(line.garment))


def _of_line(order: Order, number: int, line: Line, garment: Garment) -> Iterator[Case]:
    for index, print_ in enumerate(line.prints):
        placement = garment.placement(print_.placement)
        if placement is None or print_.art is None:
            continue
        # Proportions stay, so the print that is widest is the highest too.
        width, height = max(sizes(line, print_))
        if width > 0 and height > 0:
            yield Case(
                ref=PrintRef(job=order.job, line=number, print=index),
                order=order,
                line=line,
                print=print_,
                garment=garment,
                placement=placement,
                width=width,
                height=height,
            )


def sizes(line: Line, print_: Print) -> tuple[tuple[Length, Length], ...]:
    """Printed (width, height) in micrometres on each garment size of a line. The artwork was read."""
    return tuple(print_.size_on(item.size) for item in line.pieces)
