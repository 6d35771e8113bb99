"""A job that was invoiced and comes back changed: what differs is named."""

from datetime import date

import pytest

from pipeline.canonical import Json
from pipeline.ledger import Recorded
from pipeline.ledger.changes import changed_job, differences
from tests.builders import make_order

KNOWN = Recorded(job="H-101", sha256="a" * 64, run="2026-W49", invoice="2026-0007", issued=date(2026, 11, 30))

CASES: list[tuple[Json, Json, list[str]]] = [
    ({"a": 1}, {"a": 1}, []),
    ({"a": {"b": 1}}, {"a": {"b": 2}}, ["a.b: 1 -> 2"]),
    ({"lines": [{"n": 1}, {"n": 2}]}, {"lines": [{"n": 1}, {"n": 3}]}, ["lines[2].n: 2 -> 3"]),
    ({"lines": [1]}, {"lines": [1, 2]}, ["lines: 1 entries -> 2"]),
    ({"a": 1}, {"b": 1}, ["a is gone", "b is new"]),
    ({"a": "1"}, {"a": 1}, ["a: 1 -> 1"]),
    ({"a": True}, {"a": 1}, ["a: True -> 1"]),
    ({"a": None}, {"a": [1]}, ["a: nothing -> several values"]),
    ({"a": {"b": 1}}, {"a": "text"}, ["a: several values -> text"]),
    ([1], [2], ["[1]: 1 -> 2"]),
    ([1], [], ["the list: 1 entries -> 0"]),
    ("x", "y", ["the file: x -> y"]),
]


@pytest.mark.parametrize(("before", "now", "expected"), CASES)
def test_differences(before: Json, now: Json, expected: list[str]) -> None:
    """Where, and from what to what, in the words of the file."""
    assert list(differences(before, now)) == expected


def test_the_problem_names_number_day_and_difference() -> None:
    """Who reads it can decide: put the old file back, or give what is new an id of its own."""
    problem = changed_job(make_order(), KNOWN, {"pieces": {"XL": 4}}, {"pieces": {"XL": 6}})
    assert (problem.code, problem.job) == ("E601", "H-101")
    assert "2026-0007 on 2026-11-30" in problem.message
    assert problem.message.endswith("pieces.XL: 4 -> 6")


def test_many_or_no_differences() -> None:
    """A rewritten file is not listed in full; a comment that changed is said to be no more."""
    before: Json = {str(n): 0 for n in range(9)}
    now: Json = {str(n): 1 for n in range(9)}
    assert changed_job(make_order(), KNOWN, before, now).message.endswith("4: 0 -> 1; and 4 more")
    assert "only how it is written" in changed_job(make_order(), KNOWN, before, before).message
