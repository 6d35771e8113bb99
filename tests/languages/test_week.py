"""The sample week in another language: whatever a paper says by itself is said in it.

Once in a language of the tests, which is English with every message in brackets: what stands outside of brackets is
no message, so it must come from the shop's files. Once in German, for one customer and for the whole shop.
"""

import re
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from gettext import NullTranslations
from html import unescape
from io import BytesIO
from pathlib import Path

import attrs
import pikepdf
import pytest

import plugins
from pipeline import language
from pipeline.model.document import Audience, Document
from pipeline.model.run import Run, RunKind
from pipeline.request import Request, find_jobs
from pipeline.run import run
from plugins.documents import index_documents, make_documents
from tests.documents.small_shop import words_of

pytestmark = pytest.mark.untraced

SAMPLE = Path(__file__).parents[2] / "sample_jobs"
WEEK = "2026-W49"
NOW = datetime(2031, 5, 5, 9, 41, tzinfo=UTC)
# Units are the same in every language, and the country is named by the locale data.
UNITS = {
    "united",
    "states",
    "in",
    "mm",
    "kg",
    "lb",
    "min",
    "°C",
    "°F",
    "C",
    "F",
    "s",
    "h",
    "x",
    "of",
    "psi",
    "bar",
}
# The plan's quality is no matter here.
HURRY = (
    ("shop.yaml", "options:\n", "options:\n  group: {iterations: 10}\n"),
    ("shop.yaml", "    rack_slots:", "    iterations: 50\n    help_iterations: 200\n    rack_slots:"),
)


class Bracketed(NullTranslations):
    """English with every message in brackets."""

    def gettext(self, message: str) -> str:
        """The message in brackets."""
        # A unit stands within what is said, and `3 × 4 in` is taken apart.
        return message if message == "%(value)s in" else f"⟦{message}⟧"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """The form for the number in brackets."""
        return f"⟦{super().ngettext(msgid1, msgid2, n)}⟧"

    def pgettext(self, _context: str, message: str) -> str:
        """The message in brackets, whatever its context."""
        return self.gettext(message)


def hurry(shop: Path, *changes: tuple[str, str, str]) -> None:
    """Have the week planned in a hurry; and other changes to the shop's files: (file, text, what stands instead)."""
    for name, old, new in (*HURRY, *changes):
        text = (shop / name).read_text("utf-8")
        assert old in text
        (shop / name).write_text(text.replace(old, new), "utf-8")


def the_run(folder: Path, *changes: tuple[str, str, str]) -> Run:
    """The sample week, planned in a hurry, after changes to the shop's files."""
    shop = folder / "shop"
    shutil.copytree(SAMPLE, shop, ignore=shutil.ignore_patterns("out", "ledger.sqlite*"))
    hurry(shop, *changes)
    jobs, week, label = find_jobs([shop / WEEK])
    out = folder / "out"
    # Its papers are made by whoever wants some.
    stages = tuple(name for name in plugins.STAGES if name != "plugins.documents")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(plugins, "STAGES", stages)
        report = run(Request(kind=RunKind.RUN, shop=shop, files=jobs, week=week, label=label, out=out, now=NOW))
    assert report.run is not None
    return report.run


def papers(taken: Run) -> dict[str, tuple[Document, str]]:
    """Every paper and the page with its words."""
    made = list(make_documents(run=taken))
    made += index_documents(run=taken, documents=tuple(made))
    return {
        document.path: (document, _words(document))
        for document in made
        if document.path.endswith((".pdf", ".html"))
    }


def _words(document: Document) -> str:
    if document.path.endswith(".pdf"):
        return words_of(document.content)
    page = re.sub(
        r"<style>.*?</style>|<script>.*?</script>|<meta[^>]*>", "", document.content.decode(), flags=re.DOTALL
    )
    said = re.findall(r'\b(?:alt|aria-label|title|data-label|data-count)="([^"]*)"', page)
    return unescape(" ".join([*said, re.sub(r"<[^>]*>", " ", page)]))


def named(value: object) -> Iterator[str]:
    """Every word that stands in the shop's files and orders, and in the names that the run gave."""
    if isinstance(value, str):
        yield from re.findall(r"\w+", value)
    elif isinstance(value, dict):
        yield from (word for item in value.items() for part in item for word in named(part))
    elif isinstance(value, tuple | list):
        yield from (word for part in value for word in named(part))
    elif attrs.has(type(value)):
        yield from named(tuple(getattr(value, field.name) for field in attrs.fields(type(value))))


