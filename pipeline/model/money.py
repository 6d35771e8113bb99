"""Money: integer minor units of the shop's currency; decimals only where text comes in or goes out.

Prices are rounded at two points only: a line's net amount and the tax of one rate. A cost is rounded once,
when it is made. All rounding is half away from zero.
"""

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import NewType

Money = NewType("Money", int)
"""An amount in minor units (cents) of the shop's currency."""

ZERO = Money(0)

# ISO 4217 minor units where they are not 2 (published list, values from memory).
_EXPONENTS = {"BHD": 3, "CLP": 0, "ISK": 0, "JOD": 3, "JPY": 0, "KRW": 0, "KWD": 3, "OMR": 3, "TND": 3}


def exponent(currency: str) -> int:
    """How many decimals the currency has: 2 for USD and EUR, 0 for JPY."""
    return _EXPONENTS.get(currency, 2)


def rounded(amount: Fraction | int) -> Money:
    """`amount` minor units to a whole one, half away from zero: 148.5 -> 149, -148.5 -> -149."""
    exact = Fraction(amount)
    whole = (2 * abs(exact.numerator) + exact.denominator) // (2 * exact.denominator)
    return Money(whole if exact >= 0 else -whole)


def minor_units(amount: Decimal, currency: str) -> Fraction:
    """A decimal amount as exact minor units, not rounded: 12.3456 USD -> 1234.56."""
    return Fraction(amount.scaleb(exponent(currency)))


def as_decimal(amount: Money, currency: str) -> Decimal:
    """The amount as a decimal with the currency's decimals: 1234 USD -> 12.34."""
    return Decimal(amount).scaleb(-exponent(currency))


def round_decimal(amount: Fraction, places: int) -> Decimal:
    """An exact number as a decimal of `places` decimals, half away from zero (a unit price to show)."""
    return (Decimal(amount.numerator) / Decimal(amount.denominator)).quantize(
        Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP
    )


def split(total: Money, weights: Sequence[Fraction | int]) -> tuple[Money, ...]:
    """`total` in parts proportional to `weights` that sum to it exactly.

    Largest remainder on exact fractions, ties to the earlier part. Weights are >= 0; when all are 0 the
    parts are equal. Raises ValueError on no weights or a negative one.
    """
    exact = [Fraction(weight) for weight in weights]
    if not exact or any(weight < 0 for weight in exact):
        raise ValueError("split needs at least one weight, and none below zero")
    whole = sum(exact)
    if whole == 0:
        exact, whole = [Fraction(1)] * len(exact), Fraction(len(exact))
    ideal = [total * weight / whole for weight in exact]
    parts = [part.numerator // part.denominator for part in ideal]
    by_remainder = sorted(range(len(parts)), key=lambda i: (parts[i] - ideal[i], i))
    for i in by_remainder[: total - sum(parts)]:
        parts[i] += 1
    return tuple(Money(part) for part in parts)
