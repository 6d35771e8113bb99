"""The languages of papers: their words by gettext, their numbers and days by the Unicode locale data (babel).

English stands in the code and in the templates. Every other language is a file beside this one, `<code>.po`, read as
it is: a compiled copy could be out of date, and reading takes some hundredths of a second. A shop may bring a file of
its own, which is asked first (`own.py`). A message holds its values by name (`%(job)s`); one without values is taken
as it stands. What is said on the terminal is English always.

`python -m tests.languages.update` brings the files up to date with the messages in code and templates.
"""

from decimal import Decimal
from functools import cache
from gettext import NullTranslations
from typing import TYPE_CHECKING

from attrs import field, frozen

if TYPE_CHECKING:
    from babel import Locale

SOURCE = "en"
LANGUAGES = (SOURCE, "de")


def N_(message: str) -> str:  # noqa: N802 - gettext's own name for it
    """Mark a message that is translated elsewhere."""
    return message


@frozen
class Language:
    """A language (ISO 639) as it is written in a country (ISO 3166-1 alpha-2, "" where that does not matter).

    `own` is a file of messages that is asked before the one that comes with the program.
    """

    code: str = SOURCE
    territory: str = ""
    own: bytes = field(default=b"", repr=False)

    def gettext(self, message: str, **values: object) -> str:
        """The message with its values. One that nobody translated comes out in English."""
        # The empty message is where a catalogue keeps its own header.
        text = self.catalogue.gettext(message) if message else ""
        return text % values if values else text

    def ngettext(self, one: str, many: str, number: int, **values: object) -> str:
        """The message for so many: `num` is the number, written as the language does."""
        return self.catalogue.ngettext(one, many, number) % {"num": self.number(number), **values}

    def pgettext(self, context: str, message: str) -> str:
        """The message where one English word is several in other languages."""
        return self.catalogue.pgettext(context, message)

    def number(self, value: int | Decimal, *, grouped: bool = True) -> str:
        """A number with the decimals that it has: 1,200 or 3.5."""
        from babel.numbers import format_decimal

        return format_decimal(value, locale=self.locale, decimal_quantization=False, group_separator=grouped)

    @property
    def catalogue(self) -> NullTranslations:
        """The messages alone, without values."""
        return words(self.code, self.own)

    @property
    def locale(self) -> "Locale":
        """Babel's own name for it."""
        return _locale(self.code, self.territory)


@cache
def words(code: str, own: bytes = b"") -> NullTranslations:
    """The messages of one language; of one that nobody has translated, the English."""
    from pipeline.language.catalogue import compiled, read, shipped

    found = compiled(shipped(code)) if code in LANGUAGES and code != SOURCE else NullTranslations()
    if own:
        first = compiled(read(own, code))
        first.add_fallback(found)
        return first
    return found


@cache
def _locale(code: str, territory: str) -> "Locale":
    from babel import Locale, UnknownLocaleError

    try:
        return Locale(code, territory or None)
    except UnknownLocaleError:
        return Locale(code)
