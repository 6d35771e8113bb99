"""Lengths, temperatures and shares as whole numbers; their units stand in the text that a person writes."""

import re
from decimal import Decimal
from fractions import Fraction
from typing import NewType

Length = NewType("Length", int)
"""Micrometres. 1 in = 25 400 um exactly."""

Temperature = NewType("Temperature", int)
"""Thousandths of a degree Celsius."""

Percent = NewType("Percent", Fraction)
"""A share as an exact number: 8.25 % is Fraction(825, 10_000)."""

MICROMETRES = {"in": 25_400, "mm": 1_000, "cm": 10_000}
_AMOUNT = re.compile(r"(\d{1,6}(?:\.\d{1,6})?) ?([a-zA-Z%]+)")


def _amount(text: str, what: str, units: str) -> tuple[Fraction, str]:
    match = _AMOUNT.fullmatch(text)
    if match is None:
        raise ValueError(f"`{text}` is not {what}: write a number and its unit ({units})")
    return Fraction(Decimal(match[1])), match[2]


def _whole(exact: Fraction) -> int:
    return (2 * exact.numerator + exact.denominator) // (2 * exact.denominator)


def parse_length(text: str) -> Length:
    """`3.5in`, `90mm`, `9cm` -> micrometres. Raises ValueError with a sentence for people."""
    number, unit = _amount(text, "a length", "3.5in, 90mm or 9cm")
    if unit not in MICROMETRES:
        raise ValueError(f"`{text}` is not a length: the unit is in, mm or cm")
    return Length(_whole(number * MICROMETRES[unit]))


def parse_temperature(text: str) -> Temperature:
    """`290F`, `143C` -> thousandths of a degree Celsius. Raises ValueError with a sentence for people."""
    number, unit = _amount(text, "a temperature", "290F or 143C")
    if unit == "C":
        return Temperature(_whole(number * 1000))
    if unit == "F":
        exact = (number - 32) * Fraction(5, 9) * 1000
        return Temperature(_whole(exact) if exact >= 0 else -_whole(-exact))
    raise ValueError(f"`{text}` is not a temperature: the unit is F or C")


def parse_percent(text: str) -> Percent:
    """`8.25%` -> 0.0825 exactly. Raises ValueError with a sentence for people."""
    number, unit = _amount(text, "a percentage", "8.25%")
    if unit != "%":
        raise ValueError(f"`{text}` is not a percentage: write 8.25%")
    return Percent(number / 100)


def inches(length: int) -> Fraction:
    """Micrometres in inches, exact."""
    return Fraction(length, MICROMETRES["in"])


def millimetres(length: int) -> Fraction:
    """Micrometres in millimetres, exact."""
    return Fraction(length, MICROMETRES["mm"])


def fahrenheit(temperature: int) -> Fraction:
    """Thousandths of a degree Celsius in degrees Fahrenheit, exact."""
    return Fraction(temperature, 1000) * Fraction(9, 5) + 32


def celsius(temperature: int) -> Fraction:
    """Thousandths of a degree Celsius in degrees Celsius, exact."""
    return Fraction(temperature, 1000)
