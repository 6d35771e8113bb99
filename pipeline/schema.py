"""JSON Schema (2020-12) -> problems with line, column and hint.

The schemas in `schemas/` serve editors and this module alike. Our keyword `x-hint` says what to write instead,
`x-extremes` the least and the most that can be meant (`stand_ins.py`).
What they use is kept small (see `KEYWORDS`): no `oneOf` or `anyOf`, whose messages help nobody; kinds are told
apart by `if`/`then`. Of `format`, which validators ignore unless told otherwise, only `date` and our `moment`.

References to `common.schema.json` are written into the place that names them before the validator is built:
checking is faster, a property's own title and hint win over the common one's, and nothing is ever fetched.
"""

import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import datetime
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any, cast

from pipeline.problems import Problem, did_you_mean, expected_one_of
from pipeline.source import Path, Source

if TYPE_CHECKING:
    from jsonschema.exceptions import ValidationError
    from jsonschema.protocols import Validator

Schema = Mapping[str, Any]

ANNOTATIONS = frozenset(
    {"title", "description", "examples", "default", "deprecated", "x-hint", "x-extremes", "$comment"}
)
KEYWORDS = ANNOTATIONS.union(
    ("$schema", "$id", "$defs", "$ref", "allOf", "if", "then", "else", "not", "type", "enum", "const"),
    ("properties", "required", "additionalProperties", "propertyNames", "dependentRequired", "items"),
    ("uniqueItems", "minItems", "maxItems", "minProperties", "maxProperties", "minLength", "maxLength"),
    ("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum", "pattern", "format"),
)
"""All that may stand in a schema of ours; a test checks them."""

_KINDS = {
    "string": "text",
    "integer": "a whole number",
    "number": "a number",
    "boolean": "true or false",
    "array": "a list",
    "object": "a group of `name: value` lines",
    "null": "nothing",
}
# What is compared, and what the limit is called.
_LIMITS = {
    "minimum": "is too small: at least {limit}",
    "exclusiveMinimum": "is too small: more than {limit}",
    "maximum": "is too large: at most {limit}",
    "exclusiveMaximum": "is too large: less than {limit}",
    "minLength": "is too short: at least {limit} characters",
    "maxLength": "is too long: at most {limit} characters",
    "minItems": "has too few items: at least {limit}",
    "maxItems": "has too many items: at most {limit}",
    "minProperties": "has too few entries: at least {limit}",
    "maxProperties": "has too many entries: at most {limit}",
}


Examples = Callable[[Any, Path], str]
"""Data, and a place in it -> what could stand there; "" where the schema's own example does."""


def no_examples(_: Any, __: Path) -> str:
    """Those of the schema."""
    return ""


def check(source: Source, name: str, examples: Examples = no_examples) -> tuple[Problem, ...]:
    """What is wrong with the shape of `source` by the schema `name` ("job", "garment", ...).

    What is unreadable was told. One problem per fault: E201, E202, E204-E209.
    """
    return find(source, validator(name), examples)


@cache
def validator(name: str) -> "Validator":
    """The validator for schemas/NAME.schema.json, built once per process."""
    common = _load("common")
    return build(_load(name), {"common.schema.json": common})


def _load(name: str) -> Schema:
    loaded: Schema = json.loads((files("schemas") / f"{name}.schema.json").read_text("utf-8"))
    return loaded


def build(schema: Schema, library: Mapping[str, Schema]) -> "Validator":
    """A validator for `schema`, whose references `file#/$defs/name` lead into `library`.

    Raises `jsonschema.SchemaError` on a schema that is none and KeyError on a reference that leads nowhere: both
    are bugs of ours, not of a user.
    """
    from jsonschema import Draft202012Validator, FormatChecker
    from jsonschema.validators import extend
    from referencing import Registry

    whole = inline(schema, {"": schema, **library})
    Draft202012Validator.check_schema(whole)
    ours: type[Validator] = extend(Draft202012Validator, {"pattern": _pattern})  # type: ignore[no-untyped-call]
    formats = FormatChecker(formats=())
    formats.checks("date")(_is_moment)
    formats.checks("moment")(_is_moment)
    return ours(whole, registry=Registry(), format_checker=formats)


