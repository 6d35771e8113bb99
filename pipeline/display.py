"""How values look on papers, in the reader's language and the shop's units. Display only: nobody pays what it rounds.

Decimals are rounded half away from zero before babel writes them, since it would round half to even.
"""

import re
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from attrs import field, frozen

from pipeline.language import N_, Language
from pipeline.model import measure, show
from pipeline.model.money import exponent, round_decimal
from pipeline.model.schedule import Help, HelpKind
from pipeline.shop import Address, Shop, Units

NO_BREAK = "\N{NO-BREAK SPACE}"
_REMEDIES = {
    HelpKind.GOODS: N_("its goods a working day earlier"),
    HelpKind.PLATEN: N_("another platen %(name)s"),
    HelpKind.PAD: N_("another pad %(name)s"),
    HelpKind.OPERATOR: N_("another operator"),
    HelpKind.PRESS: N_("another press like %(name)s, with its platen"),
}
_HAND_SPAN = timedelta(minutes=2)
# Exactly, by the international yard and pound agreement of 1959.
_GRAMS_PER_POUND = Fraction(45_359_237, 100_000)


@frozen(kw_only=True)
class Display:
    """A language, the shop's currency (ISO 4217 code), and whether metric units stand first."""

    language: Language = field(factory=Language)
    currency: str = "USD"
    metric_first: bool = False
    twelve_hours: bool = False

    @classmethod
    def of(cls, shop: Shop, language: str = "") -> "Display":
        """The shop's way to show values, in its own language or another."""
        code = language or shop.language
        own = next((wording.po for wording in shop.wordings if wording.code == code), b"")
        return cls(
            language=Language(code, shop.address.country, own),
            currency=shop.currency,
            metric_first=shop.units is Units.MILLIMETRE,
        )

    def money(self, amount: int | Fraction | Decimal, places: int | None = None) -> str:
        """Minor units as an amount with the currency's sign; `places` decimals for unit prices: $1,234.50."""
        from babel.numbers import format_currency

        own = exponent(self.currency)
        places = own if places is None else places
        # Adding nothing takes the sign off a zero.
        value = round_decimal(Fraction(amount) / 10**own, places) + 0
        locale = self.language.locale
        decimals = f".{'0' * places}" if places else ""
        pattern = re.sub(r"(?<=0)\.0+", decimals, locale.currency_formats["standard"].pattern)
        text = format_currency(value, self.currency, pattern, locale, currency_digits=False)
        # Letters stand apart from figures (Unicode TR 35, currency spacing); a sign does not.
        return re.sub(r"(?<=[A-Z])(?=[-\d])", NO_BREAK, text)

    def number(self, value: int) -> str:
        """1200 -> 1,200."""
        return self.language.number(value)

    def percent(self, share: int | Fraction | Decimal, places: int | None = None) -> str:
        """0.0825 -> 8.25%, with the decimals that it has, three at most; or with so many, as in a column."""
        from babel.numbers import format_percent

        locale = self.language.locale
        if places is None:
            exact = round_decimal(Fraction(share) * 100, 3).normalize() / 100 + 0
            return format_percent(exact, locale=locale, decimal_quantization=False)
        pattern = str(locale.percent_formats[None].pattern).replace("#0", f"#0.{'0' * places}")
        return format_percent(round_decimal(Fraction(share) * 100, places) / 100, format=pattern, locale=locale)

    def inches(self, length: int) -> str:
        """Micrometres in inches, two decimals at most: 3.5 in."""
        return self.language.gettext("%(value)s in", value=self._plain(measure.inches(length), 2))

    def mm(self, length: int) -> str:
        """Micrometres in whole millimetres: 89 mm."""
        return f"{self._plain(measure.millimetres(length), 0)} mm"

    def length(self, length: int) -> str:
        """Micrometres in both units, the shop's own first: 3.5 in (89 mm)."""
        return self._both(self.inches(length), self.mm(length))

    def size(self, size: tuple[int, int]) -> str:
        """Width by height in both units, the shop's own first: 3.5 × 4 in (89 × 102 mm)."""
        width, height = size
        customary = show.across((self.inches(width), self.inches(height)))
        return self._both(customary, show.across((self.mm(width), self.mm(height))))

    def fahrenheit(self, temperature: int) -> str:
        """Thousandths of a degree Celsius in whole degrees Fahrenheit: 290 °F."""
        return f"{self._plain(measure.fahrenheit(temperature), 0)} °F"

    def celsius(self, temperature: int) -> str:
        """Thousandths of a degree Celsius in whole degrees Celsius: 143 °C."""
        return f"{self._plain(measure.celsius(temperature), 0)} °C"

    def temperature(self, temperature: int) -> str:
        """Thousandths of a degree Celsius in both scales, the shop's own first: 290 °F (143 °C)."""
        return self._both(self.fahrenheit(temperature), self.celsius(temperature))

    def weight(self, grams: int) -> str:
        """Grams in both units, the shop's own first, a tenth at most: 9.3 lb (4.2 kg)."""
        pounds = f"{self._plain(grams / _GRAMS_PER_POUND, 1)} lb"
        return self._both(pounds, f"{self._plain(Fraction(grams, 1000), 1)} kg")

    def duration(self, span: timedelta) -> str:
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

    def day(self, value: date) -> str:
        """Wed 25 Nov 2026: the month in letters, because 11/12 is two days in two countries."""
        from babel.dates import format_date

        # A pattern of Unicode TR 35: each language has its own.
        return format_date(value, self.language.gettext("EEE d MMM y"), self.language.locale)

    def weekday(self, value: date) -> str:
        """Wed 25: where the month is plain."""
        from babel.dates import format_date

        return format_date(value, self.language.gettext("EEE d"), self.language.locale)

    def clock(self, moment: datetime) -> str:
        """The time of day: 14:05, or 2:05 pm."""
        if not self.twelve_hours:
            return f"{moment.hour:02}:{moment.minute:02}"
        return f"{(moment.hour - 1) % 12 + 1}:{moment.minute:02} {'am' if moment.hour < 12 else 'pm'}"

    def moment(self, moment: datetime) -> str:
        """Day and time of day."""
        return f"{self.day(moment)}, {self.clock(moment)}"

    def remedy(self, found: Help) -> str:
        """What would help a late order, and how much: another 6x6 platen: ready Thu 3 Dec 2026, 14:05, in time."""
        _, ready = self.language.gettext, self.moment(found.ready)
        if found.kind is HelpKind.OVERTIME and found.day is not None:
            what = _("an hour of overtime on %(day)s", day=self.day(found.day))
        else:
            what = _(_REMEDIES[found.kind], name=found.name)
        word = (
            N_("%(what)s: ready %(ready)s, in time")
            if found.in_time
            else N_("%(what)s: ready %(ready)s, still late")
        )
        text = _(word, what=what, ready=ready)
        if not found.delays:
            return text
        return _("%(help)s; but late or later by it: %(jobs)s", help=text, jobs=", ".join(found.delays))

    def address(self, address: Address, reader: str = "") -> str:
        """An address as printed, one line each; without its country for a reader of the same one.

        The postcode stands where the country's post wants it: behind town and state (US, CA, AU), on a line below
        the town (GB), else before the town. Common practice; the national posts' guides, from memory.
        """
        if address.country == "GB":
            town = (address.city, *([address.region] if address.region else []), address.postcode)
        elif address.country == "US" and address.region:
            town = (f"{address.city}, {address.region} {address.postcode}",)
        elif address.country in ("US", "CA", "AU"):
            town = (" ".join(part for part in (address.city, address.region, address.postcode) if part),)
        else:
            town = (f"{address.postcode} {address.city}", *([address.region] if address.region else []))
        country = self.language.locale.territories.get(address.country, address.country)
        return "\n".join((*address.lines, *town, *([] if address.country == reader else [country])))

    def _plain(self, value: Fraction, places: int) -> str:
        return self.language.number(Decimal(show.plain(value, places)), grouped=False)

    def _both(self, customary: str, metric: str) -> str:
        # A line may end between the two, never inside one.
        return show.both(customary.replace(" ", NO_BREAK), metric.replace(" ", NO_BREAK), self.metric_first)
