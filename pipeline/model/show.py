"""Values as plain text, one way for messages, papers and the terminal. Display only: nothing is computed from it.

Decimals are rounded half away from zero, and zeros at their end are left out. How many decimals are wanted is the
reader's matter: a press is set to whole degrees, a limit in a message is told to a tenth.
"""

from fractions import Fraction

from pipeline.model import measure
from pipeline.model.money import Money, as_decimal, round_decimal


def plain(value: Fraction, places: int) -> str:
    """A number with at most so many decimals: 3.50 -> 3.5, 4.00 -> 4."""
    text = f"{round_decimal(value, places):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def inches(length: int) -> str:
    """Micrometres in inches, two decimals at most: 3.5 in."""
    return f"{plain(measure.inches(length), 2)} in"


def mm(length: int, places: int = 0) -> str:
    """Micrometres in millimetres: 89 mm."""
    return f"{plain(measure.millimetres(length), places)} mm"


def fahrenheit(temperature: int, places: int = 0) -> str:
    """Thousandths of a degree Celsius in degrees Fahrenheit: 290 °F."""
    return f"{plain(measure.fahrenheit(temperature), places)} °F"


def celsius(temperature: int, places: int = 0) -> str:
    """Thousandths of a degree Celsius in degrees Celsius: 143 °C."""
    return f"{plain(measure.celsius(temperature), places)} °C"


def both(customary: str, metric: str, metric_first: bool) -> str:
    """A value in both systems, the shop's own first: 3.5 in (89 mm)."""
    first, second = (metric, customary) if metric_first else (customary, metric)
    return f"{first} ({second})"


def across(size: tuple[str, str]) -> str:
    """Width by height, the unit once: (3.5 in, 4 in) -> 3.5 × 4 in."""
    width, height = size
    return f"{width.partition(' ')[0]} × {height}"


def percent(share: Fraction, places: int = 2) -> str:
    """A share: 0.0825 -> 8.25 %."""
    return f"{plain(share * 100, places)} %"


def count(number: int, one: str, many: str = "") -> str:
    """A number and its noun: 1 print, 1,200 prints, 2 boxes."""
    return f"{number:,d} {one if number == 1 else many or one + 's'}"


def money(amount: Money, currency: str) -> str:
    """Minor units with the currency's ISO 4217 code: 1,234.50 USD."""
    return f"{as_decimal(amount, currency):,f} {currency}"
