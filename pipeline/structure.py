"""Checked data -> frozen values, each of which knows where it stands in its file.

cattrs builds the classes by their annotations; here stands only how our own kinds of value are written. The
schemas have checked the data before, so little can still fail: an amount with more decimals than its currency.
"""

from collections.abc import Callable, Iterator, Mapping
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

import attrs

from pipeline.model.measure import Length, Percent, Temperature, parse_length, parse_percent, parse_temperature
from pipeline.model.money import Money, minor_units
from pipeline.model.order import SizeCount, SizeScale
from pipeline.problems import FromFile, Origin, Outcome, Problem
from pipeline.shop import Fibre
from pipeline.source import Path as Place
from pipeline.source import Source

if TYPE_CHECKING:
    from cattrs import Converter

T = TypeVar("T", bound=FromFile)

BY_LIST = "by-list"
"""In place of an agreed price: by the shop's price rules."""

# Entries of a mapping that become a tuple of values: class -> its two fields, key and value.
_ENTRIES: dict[type[FromFile], tuple[str, str]] = {
    SizeCount: ("size", "count"),
    SizeScale: ("size", "percent"),
    Fibre: ("name", "percent"),
}
# What a field is called in a file where its name in the class would be clumsy there.
RENAMED = {"from_pieces": "from", "from_sheets": "from", "from_length": "from"}


class Group(dict[str, Any]):
    """A mapping of a file together with its place."""

    def __init__(self, entries: Mapping[str, Any], source: Source, place: Place) -> None:
        super().__init__(entries)
        self.source = source
        self.place = place

    def marks(self) -> dict[str, Origin]:
        """Where each field's value stands, and each entry of a mapping (`pieces.XL`) or list (`platens.0`)."""
        origin, marks = self.source.origin, {}
        for key, value in self.items():
            place = (*self.place, key)
            marks[key] = origin(place)
            if isinstance(value, dict):
                marks |= {f"{key}.{name}": origin((*place, name)) for name in value}
            elif isinstance(value, list):
                marks |= {f"{key}.{index}": origin((*place, index)) for index in range(len(value))}
        return marks


@attrs.frozen(kw_only=True)
class Built(Outcome[T]):
    """An outcome, and the places of the values that could not be built."""

    wrong: frozenset[Place] = frozenset()


def structure(source: Source, of: type[T], currency: str, **more: Any) -> Built[T]:
    """The value of class `of` that the whole of `source` describes; `more` are fields that stand in no file.

    `currency` says how many decimals amounts have. Problems: E206 at an amount with too many.
    """
    from cattrs import BaseValidationError

    group = Group({**_grouped(source.data, source, ()), **more}, source, ())
    try:
        return Built(value=_converter(currency).structure(group, of))
    except BaseValidationError as error:
        faults = dict(_faults(error, ()))
        return Built(
            value=None,
            problems=(
                Problem(code="E206", message=message, hint="round it", origin=source.origin(place))
                for place, message in faults.items()
            ),
            wrong=frozenset(faults),
        )


def _grouped(data: Any, source: Source, place: Place) -> Any:
    if isinstance(data, dict):
        return Group({key: _grouped(value, source, (*place, key)) for key, value in data.items()}, source, place)
    if isinstance(data, list):
        return [_grouped(value, source, (*place, index)) for index, value in enumerate(data)]
    return data


def _faults(error: BaseException, place: Place) -> Iterator[tuple[Place, str]]:
    """Place and message of each value that could not be built."""
    from cattrs import AttributeValidationNote, BaseValidationError, IterableValidationNote

    if not isinstance(error, BaseValidationError):
        if not isinstance(error, ValueError):
            raise error
        yield place, str(error)
        return
    for inner in error.exceptions:
        step: Place = ()
        for note in getattr(inner, "__notes__", ()):
            if isinstance(note, AttributeValidationNote):
                step = (RENAMED.get(note.name, note.name),)
            elif isinstance(note, IterableValidationNote):
                step = (note.index,)
        yield from _faults(inner, (*place, *step))


@cache
def _converter(currency: str) -> "Converter":
    from cattrs import Converter

    def price(value: int | str) -> Fraction:
        return minor_units(Decimal(value), currency)

    def money(value: int | str) -> Money:
        exact = price(value)
        if exact.denominator != 1:
            raise ValueError(f"`{value}` has more decimals than {currency} has")
        return Money(exact.numerator)

    converter = Converter()
    hooks: dict[Any, Callable[[Any], Any]] = {
        str: str,
        Length: _length,
        Temperature: parse_temperature,
        Percent: parse_percent,
        Money: money,
        Fraction: price,
        Fraction | None: lambda value: None if value in (None, BY_LIST) else price(value),
        date: date.fromisoformat,
        datetime: datetime.fromisoformat,
        time: time.fromisoformat,
        timedelta: lambda value: timedelta(seconds=value),
        Path: lambda value: value,
        Origin: lambda value: value,
        Mapping[str, Origin]: lambda value: value,
        **{tuple[of, ...]: _entries(of, converter) for of in _ENTRIES},  # type: ignore[valid-type]
    }
    for kind, hook in hooks.items():
        converter.register_structure_hook_func(_is(kind), _without_type(hook))
    converter.register_structure_hook_factory(_is_from_file, lambda of: _from_file(of, converter))
    return converter


def _is(kind: Any) -> Callable[[Any], bool]:
    return lambda of: bool(of == kind)


def _without_type(hook: Callable[[Any], Any]) -> Callable[[Any, Any], Any]:
    return lambda value, _: hook(value)


def _is_from_file(of: Any) -> bool:
    return isinstance(of, type) and issubclass(of, FromFile)


def _from_file(of: type[T], converter: "Converter") -> Callable[[Any, Any], T]:
    from cattrs.gen import make_dict_structure_fn, override

    renamed: dict[str, Any] = {n: override(rename=RENAMED[n]) for n in attrs.fields_dict(of) if n in RENAMED}
    build = make_dict_structure_fn(of, converter, **renamed)

    def hook(value: Any, _: Any) -> T:
        if isinstance(value, of):
            return value
        group = cast("Group", value)
        return build({**group, "origin": group.source.origin(group.place), "marks": group.marks()}, of)

    return hook


def _entries(of: type[FromFile], converter: "Converter") -> Callable[[Any], tuple[FromFile, ...]]:
    """The hook for a mapping whose entries become values: `{S: 4, M: 10}` -> two SizeCounts, each at its key."""
    name, amount = _ENTRIES[of]
    kind = attrs.fields_dict(of)[amount].type

    def hook(group: Group) -> tuple[FromFile, ...]:
        return tuple(
            of(
                **{name: key, amount: converter.structure(value, cast("Any", kind))},
                origin=group.source.origin((*group.place, key), key=True),
            )
            for key, value in group.items()
        )

    return hook


def _length(text: str) -> Length:
    return Length(-parse_length(text[1:])) if text.startswith("-") else parse_length(text)
