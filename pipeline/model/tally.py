"""What the floor counted when an order was done: good pieces that went out, and prints that went wrong."""

import datetime

from attrs import frozen

from pipeline.model.order import SizeCount
from pipeline.problems import FromFile


@frozen(kw_only=True)
class SpoiledPrints(FromFile):
    """Prints of one place used up beside those on the shipped pieces: `{print: 1, pieces: {M: 1}}`, from 1."""

    print: int
    pieces: tuple[SizeCount, ...]


@frozen(kw_only=True)
class TalliedLine(FromFile):
    """A line of the order, counted from 1. Sizes that `shipped` leaves out went out as ordered."""

    line: int
    shipped: tuple[SizeCount, ...] = ()
    spoiled: tuple[SpoiledPrints, ...] = ()


@frozen(kw_only=True)
class TalliedOrder(FromFile):
    """An order that is done. Lines that are left out went out as ordered, with nothing spoiled."""

    job: str
    lines: tuple[TalliedLine, ...] = ()


@frozen(kw_only=True)
class Tally(FromFile):
    """A tally file: the orders that are done, and the day, which `--date` may say instead."""

    orders: tuple[TalliedOrder, ...]
    date: datetime.date | None = None