def _is_moment(text: object) -> bool:
    """False for a day or time that the calendar does not have. Whether it is written as one, `pattern` says."""
    try:
        datetime.fromisoformat(str(text))
    except ValueError:
        return not re.fullmatch(r"\d{4}-\d\d-\d\d( \d\d:\d\d)?", str(text))
    return True


def inline(schema: Any, library: Mapping[str, Schema], home: str = "") -> Any:
    """`schema` with each `$ref` replaced by what it names; keywords that stand beside the `$ref` win."""
    if isinstance(schema, list):
        return [inline(item, library, home) for item in schema]
    if not isinstance(schema, Mapping):
        return schema
    if "$ref" in schema:
        file, _, pointer = schema["$ref"].partition("#")
        home_there = file or home
        target: Any = library[home_there]
        for step in pointer.strip("/").split("/"):
            target = target[step]
        beside = {key: value for key, value in schema.items() if key != "$ref"}
        return {**inline(target, library, home_there), **beside}
    return {key: inline(value, library, home) for key, value in schema.items() if key != "$defs"}


def _pattern(_: Any, pattern: str, instance: Any, __: Any) -> Iterator["ValidationError"]:
    """The keyword `pattern`, for patterns in `^...$`. Python's `$` would let a line end pass at the end."""
    if isinstance(instance, str) and not re.fullmatch(pattern.removeprefix("^").removesuffix("$"), instance):
        from jsonschema.exceptions import ValidationError

        yield ValidationError(f"does not match {pattern}")


def find(source: Source, by: "Validator", examples: Examples = no_examples) -> tuple[Problem, ...]:
    """What `by` finds wrong with `source`, one problem per fault, in the order of the file."""
    errors = [error for error in by.iter_errors(source.data) if not source.is_unreadable(_path(error))]
    broken = {(_path(error), error.validator) for error in errors}
    problems: dict[Problem, None] = {}
    for error in errors:
        # A number where a text belongs also fails the text's other rules, and what is not written as a day is none of
        # the calendar either: say the first thing only.
        first = {"type": (), "format": ("type", "pattern")}.get(str(error.validator), ("type",))
        if not any((_path(error), keyword) in broken for keyword in first):
            problems.update(dict.fromkeys(_explain(source, error, examples)))
    return tuple(sorted(_without_echo(problems), key=lambda problem: problem.origin))


def _path(error: "ValidationError") -> Path:
    return tuple(error.absolute_path)


def _without_echo(problems: Iterable[Problem]) -> list[Problem]:
    """Without the missing keys that are only misspelt, or one that would do instead: `custmer` is one fault."""
    found = list(problems)
    meant = {name for p in found if p.code == "E201" for name in re.findall(r"did you mean `(\w+)`\?", p.hint)}
    return [p for p in found if p.code != "E202" or meant.isdisjoint(_would_do(p))]


def _would_do(missing: Problem) -> list[str]:
    """The key that is missing, and those that its hint offers instead."""
    return re.findall(r"`(\w+)`", f"{missing.message.partition(' is missing')[0]} {missing.hint}")


def _explain(source: Source, error: "ValidationError", examples: Examples) -> Iterator[Problem]:
    path = _path(error)
    keyword, value, limit = str(error.validator), cast("Any", error.instance), cast("Any", error.validator_value)
    rule = cast("Schema", error.schema)
    own = examples(source.data, path)
    hint = f"{_hint(rule)}; for example: {own}" if own else _hint(rule)
    if "propertyNames" in error.absolute_schema_path:
        known = limit if keyword == "enum" else ()
        yield Problem(
            code="E201",
            message=f"`{value}` may not stand {_inside(path)}",
            label=expected_one_of(known) if known else "",
            hint=did_you_mean(value, known) or hint,
            origin=source.origin((*path, value), key=True),
        )
    elif keyword == "additionalProperties":
        yield from _unknown_keys(source, path, value, rule.get("properties", {}))
    elif keyword in ("required", "dependentRequired"):
        yield from _missing_keys(source, path, value, rule, examples)
    else:
        code, message, label = _value_fault(keyword, value, limit, _name(path))
        if keyword == "enum" and isinstance(value, str):
            hint = did_you_mean(value, map(str, limit)) or hint
        yield Problem(code=code, message=message, label=label, hint=hint, origin=source.origin(path))


