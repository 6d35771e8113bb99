"""A shop's own words: one more language, other words for one that there is, and what may be wrong in such a file."""

from collections.abc import Sequence
from pathlib import Path
from xml.etree import ElementTree

import pytest
from babel import Locale
from hypothesis import given
from hypothesis import strategies as st

from pipeline.cli import main
from pipeline.language import Language
from pipeline.language.catalogue import messages, written
from pipeline.language.own import wording_problems
from pipeline.load_shop import load_shop
from pipeline.problems import Problem, has_errors
from pipeline.shop import Wording
from plugins.documents.door import unsettable
from tests.builders import make_customer
from tests.documents.small_shop import papers_of, shop_on_disk, words_of
from tests.documents.test_shipping_papers import LIST, packed
from tests.reading.shop_folder import change, make_folder

HEAD = """msgid ""
msgstr ""
"Language: {code}\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Plural-Forms: {plurals}\\n"

"""
TWO = "nplurals=2; plural=(n > 1);"


def po(body: str, code: str = "fr", plurals: str = TWO) -> bytes:
    """A file of messages with its head, which takes six lines."""
    return (HEAD.format(code=code, plurals=plurals) + body).encode()


def found(content: bytes, code: str = "fr") -> Sequence[Problem]:
    """What is wrong with it."""
    return tuple(wording_problems(content, code, f"language/{code}.po"))


def test_a_language_of_the_shops_own(tmp_path: Path) -> None:
    """What is translated is said so, page number and all; the rest in English; days as the language has them."""
    body = (
        'msgid "Packing list"\nmsgstr "Liste de colisage"\n\n'
        'msgid "page {page} of {pages}"\nmsgstr "page {page} sur {pages}"\n\n'
        'msgid "%(num)s carton"\nmsgid_plural "%(num)s cartons"\nmsgstr[0] "%(num)s colis"\n'
        'msgstr[1] "%(num)s colis"\n'
    )
    own = Wording(code="fr", po=po(body))
    customers = (make_customer(language="fr"),)
    said = words_of(
        papers_of(packed(shop_on_disk(tmp_path, wordings=(own,), customers=customers), {"M": 40}))[LIST].content
    )
    for part in ("Liste de colisage", "page 1 sur 1", "1 colis", "What was ordered", "ven. 11 déc. 2026"):
        assert part in said


def test_other_words_for_a_language_that_there_is() -> None:
    """The shop's word is said, every other one as before; in English, too."""
    other = po('msgid "Packing list"\nmsgstr "Packzettel"\n\nmsgid "Invoice"\nmsgstr ""\n', "de")
    german = Language("de", "DE", other)
    assert german.gettext("Packing list") == "Packzettel"
    assert german.gettext("Invoice") == Language("de").gettext("Invoice") != "Invoice"
    english = Language("en", "US", po('msgid "Packing list"\nmsgstr "Packing slip"\n', "en"))
    assert (english.gettext("Packing list"), english.gettext("Invoice")) == ("Packing slip", "Invoice")
    assert found(other, "de") == ()


@pytest.mark.parametrize("number", [1, 2, 5, 12, 22, 25])
def test_plurals_are_those_of_the_language(number: int) -> None:
    """Polish has three; which one is told by the Unicode CLDR's plural rules, not by the file that we write."""
    forms = {"one": "karton", "few": "kartony", "many": "kartonów"}
    rule = "nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2);"
    lines = "".join(f'msgstr[{index}] "%(num)s {word}"\n' for index, word in enumerate(forms.values()))
    own = po(f'msgid "%(num)s carton"\nmsgid_plural "%(num)s cartons"\n{lines}', "pl", rule)
    expected = f"{number} {forms[Locale('pl').plural_form(number)]}"
    assert Language("pl", "PL", own).ngettext("%(num)s carton", "%(num)s cartons", number) == expected
    assert not has_errors(found(own, "pl"))


