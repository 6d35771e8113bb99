"""Small phrases that stand on a bill."""

from pipeline.model.measure import Percent
from pipeline.model.money import round_decimal


def percent_in_words(percent: Percent) -> str:
    """A percentage with the decimals that it has, up to two: `7.5 %`, `50 %`."""
    return f"{round_decimal(percent * 100, 2):f}".rstrip("0").rstrip(".") + " %"


def counted(count: int, noun: str) -> str:
    """`1 carton`, `2 cartons`."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