def _unknown_keys(source: Source, path: Path, value: Mapping[str, Any], known: Schema) -> Iterator[Problem]:
    for key in value:
        if key not in known:
            near = did_you_mean(key, [name for name in known if name not in value])
            yield Problem(
                code="E201",
                message=f"`{key}` may not stand {_inside(path)}",
                label=expected_one_of(known),
                hint=near or "delete it, or look for its right place",
                origin=source.origin((*path, key), key=True),
            )


def _missing_keys(
    source: Source, path: Path, value: Mapping[str, Any], rule: Schema, examples: Examples
) -> Iterator[Problem]:
    needed = dict.fromkeys(rule.get("required", ()), "")
    for reason, keys in rule.get("dependentRequired", {}).items():
        needed |= {key: f" beside `{reason}`" for key in keys if reason in value}
    for key, beside in needed.items():
        if key not in value:
            yield Problem(
                code="E202",
                message=f"`{key}` is missing {_inside(path)}{beside}",
                hint=_line_to_add(
                    key, rule.get("properties", {}).get(key, {}), examples(source.data, (*path, key))
                ),
                origin=source.origin(path, key=bool(path) and isinstance(path[-1], str)),
            )


def _line_to_add(key: str, rule: Schema, own: str) -> str:
    example = own or next((e for e in rule.get("examples", ()) if not isinstance(e, dict | list)), None)
    if example is not None:
        return f"add a line `{key}: {str(example).lower() if isinstance(example, bool) else example}`"
    return str(rule.get("x-hint", f"add a line `{key}: ...`"))


def _value_fault(keyword: str, value: Any, limit: Any, name: str) -> tuple[str, str, str]:
    """Code, message and label for a value that breaks the rule `keyword: limit`."""
    if keyword == "type":
        wanted = " or ".join(_KINDS[kind] for kind in ([limit] if isinstance(limit, str) else limit))
        if value is None:
            return "E204", f"{name} has no value", f"expected {wanted}"
        return "E204", f"{name} is {_kind(value)}", f"expected {wanted}"
    if keyword in ("enum", "const"):
        words = [str(word) for word in (limit if keyword == "enum" else [limit])]
        return "E205", f"`{_short(value)}` is not a value for {name}", expected_one_of(words)
    if keyword == "pattern":
        return "E206", f"`{_short(value)}` is not written as {name} must be", ""
    if keyword == "format":
        return "E206", f"`{_short(value)}` is no day of the calendar", ""
    if keyword in _LIMITS:
        return "E207", f"{name} {_LIMITS[keyword].format(limit=limit)}", ""
    if keyword == "uniqueItems":
        return "E209", f"{name} names one thing twice", ""
    if keyword == "not":
        return "E208", f"{name} does not go with what stands around it", ""
    raise AssertionError(f"no words for the schema keyword {keyword}")


def _hint(rule: Any) -> str:
    if not isinstance(rule, Mapping):
        return ""
    if rule.get("x-hint"):
        return str(rule["x-hint"])
    examples = [example for example in rule.get("examples", ()) if not isinstance(example, dict | list)]
    return f"for example: {examples[0]}" if examples else ""


def _name(path: Path) -> str:
    if not path:
        return "the file"
    if isinstance(path[-1], int):
        return f"item {path[-1] + 1}" + (f" of `{path[-2]}`" if path[:-1] else "")
    return f"`{path[-1]}`"


def _inside(path: Path) -> str:
    return f"in {_name(path)}" if path else "here"


def _kind(value: Any) -> str:
    kinds = {bool: "boolean", int: "integer", str: "string", list: "array", dict: "object"}
    shown = f", `{_short(value)}`" if isinstance(value, str | int) else ""
    return f"{_KINDS[kinds[type(value)]] if not isinstance(value, bool) else 'a truth value'}{shown}"


def _short(value: Any, most: int = 40) -> str:
    text = str(value).lower() if isinstance(value, bool) else str(value)
    return text if len(text) <= most else f"{text[: most - 1]}…"