@pytest.mark.parametrize(
    ("body", "line", "said"),
    [
        ('msgid "Invoice"\nmsgstr "Facture\n', 8, "does not belong here"),
        ('msgid "Invoice"\nmsgstr Facture\n', 8, "does not belong here"),
        ('msgstr "Facture"\n', 7, "does not belong here"),
        ('msgid "%(num)s carton"\nmsgstr[0] "%(num)s colis"\n', 8, "does not belong here"),
        ('msgid "Invoice %(number)s"\nmsgstr "Facture %(numero)s"\n', 7, "a value is misspelt"),
        ('msgid "Invoice %(number)s"\nmsgstr "Facture %(number)s, 100 %"\n', 7, "a value is misspelt"),
        ('msgid "Invoice %(number)s"\nmsgstr "Facture"\n', 7, "%(number)s is left out"),
        ('msgid "page {page} of {pages}"\nmsgstr "page {page}"\n', 7, "in braces"),
        ('msgid "Invoice"\nmsgstr "<b>Facture</b>"\n', 7, "in tags"),
        ('msgid "Invoice"\nmsgstr "Facture & <b"\n', 7, "stands by itself"),
        ('msgid "Invoice"\nmsgstr "La \\"facture\\""\n', 7, "straight quotation mark"),
        ('msgid "EEE d"\nmsgstr "b d"\n', 7, "no pattern of a day"),
    ],
)  # fmt: skip
def test_what_would_spoil_a_paper_is_told_with_its_line(body: str, line: int, said: str) -> None:
    """Before any paper is made."""
    errors = [problem for problem in found(po(body)) if problem.is_error]
    assert any(said in problem.message for problem in errors)
    assert {(problem.code, problem.origin.line) for problem in errors} == {("E213", line)}


