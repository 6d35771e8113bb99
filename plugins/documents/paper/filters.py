"""How values look on paper. Display only: nothing here computes an amount that anyone pays.

| filter | takes | shows |
|---|---|---|
| `money`, `money(3)` | minor units, whole or exact | $1,234.50, $0.412 |
| `number` | a whole number | 1,200 |
| `count("print")`, `count("box", "boxes")` | a whole number | 1 print, 12 boxes |
| `percent`, `percent(1)` | a share (0.0825) | 8.25%, 8.3% |
| `length`, `inches`, `mm` | micrometres | 3.5 in (89 mm), 3.5 in, 89 mm |
| `length` | a list | how many it holds, as in plain Jinja |
| `size` | (width, height) in micrometres | 3.5 × 4 in (89 × 102 mm) |
| `temperature`, `fahrenheit`, `celsius` | thousandths of a degree C | 290 °F (143 °C), 290 °F, 143 °C |
| `duration` | timedelta | 15 s, 2 min 30 s, 1 h 25 min |
| `day`, `clock`, `moment` | date, datetime | Wed 25 Nov 2026, 14:05, Wed 25 Nov 2026, 14:05 |
| `lines` | text of several lines | the same with line breaks |

Which unit stands first is the shop's choice (`Display`). Times are shown in the zone that they carry.
"""

from collections.abc import Callable, Sized
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from attrs import frozen
from markupsafe import Markup, escape

from pipeline.model import show
from pipeline.model.money import exponent, round_decimal

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
NO_BREAK = "\N{NO-BREAK SPACE}"
# Signs that people of the country write before the amount; any other currency shows its code.
_SIGNS = {"USD": "$", "EUR": "€", "GBP": "£", "JPY": "¥"}
_HAND_SPAN = timedelta(minutes=2)


@frozen(kw_only=True)
class Display:
    """The shop's way to show values: its currency (ISO 4217 code), and whether metric units stand first."""

    currency: str = "USD"
    metric_first: bool = False
    twelve_hours: bool = False

    def money(self, amount: int | Fraction | Decimal, places: int | None = None) -> str:
        """Minor units as an amount with the currency's sign; `places` decimals for unit prices."""
        digits = exponent(self.currency)
        exact = Fraction(amount) / 10**digits
        text = f"{round_decimal(abs(exact), digits if places is None else places):,f}"
        sign = "-" if exact < 0 and any(digit in text for digit in "123456789") else ""
        return f"{sign}{_SIGNS.get(self.currency, self.currency + NO_BREAK)}{text}"

    def length(self, length: int | Sized) -> str | int:
        """Micrometres in both units, the shop's own first; of a list, how many, as Jinja's own filter."""
        if isinstance(length, Sized):
            return len(length)
        return self._both(inches(length), mm(length))

    def size(self, size: tuple[int, int]) -> str:
        """Width by height in both units, the shop's own first."""
        width, height = size
        return self._both(show.across((inches(width), inches(height))), show.across((mm(width), mm(height))))

    def temperature(self, temperature: int) -> str:
        """Thousandths of a degree Celsius in both scales, the shop's own first."""
        return self._both(fahrenheit(temperature), celsius(temperature))

    def clock(self, moment: datetime) -> str:
        """The time of day: 14:05, or 2:05 pm."""
        if not self.twelve_hours:
            return f"{moment.hour:02}:{moment.minute:02}"
        return f"{(moment.hour - 1) % 12 + 1}:{moment.minute:02} {'am' if moment.hour < 12 else 'pm'}"

    def moment(self, moment: datetime) -> str:
        """Day and time of day."""
        return f"{day(moment)}, {self.clock(moment)}"

    def filters(self) -> dict[str, Callable[..., object]]:
        """Every filter by its name in a template."""
        own = (self.money, self.length, self.size, self.temperature, self.clock, self.moment)
        plain = (number, count, percent, inches, mm, fahrenheit, celsius, duration, day, lines)
        return {filter_.__name__: filter_ for filter_ in (*own, *plain)}

    def _both(self, customary: str, metric: str) -> str:
        # A line may end between the two, never inside one.
        return show.both(customary.replace(" ", NO_BREAK), metric.replace(" ", NO_BREAK), self.metric_first)


def number(value: int) -> str:
    """1200 -> 1,200."""
    return f"{value:,d}"


def count(value: int, one: str, many: str = "") -> str:
    """A number and its noun: 1 print, 12 prints."""
    return show.count(value, one, many)


def percent(share: int | Fraction | Decimal, places: int = 3) -> str:
    """0.0825 -> 8.25%, with `places` decimals at most."""
    return f"{show.plain(Fraction(share) * 100, places)}%"


def inches(length: int) -> str:
    """Micrometres in inches, two decimals at most."""
    return show.inches(length)


def mm(length: int) -> str:
    """Micrometres in whole millimetres."""
    return show.mm(length)


def fahrenheit(temperature: int) -> str:
    """Thousandths of a degree Celsius in whole degrees Fahrenheit."""
    return show.fahrenheit(temperature)


def celsius(temperature: int) -> str:
    """Thousandths of a degree Celsius in whole degrees Celsius."""
    return show.celsius(temperature)


def duration(span: timedelta) -> str:
    """15 s; 2 min 30 s; 1 h 25 min. Seconds are dropped from an hour on."""
    seconds = round(span.total_seconds())
    if span < _HAND_SPAN:
        return f"{seconds} s"
    if seconds < 3600:
        parts = ((seconds // 60, "min"), (seconds % 60, "s"))
    else:
        minutes = (seconds + 30) // 60
        parts = ((minutes // 60, "h"), (minutes % 60, "min"))
    return " ".join(f"{value} {unit}" for value, unit in parts if value)


def day(value: date) -> str:
    """Wed 25 Nov 2026: the month in letters, because 11/12 is two days in two countries."""
    return f"{_DAYS[value.weekday()]} {value.day} {_MONTHS[value.month - 1]} {value.year}"


def lines(text: str) -> Markup:
    """Text of several lines (an address) with its line breaks kept."""
    return Markup("<br/>").join(escape(line) for line in text.splitlines())
