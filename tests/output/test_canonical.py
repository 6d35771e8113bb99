"""Canonical JSON: held against the examples of RFC 8785, and read back."""

import json
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest
from attrs import field, frozen
from hypothesis import given
from hypothesis import strategies as st

from pipeline.canonical import LARGEST, canonical, digest, plain
from pipeline.model.order import Delivery

# RFC 8785 (JSON Canonicalization Scheme, June 2020), section 3.2.3: the names in the order that it prescribes.
SORTED_NAMES = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]

# RFC 8785, section 3.2.2: the value of "string" as input and as canonical text (retyped); "literals" likewise.
STRING = json.loads('"\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/"')
CANONICAL_STRING = '"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"'

values = st.recursive(
    st.none() | st.booleans() | st.integers(-LARGEST, LARGEST) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
)


def test_names_are_sorted_as_the_standard_does() -> None:
    """UTF-16 code units, not code points: the smiling face stands before the Hebrew letter."""
    written = json.loads(canonical(dict.fromkeys(sorted(SORTED_NAMES), 0)))
    assert list(written) == SORTED_NAMES


def test_text_is_escaped_as_the_standard_does() -> None:
    """Another escape of the same text would be another hash."""
    assert canonical(STRING).decode() == CANONICAL_STRING


def test_literals_as_in_the_standard() -> None:
    """No white space anywhere."""
    assert canonical({"literals": [None, True, False]}) == b'{"literals":[null,true,false]}'


@given(values)
def test_reads_back_and_does_not_depend_on_order(value: object) -> None:
    """What was written is what was meant; a mapping's order leaves no trace."""
    assert json.loads(canonical(value)) == value  # type: ignore[arg-type]
    if isinstance(value, dict):
        assert canonical(dict(reversed(value.items()))) == canonical(value)


@pytest.mark.parametrize("value", [LARGEST + 1, -LARGEST - 1, "\ud800", {"\ud800": 1}])
def test_what_others_could_not_read_is_refused(value: object) -> None:
    """A number that other readers round, or text that is not Unicode, must not be hashed."""
    with pytest.raises(ValueError, match=r"too large|surrogates"):
        canonical(value)  # type: ignore[arg-type]


@pytest.mark.parametrize("value", [1.5, b"bytes", {"a": 1.0}])
def test_floats_and_bytes_are_refused(value: object) -> None:
    """Money and lengths are whole numbers; a float here is a bug."""
    with pytest.raises(TypeError):
        canonical(value)  # type: ignore[arg-type]


def test_digest_is_sha256() -> None:
    """FIPS 180-4 example "abc" (value as published by NIST)."""
    assert digest(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@frozen(kw_only=True)
class Thing:
    """A value with a bit of everything."""

    on: date = date(2026, 11, 30)
    at: datetime = datetime(2026, 11, 30, 8, tzinfo=UTC)
    takes: timedelta = timedelta(minutes=2)
    share: Fraction = Fraction(55, 1000)
    way: Delivery = Delivery.PICK_UP
    parts: tuple[int, ...] = (1, 2)
    where: str = field(default="line 3", eq=False)


def test_a_value_becomes_plain_data() -> None:
    """Only what is compared is recorded: where a value stood in its file is none of it."""
    assert plain(Thing()) == {
        "on": "2026-11-30",
        "at": "2026-11-30T08:00:00+00:00",
        "takes": 120,
        "share": "11/200",
        "way": "pick-up",
        "parts": [1, 2],
    }
    with pytest.raises(TypeError, match="set"):
        plain({1, 2})
