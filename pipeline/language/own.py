"""A shop's own words for its papers: `language/<code>.po`, one more language, or other words for one that there is.

What would spoil a paper is an error, with file and line: a value that is left out or misspelt, a tag not closed.
"""

import difflib
import re
from collections.abc import Iterator, Sequence
from datetime import date
from xml.etree import ElementTree

from babel import Locale
from babel.dates import format_date
from babel.localedata import exists
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import PoFileError

from pipeline.language import LANGUAGES
from pipeline.language.catalogue import compiled, forms, messages, read, translated, written
from pipeline.problems import Origin, Problem, Severity

_CODE = re.compile("[a-z]{2,3}")
_LINE = re.compile(r'\s*(?:#.*|(?:(msgctxt|msgid|msgid_plural|msgstr)(\[\d\])?\s+)?"(?:[^"\\]|\\.)*"\s*)?')
_AFTER = {
    "msgctxt": ("", "msgstr", "msgstr[]"),
    "msgid": ("", "msgctxt", "msgstr", "msgstr[]"),
    "msgid_plural": ("msgid",),
    "msgstr": ("msgid",),
    "msgstr[]": ("msgid_plural", "msgstr[]"),
}
"""Before which keyword each may stand; babel passes over what stands elsewhere."""
_VALUE = re.compile(r"%\((\w+)\)s")
_SIGNS = (re.compile(r"{\w+}"), re.compile(r"</?\w+/?>"))
_NEAR = 0.85
"""So alike are a message and a misspelt one; a shop's own templates may say what is like nothing of ours."""


def wording_problems(content: bytes, code: str, file: str) -> Iterator[Problem]:
    """What is wrong with a shop's file of messages. Problems: E213, and warnings W213 for what has no translation."""
    if fault := unfit(code):
        yield _wrong(file, 0, f"`{code}` {fault}", "name the file by a language's code (ISO 639), such as fr.po")
        return
    try:
        lines = content.decode().split("\n")
    except UnicodeDecodeError:
        yield _wrong(file, 0, "the file is not UTF-8", "save it again with the encoding UTF-8")
        return
    if strange := tuple(_strange(lines)):
        hint = 'a message is msgid "..." and below it msgstr "..."; a comment begins with #'
        yield from (_wrong(file, number, "this line does not belong here", hint) for number in strange)
        return
    try:
        catalog = read(content, code)
        compiled(catalog)
    except (PoFileError, ValueError, LookupError) as error:
        hint = f"take the head that `peelwright words {code}` writes"
        yield _wrong(file, 0, f"the file cannot be read: {error}", hint)
    else:
        if catalog.charset.lower() != "utf-8":
            yield _wrong(file, 0, f"the head of the file says {catalog.charset}", "write charset=utf-8")
        else:
            yield from _messages(catalog, code, file)


def unfit(code: str) -> str:
    """Why papers cannot be in a language, or "" when they can."""
    # Babel has files of other names, too (`root`), and finds one of `FR`, then cannot open it.
    if not _CODE.fullmatch(code) or not exists(code):
        return "is no language whose numbers and days are known"
    return "" if Locale(code).character_order == "left-to-right" else "is written from right to left"


def _strange(lines: Sequence[str]) -> Iterator[int]:
    """The numbers of lines that are none of such a file, or do not follow from those before."""
    last = ""
    for number, line in enumerate(lines, 1):
        match = _LINE.fullmatch(line)
        keyword = "" if match is None or not match[1] else match[1] + ("[]" if match[2] else "")
        text = line.strip().startswith('"')
        if match is None or (keyword and last not in _AFTER.get(keyword, ())) or (text and not last):
            yield number
        last = keyword or last


def _messages(catalog: Catalog, code: str, file: str) -> Iterator[Problem]:
    known = {(message.context, message.id) for message in written(messages())}
    done = {(m.context, m.id) for m in written(catalog) if translated(m, catalog)}
    singular = {forms(english)[0] for _, english in known}
    for message in written(catalog):
        for form in forms(message.string) if (message.context, message.id) in done else ():
            if fault := next(_faults(message, form, code), ""):
                yield _wrong(file, message.lineno or 0, fault, "keep the message's values and tags as they are")
        english = forms(message.id)[0]
        if (message.context, message.id) not in known and (
            near := difflib.get_close_matches(english, singular - {english}, 1, _NEAR)
        ):
            yield _told(file, message.lineno or 0, "no paper says this message", f'is it msgid "{near[0]}"?')
    missing = len(known - done)
    if missing and code not in LANGUAGES:
        text = f"{missing} of {len(known)} messages have no translation: papers say them in English"
        yield _told(file, 0, text, f"write after each msgstr; `peelwright words {code}` adds what the file lacks")


def _faults(message: Message, said: str, code: str) -> Iterator[str]:
    """What would spoil a paper, or leave a fact out of it."""
    english = " ".join(forms(message.id))
    values = set(_VALUE.findall(english))
    try:
        if values:
            said % dict.fromkeys(values, "")
    except (KeyError, ValueError, TypeError):
        yield f"a value is misspelt, or a % is not written %%: {said}"
    # One form of a plural may do without the number.
    if not message.pluralizable and (lost := values - set(_VALUE.findall(said))):
        yield f"%({min(lost)})s is left out: {said}"
    for sign in _SIGNS:
        if not message.pluralizable and sorted(sign.findall(said)) != sorted(sign.findall(english)):
            yield f"what stands in {'braces' if sign is _SIGNS[0] else 'tags'} is not that of the message: {said}"
    if '"' in said:
        yield f"a straight quotation mark cannot stand on papers; write those of the language: {said}"
    try:
        ElementTree.fromstring(f"<p>{said}</p>")  # noqa: S314 - the shop's own file, and no DTD can stand here
    except ElementTree.ParseError:
        yield f"a tag is not closed, or `&` or `<` stands by itself: {said}"
    try:
        if english.startswith("EEE"):
            format_date(date(2026, 11, 25), said, Locale(code))
    except (AttributeError, ValueError, KeyError):
        yield f"this is no pattern of a day: {said}"


def _wrong(file: str, line: int, message: str, hint: str) -> Problem:
    return Problem(code="E213", message=message, hint=hint, origin=_at(file, line))


def _told(file: str, line: int, message: str, hint: str) -> Problem:
    return Problem(code="W213", severity=Severity.WARNING, message=message, hint=hint, origin=_at(file, line))


def _at(file: str, line: int) -> Origin:
    return Origin(file=file, line=line, column=min(line, 1))
