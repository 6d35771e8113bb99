"""One way to write a value as JSON, so that equal values have equal bytes and a hash means something.

The bytes are those of RFC 8785 (JSON Canonicalization Scheme): names sorted by their UTF-16 code units, no white
space, UTF-8, only what must be escaped. Of its numbers we use whole ones only, up to 2^53 - 1.
"""

import hashlib
import json
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from enum import StrEnum
from fractions import Fraction
from typing import TypeAlias, Union

import attrs

Json: TypeAlias = Union[bool, int, str, Sequence["Json"], Mapping[str, "Json"], None]  # noqa: UP007 (recursive)

LARGEST = 2**53 - 1
"""The largest whole number that every reader of JSON keeps exactly (RFC 8785, section 3.2.2.3)."""


def canonical(value: Json) -> bytes:
    """The canonical bytes of `value`.

    Raises TypeError for what is no `Json` (a float, bytes); ValueError for a number beyond `LARGEST` or text that
    is not Unicode (a lone surrogate).
    """
    return json.dumps(_sorted(value), ensure_ascii=False, separators=(",", ":")).encode()


def digest(content: bytes) -> str:
    """SHA-256 in lower-case hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def plain(value: object) -> Json:
    """A frozen value of the model as plain data: a class becomes a mapping of its compared fields.

    Fractions are written `3/4` (whole ones as text, too), dates and times as in ISO 8601, durations in whole
    seconds. Raises TypeError for what the model does not hold.
    """
    if isinstance(value, StrEnum):
        return str(value)
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, Fraction):
        return str(value)
    if isinstance(value, date):  # a datetime is one
        return value.isoformat()
    if isinstance(value, timedelta):
        return value // timedelta(seconds=1)
    if isinstance(value, tuple):
        return [plain(item) for item in value]
    return fields(value)


def fields(value: object) -> dict[str, Json]:
    """The compared fields of a frozen value as plain data (see `plain`). Raises TypeError for another class's."""
    kind = type(value)
    if attrs.has(kind):
        return {a.name: plain(getattr(value, a.name)) for a in attrs.fields(kind) if a.eq}
    raise TypeError(f"a {kind.__name__} cannot be recorded")


def _sorted(value: Json) -> Json:
    """The same value, mappings in canonical order, refusing what would not be written canonically."""
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return value
    if isinstance(value, int):
        if abs(value) > LARGEST:
            raise ValueError(f"{value} is too large a number to be recorded")
        return value
    if isinstance(value, Mapping):
        return {name: _sorted(value[name]) for name in sorted(value, key=_code_units)}
    if isinstance(value, bytes):
        raise TypeError("bytes cannot be recorded as JSON")
    return [_sorted(item) for item in value]


def _code_units(name: str) -> bytes:
    return name.encode("utf-16-be")