@pytest.mark.parametrize(
    ("content", "code", "said"),
    [
        (po(""), "xq", "is no language"),
        (po(""), "FR", "is no language"),
        (po(""), "fr_CA", "is no language"),
        (po(""), "ar", "from right to left"),
        (po("").replace(b"utf-8", b"latin-1"), "fr", "latin-1"),
        (po("", plurals="nplurals=2; plural=(n > );"), "fr", "cannot be read"),
        (b"msgid \"\xff\"\n", "fr", "not UTF-8"),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_used_as_a_whole(content: bytes, code: str, said: str) -> None:
    """Its name or its head."""
    (problem,) = found(content, code)
    assert (problem.code, problem.origin.line) == ("E213", 0)
    assert said in problem.message


def test_what_is_missing_and_what_is_misspelt_is_told() -> None:
    """A message that no paper says is most likely one of ours, misspelt; a shop's template may say others."""
    total = sum(1 for _ in written(messages()))
    body = 'msgid "Packing lst"\nmsgstr "Liste"\n\nmsgid "See you at the harbour fair"\nmsgstr "Merci"\n'
    misspelt, missing = sorted(found(po(body)), key=lambda problem: -problem.origin.line)
    assert (misspelt.code, misspelt.origin.line) == ("W213", 7)
    assert 'msgid "Packing list"' in misspelt.hint
    assert missing.message.startswith(f"{total} of {total} messages have no translation")
    # Other words for some messages of a language that there is are no half of a translation.
    assert [problem.origin.line for problem in found(po(body, "de"), "de")] == [7]


def test_letters_that_papers_cannot_set_are_told(tmp_path: Path) -> None:
    """The bundled fonts have no Han characters; comments are not printed."""
    shop = shop_on_disk(
        tmp_path, wordings=(Wording(code="ja", po=po('# 注\nmsgid "Job"\nmsgstr "仕事"\n', "ja")),)
    )
    (problem,) = unsettable((), shop)
    assert (problem.code, problem.origin.file) == ("W405", "language/ja.po")
    assert "仕" in problem.message
    assert "注" not in problem.message


def test_a_language_that_nobody_brought(tmp_path: Path) -> None:
    """The shop's file says which there are, and how to bring one; with the file beside it, it may be chosen."""
    root = make_folder(tmp_path)
    change(root, "shop.yaml", '"currency":', '"language": "fr", "currency":')
    loaded = load_shop(root)
    assert loaded.value is None
    (problem,) = loaded.problems
    assert (problem.code, problem.label) == ("E203", "expected one of: de, en")
    assert "`peelwright words fr`" in problem.hint
    (root / "language").mkdir()
    (root / "language" / "fr.po").write_bytes(po(""))
    loaded = load_shop(root)
    assert loaded.value is not None
    assert [problem.code for problem in loaded.problems] == ["W213"]


def test_words_are_written_to_be_filled_in(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """All messages once; what stands in the file is left alone, what it lacks comes after it; then nothing is new."""
    root = make_folder(tmp_path)
    own = b'# ours\nmsgid "Packing list"\nmsgstr "Liste de colisage"\n'
    for code, before in (("fr", b""), ("pl", b""), ("de", b""), ("nl", po("", "nl") + own)):
        file = root / "language" / f"{code}.po"
        if before:
            file.write_bytes(before)
        assert main(["words", code, "--shop", str(root)]) == 0
        content = file.read_bytes()
        assert content.startswith(before.rstrip())
        assert not has_errors(found(content, code))
        assert content.count(b'msgid "Packing list"') == 1
        assert (b"#. Packliste\n" in content) == (code == "de")
        assert main(["words", code, "--shop", str(root)]) == 0
        assert file.read_bytes() == content
    assert "nothing was added" in capsys.readouterr().out
    assert load_shop(root).value is not None


def test_what_is_filled_in_is_complete(tmp_path: Path) -> None:
    """A file in which every message has words has no warning."""
    root = make_folder(tmp_path)
    assert main(["words", "fr", "--shop", str(root)]) == 0
    file = root / "language" / "fr.po"
    lines: list[str] = []
    for line in file.read_text("utf-8").splitlines():
        if line.startswith("msgid "):
            english = line.removeprefix("msgid ")
            lines.append(line)
        elif line.startswith('"') and len(lines) > 8:
            english, _ = english + "\n" + line, lines.append(line)
        elif line in ('msgstr ""', 'msgstr[0] ""', 'msgstr[1] ""') and len(lines) > 8:
            lines.append(line.replace('""', english))
        else:
            lines.append(line)
    file.write_text("\n".join(lines), "utf-8")
    assert load_shop(root).problems == ()


@pytest.mark.parametrize("code", ["xq", "he", "../x"])
def test_a_language_that_cannot_be(tmp_path: Path, capsys: pytest.CaptureFixture[str], code: str) -> None:
    """Nothing is written."""
    root = make_folder(tmp_path)
    assert main(["words", code, "--shop", str(root)]) == 2
    assert "E213" in capsys.readouterr().err
    assert not (root / "language").exists()


LINES = (
    'msgid "Job"', 'msgstr "x"', 'msgstr[1] "y"', 'msgid_plural "Jobs"', 'msgctxt "c"', '"z"', '"', "#, fuzzy",
    "#~ x", "", "\\", '"Plural-Forms: x\\n"', 'msgid ""', 'msgstr ""', "#, fuzzy, \u2068", "#: \u2068x",
)  # fmt: skip
PARTS = ("%(number)s", "%", "%%", "%(other)s", "<b>", "</b>", "&", "é", "{x}", "\\")


@given(st.lists(st.sampled_from(LINES), max_size=8))
def test_whatever_lines_a_file_has_it_is_told_not_raised(lines: list[str]) -> None:
    """A traceback shown to a user is a bug."""
    content = "\n".join(lines).encode()
    problems = found(content)
    if not has_errors(problems):
        assert Language("fr", "", content).gettext("Invoice") == "Invoice"


@given(st.lists(st.sampled_from(PARTS), max_size=6))
def test_what_passes_can_stand_on_a_paper(parts: list[str]) -> None:
    """Whatever somebody writes is an error, or is well-formed with its values in it."""
    content = po('msgid "Invoice %(number)s"\nmsgstr "' + "".join(parts).replace("\\", "\\\\") + '"\n')
    if not has_errors(found(content)):
        said = Language("fr", "", content).gettext("Invoice %(number)s", number="7")
        assert "7" in said
        ElementTree.fromstring(f"<p>{said}</p>")  # noqa: S314 - our own text
