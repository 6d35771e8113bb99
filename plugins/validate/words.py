"""Values in the words of the person who reads a problem: both units, the shop's own first."""

from collections.abc import Iterable
from datetime import date
from fractions import Fraction

from attrs import frozen

from pipeline.model import measure, show
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
        return show.both(show.inches(length), _mm(length), self.metric_first)

    def size(self, width: int, height: int) -> str:
        """Width by height in micrometres: 3.5 × 4 in (89 × 102 mm)."""
        in_inches = show.across((show.inches(width), show.inches(height)))
        return show.both(in_inches, show.across((_mm(width), _mm(height))), self.metric_first)

    def written(self, length: int) -> str:
        """A length in micrometres as it is written in a job file, not longer than it is: 3.5in or 88mm."""
        if self.metric_first:
            return f"{length // measure.MICROMETRES['mm']}mm"
        return f"{show.plain(Fraction(length * 100 // measure.MICROMETRES['in'], 100), 2)}in"

    def temperature(self, temperature: int) -> str:
        """Thousandths of a degree Celsius: 290 °F (143.3 °C)."""
        return show.both(show.fahrenheit(temperature, 1), show.celsius(temperature, 1), self.metric_first)


def day(value: date) -> str:
    """The weekday before the date as files write it: Wed 2026-11-25."""
    return f"{WEEKDAYS[value.weekday()].capitalize()} {value.isoformat()}"


def listed(names: Iterable[str], last: str = "and") -> str:
    """A, B and C."""
    words = list(names)
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}" if words else "nothing"


def quoted(names: Iterable[str], last: str = "and") -> str:
    """`A`, `B` and `C`."""
    return listed((f"`{name}`" for name in names), last)


def _mm(length: int) -> str:
    return show.mm(length, 1 if length < 10 * measure.MICROMETRES["mm"] else 0)
