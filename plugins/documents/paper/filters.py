"""How values look on paper: `Display` (pipeline/display.py) as a template calls it.

| filter | takes | shows |
|---|---|---|
| `money`, `money(3)` | minor units, whole or exact | $1,234.50, $0.412 |
| `number` | a whole number | 1,200 |
| `percent`, `percent(1)` | a share (0.0825) | 8.25%, 8.3% |
| `length`, `inches`, `mm` | micrometres | 3.5 in (89 mm), 3.5 in, 89 mm |
| `length` | a list | how many it holds, as in plain Jinja |
| `size` | (width, height) in micrometres | 3.5 × 4 in (89 × 102 mm) |
| `weight` | grams | 9.3 lb (4.2 kg) |
| `temperature`, `fahrenheit`, `celsius` | thousandths of a degree C | 290 °F (143 °C), 290 °F, 143 °C |
| `duration` | timedelta | 15 s, 2 min 30 s, 1 h 25 min |
| `day`, `clock`, `moment` | date, datetime | Wed 25 Nov 2026, 14:05, Wed 25 Nov 2026, 14:05 |
| `remedy` | what would help a late order | another operator: ready Thu 3 Dec 2026, 14:05, in time |
| `word` | one of the trade's fixed words (`words.py`) | the same in the reader's language |
| `lines` | text of several lines | the same with line breaks |

Which unit stands first is the shop's choice. Times are shown in the zone that they carry.

Words are said in the reader's language: `{{ _("Invoice") }}`, with values `{{ _("Sheet %(id)s", id=layout.id) }}`,
with a number `{{ ngettext("%(num)s piece", "%(num)s pieces", pieces) }}`, and `{{ pgettext("time", "Press") }}` where
one English word is several elsewhere. A message may hold the tags that stand in words; values are escaped.
"""

from collections.abc import Callable, Sized

from markupsafe import Markup, escape

from pipeline.display import Display


def filters(display: Display) -> dict[str, Callable[..., object]]:
    """Every filter by its name in a template."""

    def length(value: int | Sized) -> str | int:
        return len(value) if isinstance(value, Sized) else display.length(value)

    def word(text: str) -> str:
        # Not markup, as a message in a template is: the text comes with the values.
        return display.language.gettext(text)

    own = (
        display.money, display.number, display.percent, display.inches, display.mm, display.size, display.weight,
        display.temperature, display.fahrenheit, display.celsius, display.duration, display.day, display.clock,
        display.moment, display.remedy,
    )  # fmt: skip
    return {filter_.__name__: filter_ for filter_ in (*own, length, word, lines)}


def messages(display: Display) -> dict[str, Callable[..., str]]:
    """Gettext and its kin for a template: a message is markup, its values are escaped."""
    language = display.language

    def gettext(message: str, **values: object) -> str:
        text = Markup(language.gettext(message))  # noqa: S704 - written by us or the shop
        return text % values if values else text

    def ngettext(one: str, many: str, number: int, **values: object) -> str:
        text = Markup(language.catalogue.ngettext(one, many, number))  # noqa: S704
        return text % {"num": language.number(number), **values}

    def pgettext(context: str, message: str) -> str:
        return Markup(language.pgettext(context, message))  # noqa: S704

    return {call.__name__: call for call in (gettext, ngettext, pgettext)}


def lines(text: str) -> Markup:
    """Text of several lines (an address) with its line breaks kept."""
    return Markup("<br/>").join(escape(line) for line in text.splitlines())
