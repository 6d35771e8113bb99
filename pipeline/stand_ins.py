"""Values in place of those that cannot be read, so that the rest of a file is checked in the same round.

A file with faults is read twice: at each fault once with the least that could be meant there and once with the most
(the schemas' own keyword `x-extremes`, else their limits). What is said of both readings holds whatever was meant.
"""

from collections.abc import Mapping
from copy import deepcopy
from typing import TYPE_CHECKING, Any, cast

from attrs import evolve

from pipeline.problems import nearest
from pipeline.schema import Schema, validator
from pipeline.source import Path, Source

if TYPE_CHECKING:
    from jsonschema.exceptions import ValidationError
    from jsonschema.protocols import Validator

NAMES = ("0", "zz")
"""What stands in for a name: the first and the last of all."""
# A group that stands in may itself want more: a print its width, for want of a height.
_ROUNDS = 8


def with_stand_ins(source: Source, name: str, most: bool) -> Source:
    """`source` as the schema `name` wants it: the least, or the `most`, wherever it is unreadable or breaks a rule.

    `unreadable` of the result has all these places. Its data is None when no such reading was found.
    """
    by = validator(name)
    mender = _Mender(by, filled(source, name, most))
    for _ in range(_ROUNDS):
        errors = sorted(by.iter_errors(mender.data), key=lambda error: len(error.absolute_path))
        if not errors:
            return evolve(source, data=mender.data, unreadable=frozenset(mender.places))
        for error in errors:
            mender.mend(error, most)
    return evolve(source, data=None)


def filled(source: Source, name: str, most: bool) -> Source:
    """`source` with stand-ins where it is unreadable only; all of it is when it could not be read to its end."""
    mender = _Mender(validator(name), source)
    for place in sorted(source.unreadable, key=len):
        mender.put(place, most)
    if mender.data is None:
        mender.put((), most)
    return evolve(source, data=mender.data, unreadable=frozenset(mender.places))


def stand_in(rule: Schema, most: bool) -> Any:
    """The least or the most that may stand where the schema has `rule`. Two names differ and are first and last."""
    if "x-extremes" in rule:
        return rule["x-extremes"][most]
    if "enum" in rule:
        return rule["enum"][-1 if most else 0]
    kinds = rule.get("type", "string")
    kind = kinds if isinstance(kinds, str) else kinds[-1] if "number" in kinds else kinds[0]
    if kind == "object":
        return _group(rule, most)
    if kind == "array":
        return [stand_in(rule["items"], most)] if most or rule.get("minItems") else []
    if kind == "boolean":
        return most
    if kind == "integer":
        return rule["maximum" if most else "minimum"]
    return NAMES[most]


def _group(rule: Schema, most: bool) -> dict[str, Any]:
    known = rule.get("properties", {})
    group = {key: stand_in(known[key], most) for key in rule.get("required", ())}
    entry = rule.get("additionalProperties")
    if not group and rule.get("minProperties") and entry:
        group[stand_in(rule.get("propertyNames", {}), most)] = stand_in(entry, most)
    return group


class _Mender:
    """The data of a file while stand-ins are put into it; `places` are where they stand."""

    def __init__(self, by: "Validator", source: Source) -> None:
        self.schema = cast("Schema", by.schema)
        self.data: Any = deepcopy(source.data)
        self.places: set[Path] = set(source.unreadable)

    def put(self, place: Path, most: bool) -> None:
        """A stand-in at `place`. An unknown key goes; what was likely meant by it is there, or not."""
        self.places.add(place)
        if not place:
            self.data = stand_in(self.schema, most)
            return
        around, key = self._value(place[:-1]), place[-1]
        if around is None:
            return  # what was around it has been replaced
        if rule := self._rule(place):
            around[key] = stand_in(rule, most)
        elif isinstance(around, dict):
            around.pop(key, None)
            known = (self._rule(place[:-1]) or {}).get("properties", {})
            free = [name for name in known if name not in around]
            # A merge may bring anything in.
            meant = free if key == "<<" else filter(None, [nearest(str(key), free)])
            for name in meant:
                self.places.add((*place[:-1], name))
                if most:
                    around[name] = stand_in(known[name], most)

    def mend(self, error: "ValidationError", most: bool) -> None:
        """Put right what the validator found wrong."""
        place: Path = tuple(error.absolute_path)
        rule, value = cast("Schema", error.schema), cast("Any", error.instance)
        if "propertyNames" in error.absolute_schema_path:
            self._rename(place, str(value), most)
        elif error.validator == "additionalProperties":
            known = rule.get("properties", {})
            for key in [key for key in value if key not in known]:
                self.put((*place, key), most)
        elif error.validator == "required":
            self._complete(place, rule.get("required", ()), most)
        elif error.validator == "dependentRequired":
            wanted = [key for given, keys in rule["dependentRequired"].items() if given in value for key in keys]
            self._complete(place, wanted, most)
        elif error.validator == "not" and isinstance(around := self._value(place[:-1]), dict):
            self.places.add(place)
            around.pop(place[-1], None)
        else:
            self.put(place, most)

    def _rename(self, place: Path, key: str, most: bool) -> None:
        """An entry under a name that cannot be: left out, or under another."""
        names = (self._rule(place) or {}).get("propertyNames", {})
        group = self._value(place)
        if isinstance(group, dict) and key in group:
            self.places.add((*place, key))
            entry = group.pop(key)
            if most:
                group[stand_in(names, most)] = entry

    def _complete(self, place: Path, keys: Any, most: bool) -> None:
        group = self._value(place)
        for key in keys:
            if isinstance(group, dict) and key not in group:
                self.put((*place, key), most)

    def _value(self, place: Path) -> Any:
        value = self.data
        for step in place:
            if isinstance(value, list) and isinstance(step, int) and step < len(value):
                value = value[step]
            elif isinstance(value, dict) and step in value:
                value = value[str(step)]
            else:
                return None
        return value

    def _rule(self, place: Path) -> Schema | None:
        """What the schema says of the value at `place`; None where it knows none."""
        rule: Any = self.schema
        for step in place:
            within = rule.get("items") if isinstance(step, int) else rule.get("properties", {}).get(step)
            rule = within or rule.get("additionalProperties")
            if not isinstance(rule, Mapping):
                return None
        return cast("Schema", rule)
