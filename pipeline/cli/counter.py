"""What the commands of the ledger share: the counter of a shop, and days and amounts as they were typed."""

import argparse
import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    from pipeline.books.counter import Counter
    from pipeline.model.money import Money
    from pipeline.shop import Shop


_AMOUNT = re.compile(r"[+-]?\d{1,12}(\.\d{1,9})?", re.ASCII)


@contextmanager
def at_counter(options: argparse.Namespace) -> "Iterator[Counter]":
    """The counter of the shop that was named, or that stands nearest."""
    from pipeline.books.counter import open_counter
    from pipeline.request import find_shop

    with open_counter(find_shop([], options.shop), getattr(options, "out", None)) as counter:
        yield counter


def day_of(options: argparse.Namespace, shop: "Shop") -> date:
    """The day that was said, or the shop's today."""
    said: date | None = options.date
    return said or datetime.now(UTC).astimezone(ZoneInfo(shop.time_zone)).date()


def amount_of(text: str, shop: "Shop") -> "Money":
    """An amount of the command line in minor units. Raises StopRun (E700)."""
    from pipeline.model.money import Money, minor_units
    from pipeline.problems import Problem, StopRun

    exact = minor_units(Decimal(text), shop.currency) if _AMOUNT.fullmatch(text) else None
    if exact is None or exact.denominator != 1:
        hint = f"write it like 12.50, with the decimals of {shop.currency} at most"
        raise StopRun([Problem(code="E700", message=f"`{text}` is no amount", hint=hint)])
    return Money(exact.numerator)
