"""Shape faults: one problem per fault, at its place, with what to write instead."""

from typing import Any

import pytest

from pipeline.problems import Problem
from pipeline.schema import build, find, inline
from pipeline.source import parse

COMMON = {
    "$defs": {
        "length": {
            "type": "string",
            "pattern": r"^\d+(\.\d+)?(in|mm)$",
            "title": "Length",
            "x-hint": "write 3.5in",
        },
        "half": {"$ref": "#/$defs/length", "title": "Half"},
    }
}
JOB = {
    "type": "object",
    "additionalProperties": False,
    "required": ["customer", "due"],
    "dependentRequired": {"rush": ["reason"]},
    "properties": {
        "customer": {"type": "string", "maxLength": 5, "examples": ["kelp"]},
        "due": {"type": "string", "pattern": r"^\d{4}-\d\d$", "x-hint": "write 2026-12"},
        "ship": {"enum": ["ship", "pick-up"]},
        "width": {"$ref": "common.schema.json#/$defs/half", "title": "Width"},
        "count": {"type": "integer", "minimum": 1, "maximum": 9},
        "price": {"type": ["number", "string"], "exclusiveMinimum": 0, "pattern": r"^\d+$"},
        "rush": {"type": "boolean"},
        "reason": {"const": "late"},
        "sizes": {
            "type": "object",
            "minProperties": 1,
            "propertyNames": {"enum": ["S", "XL"]},
            "additionalProperties": {"type": "integer"},
        },
        "tags": {
            "type": "array",
            "uniqueItems": True,
            "minItems": 1,
            "items": {"type": "string", "minLength": 2},
        },
    },
    "allOf": [
        {
            "if": {"properties": {"ship": {"const": "pick-up"}}, "required": ["ship"]},
            "then": {"properties": {"count": {"not": {}, "x-hint": "leave it out"}}},
        }
    ],
}
VALIDATOR = build(JOB, {"common.schema.json": COMMON})


def check(text: str, validator: Any = VALIDATOR) -> tuple[Problem, ...]:
    """The shape problems of a text that is good YAML."""
    outcome = parse(text.encode(), "job.yaml")
    assert outcome.value is not None
    assert outcome.ok
    return find(outcome.value, validator)


GOOD = "customer: kelp\ndue: 2026-12\n"


@pytest.mark.parametrize(
    ("line", "code", "place", "words", "label", "hint"),
    [
        ("witdh: 3in", "E201", (3, 1), "`witdh` may not stand here", "", "did you mean `width`?"),
        ("zzz: 1", "E201", (3, 1), "`zzz` may not stand here", "", "delete it"),
        (
            "sizes: {XXL: 1}",
            "E201",
            (3, 9),
            "`XXL` may not stand in `sizes`",
            "expected one of: S, XL",
            "did you mean `XL`?",
        ),
        ("rush: true", "E202", (1, 1), "`reason` is missing here beside `rush`", "", "`reason: ...`"),
        ("count: x", "E204", (3, 8), "`count` is text, `x`", "expected a whole number", ""),
        ("count: true", "E204", (3, 8), "`count` is a truth value, `true`", "expected a whole number", ""),
        ("count:", "E204", (3, 7), "`count` has no value", "expected a whole number", ""),
        ("price: [1]", "E204", (3, 8), "`price` is a list", "expected a number or text", ""),
        ("tags: [ab, 5]", "E204", (3, 12), "item 2 of `tags` is a whole number, `5`", "expected text", ""),
        (
            "ship: Pick Up",
            "E205",
            (3, 7),
            "`Pick Up` is not a value for `ship`",
            "expected one of: ",
            "`pick-up`?",
        ),
        ("reason: x", "E205", (3, 9), "`x` is not a value for `reason`", "expected one of: late", ""),
        ("width: 3.5", "E206", (3, 8), "`3.5` is not written as `width` must be", "", "write 3.5in"),
        ('width: "3in\\n"', "E206", (3, 8), "is not written as", "", "write 3.5in"),
        ("count: 0", "E207", (3, 8), "`count` is too small: at least 1", "", ""),
        ("count: 10", "E207", (3, 8), "`count` is too large: at most 9", "", ""),
        ("price: 0", "E207", (3, 8), "more than 0", "", ""),
        ("sizes: {}", "E207", (3, 8), "too few entries", "", ""),
        ("tags: [a]", "E207", (3, 8), "item 1 of `tags` is too short", "", ""),
        ("tags: [ab, ab]", "E209", (3, 7), "`tags` names one thing twice", "", ""),
        ("ship: pick-up\ncount: 3", "E208", (4, 8), "`count` does not go with", "", "leave it out"),
    ],
)
def test_each_fault_gives_one_problem_at_its_place(
    line: str, code: str, place: tuple[int, int], words: str, label: str, hint: str
) -> None:
    """One fault, one problem: the writer mends one thing and it is gone."""
    (problem,) = check(GOOD + line)
    assert (problem.code, problem.origin.line, problem.origin.column) == (code, *place)
    assert words in problem.message
    assert label in problem.label
    assert hint in problem.hint


def test_a_good_file_has_no_problems() -> None:
    """Every keyword at once, all kept."""
    full = "ship: ship\nwidth: 3.5in\ncount: 1\nprice: 12\nrush: true\nreason: late\nsizes: {S: 1}\ntags: [ab]\n"
    assert check(GOOD + full) == ()


def test_a_misspelt_key_is_not_also_a_missing_one() -> None:
    """`custmer` is one fault; a key that is missing besides is another."""
    assert [(p.code, p.hint) for p in check("custmer: kelp\ndue: 2026-12")] == [
        ("E201", "did you mean `customer`?")
    ]
    assert [p.code for p in check("custmer: kelp")] == ["E201", "E202"]


def test_a_missing_value_names_its_hint_or_an_example() -> None:
    """What to write stands in the schema once and serves the editor and the message."""
    assert [p.hint for p in check("count: 1")] == ["add a line `customer: kelp`", "write 2026-12"]


def test_a_file_that_is_not_a_mapping() -> None:
    """A list at the top of a file is the first thing to mend, and the only one told."""
    (problem,) = check("- customer: kelp\n")
    assert (problem.code, problem.message) == ("E204", "the file is a list")


def test_what_stands_beside_a_reference_wins() -> None:
    """A property's own title and hint are better than the common ones."""
    whole = inline(JOB, {"": JOB, "common.schema.json": COMMON})
    assert whole["properties"]["width"]["title"] == "Width"
    assert whole["properties"]["width"]["x-hint"] == "write 3.5in"


def test_a_reference_that_leads_nowhere_is_a_bug_and_nothing_is_fetched() -> None:
    """The library behind would fetch a remote schema; ours knows its own files only."""
    with pytest.raises(KeyError):
        build({"$ref": "https://example.org/x.json#/a"}, {})
