"""The schemas, the classes and the reader say the same."""

import re
from collections.abc import Iterator
from importlib.resources import files
from typing import Any, get_args

import attrs
import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from pipeline.load import Progress, Week
from pipeline.load_shop import PARTS
from pipeline.model.order import Order, SizeCount, SizeScale
from pipeline.model.tally import Tally
from pipeline.problems import FromFile
from pipeline.schema import ANNOTATIONS, KEYWORDS, _load, inline, validator
from pipeline.shop import Fibre, Shop
from pipeline.structure import RENAMED

CLASSES: dict[str, type[FromFile]] = {
    "job": Order,
    "shop": Shop,
    "week": Week,
    "tally": Tally,
    "progress": Progress,
    **dict(PARTS.values()),
}
NAMES = sorted(CLASSES)
# Fields that stand in no file: where a value stands, what is filled in, and the other files of a shop.
NOT_WRITTEN = {"origin", "marks", "sha256", "art", "root", "wordings", "_index", *PARTS}
# Written as `{S: 4, M: 10}`: the schema is a mapping's, not the class's.
ENTRIES = (SizeCount, SizeScale, Fibre)


def whole(name: str) -> dict[str, Any]:
    """A schema with its references written in."""
    return inline(_load(name), {"": _load(name), "common.schema.json": _load("common")})


def written_class(annotation: Any) -> type[FromFile] | None:
    """The class behind `Address`, `Address | None` or `tuple[Line, ...]`, where it is written as a mapping."""
    if isinstance(annotation, type) and issubclass(annotation, FromFile):
        return None if annotation in ENTRIES else annotation
    return next((found for part in get_args(annotation) if (found := written_class(part))), None)


def pairs(of: type[FromFile], schema: dict[str, Any], path: str) -> Iterator[tuple[str, type, dict[str, Any]]]:
    """Every class that is reached from `of`, with the schema of its mapping."""
    yield path, of, schema
    attrs.resolve_types(of)
    for field in attrs.fields(of):
        name = RENAMED.get(field.name, field.name)
        inner = written_class(field.type)
        if inner is not None and name in schema["properties"]:
            part = schema["properties"][name]
            yield from pairs(inner, part.get("items", part), f"{path}.{name}")


PAIRS = [pair for name in NAMES for pair in pairs(CLASSES[name], whole(name), name)]


@pytest.mark.parametrize(("of", "schema"), [pair[1:] for pair in PAIRS], ids=[pair[0] for pair in PAIRS])
def test_schema_and_class_have_the_same_fields(of: type[Any], schema: dict[str, Any]) -> None:
    """A field that only one of them knows could not be written, or would be passed over."""
    fields = {RENAMED.get(f.name, f.name): f for f in attrs.fields(of) if f.name not in NOT_WRITTEN}
    assert set(schema["properties"]) == set(fields)
    needed = {name for name, field in fields.items() if field.default is attrs.NOTHING}
    # A thing in a file of its own may be called by the file's name.
    optional = {"name"} if of in dict(PARTS.values()).values() else set()
    assert needed - optional == set(schema.get("required", ()))
    assert schema["additionalProperties"] is False


def test_every_class_that_is_written_is_compared() -> None:
    """The walk above must not stop early: the deepest classes of each file are reached."""
    reached = {path for path, *_ in PAIRS}
    assert {
        "job.lines.prints",
        "shop.calendar.shifts.breaks",
        "transfer.sheets.prices",
        "shop.options.group",
    } <= reached


@pytest.mark.parametrize("name", NAMES)
def test_examples_are_valid(name: str) -> None:
    """Editors show examples and people copy them."""
    for example in _load(name)["examples"]:
        assert list(validator(name).iter_errors(example)) == []


def properties(schema: Any, path: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every schema of a property, item, entry or key, but for the conditions in allOf."""
    for key, part in schema.get("properties", {}).items():
        yield f"{path}.{key}", part
        yield from properties(part, f"{path}.{key}")
    for key in ("items", "additionalProperties", "propertyNames"):
        if isinstance(schema.get(key), dict):
            yield f"{path}[{key}]", schema[key]
            yield from properties(schema[key], f"{path}[{key}]")


EVERY = [(name, *found) for name in NAMES for found in properties(whole(name))]


def test_every_property_says_what_it_is() -> None:
    """Editors show title, description and example while someone types."""
    for name, path, part in EVERY:
        assert {"title", "description", "examples"} <= set(part) or part.get("type") in ("array", "object"), (
            name,
            path,
        )
        assert part["title"], (name, path)
        assert part["description"].endswith("."), (name, path)


def test_examples_of_every_property_are_valid() -> None:
    """The hint of a message may be an example: it must be right."""
    for name, path, part in EVERY:
        for example in part.get("examples", ()):
            # `12.50` without quotes is a number to an editor and text to the reader: both must pass.
            assert Draft202012Validator(part).is_valid(example), (name, path, example)


def schemas(part: Any) -> Iterator[dict[str, Any]]:
    """Every schema within a schema."""
    if isinstance(part, list):
        for item in part:
            yield from schemas(item)
    elif isinstance(part, dict):
        yield part
        for key, value in part.items():
            if key in ("properties", "$defs"):
                for item in value.values():
                    yield from schemas(item)
            elif key in ("items", "additionalProperties", "propertyNames", "allOf", "if", "then", "else", "not"):
                yield from schemas(value)


FILES = sorted(f.name for f in files("schemas").iterdir() if f.name.endswith(".json"))


@pytest.mark.parametrize("file", FILES)
def test_only_keywords_that_we_have_words_for(file: str) -> None:
    """A keyword without words would end in an internal error; one that is misspelt would do nothing."""
    for schema in schemas(_load(file.removesuffix(".schema.json"))):
        assert set(schema) <= KEYWORDS
        if "$ref" in schema:
            # Beside a reference only words: a rule there would count twice in an editor and once here.
            assert set(schema) <= ANNOTATIONS | {"$ref"}


@pytest.mark.parametrize("file", FILES)
def test_patterns_take_no_time_and_mean_the_same_everywhere(file: str) -> None:
    """Whole-line patterns without a repeat inside a repeat: those can take seconds on thirty characters."""
    for schema in schemas(_load(file.removesuffix(".schema.json"))):
        if "pattern" in schema:
            pattern = schema["pattern"]
            assert pattern.startswith("^")
            assert pattern.endswith("$")
            inner = pattern[1:-1]
            assert not re.search(r"\\[dwsDWS](?!\])", inner.replace(r"\s]", "")), "these differ between engines"
            for group in re.findall(r"\((?:\?:)?([^()]*)\)[*+]", inner):
                # A repeated group must begin with a character that its inner repeat cannot match.
                first = re.match(r"\[[^\]]*\]", group)
                assert first is not None
                assert not re.match(first[0], "a")
                assert not re.match(first[0], "0")


@pytest.mark.parametrize("name", NAMES)
def test_a_plain_validator_with_references_comes_to_the_same_verdict(name: str) -> None:
    """Writing references in must not change what is valid: held against jsonschema's own way."""
    common = Resource.from_contents(_load("common"))
    registry = Registry().with_resource("common.schema.json", common)
    plain = Draft202012Validator(_load(name), registry=registry)
    good = _load(name)["examples"][0]
    bad = [
        {**good, "zzz": 1},
        {},
        *({**good, key: [None]} for key in good),
        *({**good, key: "??"} for key in good),
    ]
    for data in (good, *bad):
        assert plain.is_valid(data) == validator(name).is_valid(data)
