"""Every language says everything: each message has its translation, and says the same with it."""

import re
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import pytest
from babel.messages.catalog import Message

from pipeline.language import SOURCE, Language
from pipeline.language.catalogue import as_text
from plugins.documents.drawings.outlines import OUTLINES
from plugins.documents.fonts import BOLD, SANS, drawable
from plugins.documents.words import ANCHOR_WORDS
from tests.languages.messages import FOLDER, TRANSLATED, empty, found, kept

# Words that are the same in both languages.
SAME = {"Name", "Layout", "Transfer", "Transfers", "WARM", "transfers", "Code", "%(share)s on %(amount)s"}


def pairs(code: str) -> Iterator[tuple[Message, str, str]]:
    """Each message with its English and its translation, each form of a plural by itself."""
    for message in kept(code):
        if message.id and message.pluralizable:
            # The forms of German are those of English: one, and any other number.
            yield from ((message, *forms) for forms in zip(message.id, message.string, strict=True))
        elif message.id:
            yield message, str(message.id), str(message.string)


@pytest.mark.parametrize("code", TRANSLATED)
def test_nothing_is_untranslated_and_nothing_is_stale(code: str) -> None:
    """The file is what `python -m tests.languages.update` would write, and no message in it is empty or a guess."""
    catalog = kept(code)
    assert empty(catalog) == []
    assert [message.id for message in catalog if message.fuzzy and message.id] == []
    catalog.update(found(), no_fuzzy_matching=True)
    assert as_text(catalog, code) == (FOLDER / f"{code}.po").read_text("utf-8")


@pytest.mark.parametrize("code", TRANSLATED)
def test_a_translation_has_the_values_and_the_tags_of_its_message(code: str) -> None:
    """A value that is left out is a fact that the reader lacks; one that is misspelt stops the paper."""
    for _, english, said in pairs(code):
        for pattern in (r"%\(\w+\)s", r"{\w+}", r"</?\w+/?>"):
            assert sorted(re.findall(pattern, said)) == sorted(re.findall(pattern, english)), english


@pytest.mark.parametrize("code", TRANSLATED)
def test_a_translation_is_well_formed_and_can_be_set(code: str) -> None:
    """It stands in the papers' XML, also within an attribute, and in the bundled fonts."""
    settable = drawable(SANS) & drawable(BOLD) | set("\N{NO-BREAK SPACE}")
    for message, _, said in pairs(code):
        ElementTree.fromstring(f"<p>{said}</p>")  # noqa: S314 - our own file
        assert '"' not in said
        assert set(said) <= settable
        assert said == said.strip()
        if message.id != "EEE d MMM y":
            assert not re.search(r"\s{2}", said)


def test_a_translation_is_in_its_language() -> None:
    """A message that was copied instead of translated is found here."""
    copied = {
        english for _, english, said in pairs("de") if english == said and re.search(r"[A-Za-z]{2}", english)
    }
    assert {re.sub(r"%\(\w+\)s", "", text) for text in copied} <= {
        re.sub(r"%\(\w+\)s", "", text) for text in SAME
    }


def test_what_may_be_chosen_is_what_there_is() -> None:
    """The list and the files name the same languages."""
    assert {path.stem for path in FOLDER.glob("*.po")} == set(TRANSLATED)


def test_every_anchor_has_a_word() -> None:
    """What a drawing measures from is named in the reader's language."""
    anchors = {anchor for views in OUTLINES.values() for view in views.values() for anchor in view.anchors}
    assert anchors == set(ANCHOR_WORDS)


def test_a_template_says_nothing_by_itself() -> None:
    """Words stand in messages: what is left of a template without its expressions and tags has no letters."""
    for path in sorted((Path(__file__).parents[2] / "plugins" / "documents" / "templates").glob("*.j2")):
        bare = re.sub(r"{{.*?}}|{%.*?%}|{#.*?#}", "", path.read_text("utf-8"), flags=re.DOTALL)
        bare = re.sub(r'<[^>]*?\b(?:alt|title|label)="([^"]*)"[^>]*>', r" \1 ", bare)
        assert re.findall(r"[A-Za-z]+", re.sub(r"<[^>]*>", "", bare)) == [], path.name


def test_an_unknown_message_comes_out_in_english() -> None:
    """A shop's own plugin says what it says; the empty text is not the catalogue's header."""
    assert Language("de").gettext("Small order") == "Small order"
    assert Language("de").gettext("") == ""
    assert Language(SOURCE).gettext("Invoice %(number)s", number="7") == "Invoice 7"
    assert Language("de").gettext("Invoice %(number)s", number="7") == "Rechnung 7"
    assert Language("de").ngettext("%(num)s carton", "%(num)s cartons", 1) == "1 Karton"
    assert Language("de", "DE").ngettext("%(num)s carton", "%(num)s cartons", 1_200) == "1.200 Kartons"
