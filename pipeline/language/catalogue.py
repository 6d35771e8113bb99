"""Files of messages (gettext's .po): read, compiled, and written for somebody to fill in."""

from collections.abc import Iterator, Sequence
from functools import cache
from gettext import GNUTranslations
from importlib.resources import files
from io import BytesIO

from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from pipeline.language import LANGUAGES, SOURCE

_HEADER = """msgid ""
msgstr ""
"Language: {code}\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"Plural-Forms: {plurals}\\n"
"""


def read(content: bytes, code: str) -> Catalog:
    """The messages of a file. Raises babel's PoFileError, ValueError or LookupError for one that is none."""
    return read_po(BytesIO(content), locale=code, abort_invalid=True)


@cache
def shipped(code: str) -> Catalog:
    """What comes with the program for one of LANGUAGES but English; not to be changed."""
    return read(files("pipeline.language").joinpath(f"{code}.po").read_bytes(), code)


def messages() -> Catalog:
    """Every message that a paper may say; its translations are those of any language that comes along."""
    return shipped(next(code for code in LANGUAGES if code != SOURCE))


def forms(text: str | Sequence[str] | None) -> tuple[str, ...]:
    """A message's English or translation: one text, or one for each form of a plural."""
    return (text,) if isinstance(text, str) else tuple(text or ())


def written(catalog: Catalog) -> Iterator[Message]:
    """The messages without the header."""
    return (message for message in catalog if message.id)


def translated(message: Message, catalog: Catalog) -> bool:
    """True when all its forms are there, and none is a guess."""
    said = forms(message.string)
    return not message.fuzzy and all(said) and len(said) == (catalog.num_plurals if message.pluralizable else 1)


def compiled(catalog: Catalog) -> GNUTranslations:
    """The messages as they are looked up, without those that nobody translated.

    Raises ValueError for a rule of plurals that is none.
    """
    done = Catalog(locale=catalog.locale, charset="utf-8")
    done.mime_headers = catalog.mime_headers
    for message in written(catalog):
        if translated(message, catalog):
            done.add(message.id, message.string, context=message.context)
    out = BytesIO()
    write_mo(out, done)
    out.seek(0)
    return GNUTranslations(out)


def as_text(catalog: Catalog, code: str) -> str:
    """A language's file. Without days and line numbers: it changes when a message does."""
    return f"{_HEADER.format(code=code, plurals=catalog.plural_forms)}\n{without_header(catalog)}"


def without_header(catalog: Catalog) -> str:
    """The messages as they stand in a file."""
    out = BytesIO()
    write_po(out, catalog, width=120, omit_header=True, include_lineno=False, ignore_obsolete=True)
    return out.getvalue().decode()
