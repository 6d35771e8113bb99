"""Values in the words of the person who reads a problem: both units, the shop's own first."""

from collections.abc import Iterable
from datetime import date
from fractions import Fraction

from attrs import frozen

from pipeline.model import measure
from pipeline.model.money import round_decimal
from pipeline.model.workdays import WEEKDAYS
from pipeline.shop import Shop, Units


@frozen
class Words:
    """How one shop reads lengths and temperatures."""

    metric_first: bool = False

    @classmethod
    def of(cls, shop: Shop) -> "Words":
        """The words of this shop."""
        return cls(shop.units is Units.MILLIMETRE)

    def length(self, length: int) -> str:
        """Micrometres: 3.5 in (89 mm)."""
        return self._both(f"{_inches(length)} in", f"{_mm(length)} mm")

    def size(self, width: int, height: int) -> str:
        """Width by height in micrometres: 3.5 × 4 in (89 × 102 mm)."""
        return self._both(f"{_inches(width)} × {_inches(height)} in", f"{_mm(width)} × {_mm(height)} mm")

    def written(self, length: int) -> str:
        """A length in micrometres as it is written in a job file, not longer than it is: 3.5in or 88mm."""
        if self.metric_first:
            return f"{length // measure.MICROMETRES['mm']}mm"
        return f"{plain(Fraction(length * 100 // measure.MICROMETRES['in'], 100), 2)}in"

    def temperature(self, temperature: int) -> str:
        """Thousandths of a degree Celsius: 290 °F (143.3 °C)."""
        fahrenheit, celsius = measure.fahrenheit(temperature), measure.celsius(temperature)
        return self._both(f"{plain(fahrenheit, 1)} °F", f"{plain(celsius, 1)} °C")

    def _both(self, customary: str, metric: str) -> str:
        first, second = (metric, customary) if self.metric_first else (customary, metric)
        return f"{first} ({second})"


def day(value: date) -> str:
    """The weekday before the date as files write it: Wed 2026-11-25."""
    return f"{WEEKDAYS[value.weekday()].capitalize()} {value.isoformat()}"


def days(count: int) -> str:
    """1 working day, 2 working days."""
    return f"{count} working day{'' if count == 1 else 's'}"


def pieces(count: int) -> str:
    """1 piece, 2 pieces."""
    return f"{count} piece{'' if count == 1 else 's'}"


def percent(share: Fraction) -> str:
    """0.0825 -> 8.25 %."""
    return f"{plain(share * 100, 2)} %"


def listed(names: Iterable[str], last: str = "and") -> str:
    """A, B and C."""
    words = list(names)
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}" if words else "nothing"


def quoted(names: Iterable[str], last: str = "and") -> str:
    """`A`, `B` and `C`."""
    return listed((f"`{name}`" for name in names), last)


def plain(value: Fraction, places: int) -> str:
    """A number with at most so many decimals, half up."""
    text = f"{round_decimal(value, places):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _inches(length: int) -> str:
    return plain(measure.inches(length), 2)


def _mm(length: int) -> str:
    return plain(measure.millimetres(length), 1 if length < 10 * measure.MICROMETRES["mm"] else 0)