def test_every_paper_says_all_its_words_through_messages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A word that is written past the catalogue would stay English in every language."""
    monkeypatch.setattr(language, "words", lambda *_: Bracketed())
    taken = the_run(tmp_path)
    plan = taken.plan
    ids = (
        [layout.id for layout in plan.sheets.layouts],
        [task.id for task in plan.tasks.tasks],
        [number.number for number in (*taken.invoices, *taken.purchases)],
    )
    known = {
        word.lower() for part in (taken.shop, taken.orders, taken.label, *ids) for word in named(part)
    } | UNITS
    seen = 0
    for path, (document, said) in papers(taken).items():
        if document.title.startswith("Slip"):
            continue
        while "⟦" in said:
            shorter = re.sub(r"⟦[^⟦⟧]*⟧", " ", said)
            assert shorter != said, f"{path}: brackets do not match: {said}"
            said, seen = shorter, seen + 1
        files = re.sub(r"\S+\.(pdf|csv|txt|json|svg|png)\b", " ", said)
        strange = {word for word in re.findall(r"[^\W\d_]{2,}", files) if word.lower() not in known}
        assert strange == set(), path
    assert seen > 100


@pytest.fixture(name="german", scope="module")
def _german(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Document, str]]:
    """The papers of a metric shop that speaks German, and has one customer who does not."""
    changes = (
        ("shop.yaml", "paper: letter\nunits: in ", "paper: a4\nlanguage: de\nunits: mm "),
        ("customers/skerries-ferry.yaml", "terms_days:", "language: en\nterms_days:"),
    )
    return papers(the_run(tmp_path_factory.mktemp("german"), *changes))


def test_a_german_shop_has_german_papers(german: dict[str, tuple[Document, str]]) -> None:
    """Each kind of paper by what stands in its head; a customer's own language wins on his papers alone."""
    heads = {
        "packing-list": "Packliste",
        "invoice": "Rechnung",
        "delivery-note": "Lieferschein",
        "carton-labels": "Karton",
        "traveller": "Drucke geschnitten",
        "purchase-order": "Bestellung",
        "press-": "Anpressdruck",
        "floor/sheet-": "Bogen",
        "schedule": "Pressenplan",
        "week": "Die Woche",
        "blanks": "Rohware",
    }
    english = 0
    for path, (document, said) in german.items():
        head = next((word for part, word in heads.items() if part in path), "")
        if document.audience is Audience.CUSTOMER and "Skerries" in said:
            assert re.search(r"Packing list|Invoice|Delivery note|From", said)
            assert not re.search(r"Packliste|Rechnung|Lieferschein|Karton", said)
            english += 1
        elif head:
            assert head in said, path
            assert not re.search(r"\bpage \d", said), path
    assert english >= 2


def test_metric_units_stand_first_everywhere(german: dict[str, tuple[Document, str]]) -> None:
    """On instructions also in what is changed before a run: whoever reads Celsius must not meet the others."""
    for path, (document, said) in german.items():
        if document.audience is not Audience.CUSTOMER:
            found = re.findall(r"\d\s(?:Zoll|in|°F|lb)\s\(", said)
            assert found == [], path
    assert "°C (" in german["floor/schedule.pdf"][1]


def test_papers_are_of_the_shops_paper_and_language(german: dict[str, tuple[Document, str]]) -> None:
    """A4 is 210 x 297 mm (ISO 216); a reader that speaks is told the language (PDF 32000-1, 14.9.2)."""
    for path, (document, said) in german.items():
        if not path.endswith(".pdf") or "/sheet-" in path:
            continue
        with pikepdf.open(BytesIO(document.content)) as pdf:
            sides = sorted(float(side) / 72 * 25.4 for side in pdf.pages[0].MediaBox[2:])
            # A label is A6.
            expected = [105, 148] if path.endswith("labels.pdf") else [210, 297]
            assert sides == pytest.approx(expected, abs=0.01), path
            english = document.audience is Audience.CUSTOMER and "Skerries" in said
            assert str(pdf.Root.Lang) == ("en" if english else "de")
