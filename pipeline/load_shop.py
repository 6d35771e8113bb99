"""The files of a shop -> Shop.

A shop is a folder: `shop.yaml`, and in `presses/`, `transfers/`, `garments/` and `customers/` one file for each
thing, in `language/` its own words for papers. A thing is called by its `name`, or without one by its file's name.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from attrs import evolve

from pipeline.load import read_file
from pipeline.problems import FromFile, Origin, Problem, has_errors, in_order
from pipeline.readings import Loaded, Readings, build, checked
from pipeline.shop import Customer, Garment, Press, Shop, Transfer, Wording
from pipeline.shop_rules import check_shop
from pipeline.source import Source
from pipeline.stand_ins import NAMES, with_stand_ins

PARTS: Mapping[str, tuple[str, type[FromFile]]] = {
    "presses": ("press", Press),
    "transfers": ("transfer", Transfer),
    "garments": ("garment", Garment),
    "customers": ("customer", Customer),
}
"""Folder of a shop, and field of Shop -> schema and class of what one of its files describes."""

_NAME = re.compile(r"[a-z0-9]+([-.][a-z0-9]+)*")
_UNNAMED: Readings[Mapping[str, Any]] = Readings(least={"name": NAMES[0]}, most={"name": NAMES[1]})


def load_shop(root: Path) -> Loaded[Shop]:
    """The shop in the folder `root`, with what its files say about each other checked.

    Problems: E101 and those of `load_order` for its files, E213 and W213 for its own words, E203, E210 and E211
    between them.
    """
    content = read_file(root / "shop.yaml", "shop.yaml")
    office, problems = _unread("shop.yaml"), content.problems
    if content.value is not None:
        office, problems = checked(content.value, "shop.yaml", "shop")
    # Where the currency is at fault, the one with most decimals: no amount is blamed for it.
    whole = with_stand_ins(office, "shop", most=True) if has_errors(problems) else office
    parts = {folder: _parts(root, folder, whole.data["currency"]) for folder in PARTS}
    loaded = [part for of_folder in parts.values() for part in of_folder]
    problems += tuple(problem for part in loaded for problem in part.problems)
    own = _wordings(root)
    wordings = own.value or ()
    problems += own.problems
    sources = {file: text for part in (*loaded, own) for file, text in part.sources.items()}
    read = _together(root, parts)
    if read is None:
        return Loaded(value=None, problems=in_order(problems), sources={office.file: office.text, **sources})
    shop = build(office, problems, "shop", Shop, whole.data["currency"], read)
    problems = shop.held_against(lambda read: check_shop(evolve(read, wordings=wordings)))
    value = None if shop.value is None or has_errors(problems) else evolve(shop.value, wordings=wordings)
    return evolve(shop, value=value, problems=in_order(problems), sources={**shop.sources, **sources})


def _together(root: Path, parts: Mapping[str, Sequence[Loaded[Any]]]) -> Readings[Mapping[str, Any]] | None:
    """The fields of the shop that stand in files of their own; None when one of those was past reading."""
    faults: frozenset[Origin] = frozenset()
    least: dict[str, Any] = {"root": root}
    most: dict[str, Any] = {"root": root}
    for folder, of_folder in parts.items():
        read = [part.readings for part in of_folder if part.readings is not None]
        if len(read) < len(of_folder):
            return None
        least[folder] = tuple(part.least for part in read)
        most[folder] = tuple(part.most for part in read)
        faults |= frozenset().union(*(part.faults for part in read))
    return Readings(least=least, most=most, faults=faults)


def _parts(root: Path, folder: str, currency: str) -> list[Loaded[Any]]:
    """What the files of a folder describe; with no file something unknown, so that its absence is told once."""
    if paths := _files(root / folder, ".yaml", ".yml"):
        return [_part(root, folder, path.name, currency) for path in paths]
    schema, of = PARTS[folder]
    message = f"the shop has no {schema}: `{folder}/` holds no .yaml file"
    hint = f"add a file for each {schema}"
    problem = Problem(code="E202", message=message, hint=hint, origin=Origin(file="shop.yaml"))
    return [evolve(build(_unread(""), [problem], schema, of, currency, _UNNAMED), sources={})]


def _part(root: Path, folder: str, name: str, currency: str) -> Loaded[Any]:
    """What one file of a shop's folders describes, called by the file's name if it gives none."""
    file = f"{folder}/{name}"
    content = read_file(root / file, file)
    if content.value is None:
        return _described(_unread(file), content.problems, folder, currency)
    return _of_bytes(content.value, file, folder, currency)


@lru_cache(maxsize=1024)
def _of_bytes(content: bytes, file: str, folder: str, currency: str) -> Loaded[Any]:
    """The same for a file of these bytes. A watched folder's shop is read in every cycle, and hardly ever changes."""
    schema, _ = PARTS[folder]
    return _described(*checked(content, file, schema), folder, currency)


def _described(source: Source, problems: Iterable[Problem], folder: str, currency: str) -> Loaded[Any]:
    schema, of = PARTS[folder]
    stem = Path(source.file).stem
    if isinstance(source.data, dict) and "name" in source.data:
        return build(source, problems, schema, of, currency)
    if _NAME.fullmatch(stem):
        name = {"name": stem}
        return build(source, problems, schema, of, currency, Readings(least=name, most=name))
    message = f"`{stem}` cannot be a name: small letters, digits and hyphens only"
    hint = "rename the file, or add a line `name: ...`"
    problem = Problem(code="E206", message=message, hint=hint, origin=Origin(file=source.file))
    return build(source, (*problems, problem), schema, of, currency, _UNNAMED)


def _wordings(root: Path) -> Loaded[tuple[Wording, ...]]:
    """The shop's own words for its papers, file by file."""
    made: list[Wording] = []
    problems: list[Problem] = []
    sources = {}
    for path in _files(root / "language", ".po"):
        # Babel takes its time, and most shops have no words of their own.
        from pipeline.language.own import wording_problems

        file = f"language/{path.name}"
        content = read_file(path, file)
        problems += content.problems
        if content.value is not None:
            sources[file] = content.value.decode(errors="replace")
            problems += wording_problems(content.value, path.stem, file)
            made.append(Wording(code=path.stem, po=content.value))
    return Loaded(value=tuple(made), problems=problems, sources=sources)


def _unread(file: str) -> Source:
    return Source(file=file, text="", data=None, positions={})


def _files(folder: Path, *suffixes: str) -> list[Path]:
    if not folder.is_dir():
        return []
    return sorted(
        path for path in folder.iterdir() if path.suffix in suffixes and not path.name.startswith((".", "~", "#"))
    )
