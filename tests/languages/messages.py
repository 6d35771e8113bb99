"""Every message in code and templates, found by babel as any translator's tool would find it."""

from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_file
from jinja2.ext import babel_extract

from pipeline.language import LANGUAGES, SOURCE
from pipeline.language.catalogue import read, translated, written

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "pipeline" / "language"
TRANSLATED = tuple(code for code in LANGUAGES if code != SOURCE)
KEYWORDS = {"_": None, "N_": None, "gettext": None, "ngettext": (1, 2), "pgettext": ((1, "c"), 2)}


def found() -> Catalog:
    """The messages in the order of their files, each with the files that hold it."""
    catalog = Catalog(charset="utf-8")
    for path, method in _sources():
        name = path.relative_to(ROOT).as_posix()
        options = {"trimmed": "true", "trim_blocks": "true", "lstrip_blocks": "true"}
        for _, message, _, context in extract_from_file(method, path, keywords=KEYWORDS, options=options):
            catalog.add(message, locations=[(name, 0)], context=context)
    return catalog


def _sources() -> Iterator[tuple[Path, object]]:
    for package in ("pipeline", "plugins"):
        for path in sorted((ROOT / package).rglob("*")):
            if path.suffix == ".py":
                yield path, "python"
            elif path.suffix == ".j2":
                yield path, babel_extract


def empty(catalog: Catalog) -> list[str]:
    """The messages that nobody has translated."""
    return [str(message.id) for message in written(catalog) if not translated(message, catalog)]


def kept(code: str) -> Catalog:
    """What stands in a language's file."""
    return read((FOLDER / f"{code}.po").read_bytes(), code)
