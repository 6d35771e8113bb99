"""A file's bytes -> values, and all that is wrong with it in one round, whatever else is wrong."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any, Generic, TypeVar

from attrs import evolve, field, frozen

from pipeline.problems import FromFile, Origin, Outcome, Problem, has_errors
from pipeline.schema import Examples, check, no_examples
from pipeline.source import Path, Source, parse
from pipeline.stand_ins import filled, with_stand_ins
from pipeline.structure import Built, structure

T = TypeVar("T")
U = TypeVar("U")
F = TypeVar("F", bound=FromFile)
P = TypeVar("P", bound=Iterable[Problem])


MANY = 50
"""Problems of one file after which no more are looked for: that takes long, and there is enough to mend."""


@frozen(kw_only=True)
class Readings(Generic[T]):
    """A file with faults, read twice: at each fault with the least and with the most that could be meant."""

    least: T
    most: T
    #: Where the faults stand: nothing can be said of these places.
    faults: frozenset[Origin] = frozenset()

    def map(self, do: Callable[[T], U]) -> "Readings[U]":
        """What comes of both."""
        least = do(self.least)
        return Readings(least=least, most=least if self.most is self.least else do(self.most), faults=self.faults)


def said_of_both(said: Readings[P]) -> tuple[Problem, ...]:
    """The problems of both readings: they are there whatever was meant."""
    least = tuple(said.least)
    of_most = set(least if said.most is said.least else said.most)
    return tuple(p for p in least if p in of_most and p.origin not in said.faults)


@frozen(kw_only=True)
class Loaded(Outcome[T]):
    """An outcome, and the text of every file that was read for it, to print its problems with."""

    sources: Mapping[str, str] = field(factory=dict)
    #: What further checks look at, though there be no value.
    readings: Readings[T] | None = None

    def held_against(self, rule: Callable[[T], Iterable[Problem]]) -> tuple[Problem, ...]:
        """The problems, and those that `rule` finds in what could be read."""
        return (
            self.problems if self.readings is None else (*self.problems, *said_of_both(self.readings.map(rule)))
        )


def checked(
    content: bytes, file: str, schema: str, examples: Examples = no_examples
) -> tuple[Source, tuple[Problem, ...]]:
    """A file's text and data, and what is wrong with them by themselves. `examples` are for hints."""
    outcome = parse(content, file)
    source = outcome.value
    if source is None:
        raise AssertionError("the reader always gives a source")
    if outcome.ok:
        faults = check(source, schema, examples)
    elif source.data is None or len(outcome.problems) > MANY:
        return source, outcome.problems
    else:
        least, most = (check(filled(source, schema, most), schema, examples) for most in (False, True))
        faults = said_of_both(Readings(least=least, most=most))
    # A word that is wrong anyway need not also be told about its quotes.
    wrong = {problem.origin for problem in faults}
    return source, (*(p for p in outcome.problems if p.origin not in wrong), *faults)


NOTHING: Readings[Mapping[str, Any]] = Readings(least={}, most={})


def build(
    source: Source,
    problems: Iterable[Problem],
    schema: str,
    of: type[F],
    currency: str,
    more: Readings[Mapping[str, Any]] = NOTHING,
) -> Loaded[F]:
    """The value of class `of` in a file that was `checked`; `more` are fields that stand in no file.

    When `problems` has errors there is no value, but readings: what could be read, and stand-ins for the rest.
    """
    problems, sources = tuple(problems), {source.file: source.text}
    if not has_errors(problems):
        whole = structure(source, of, currency, **more.least)
        if whole.value is not None:
            once = Readings(least=whole.value, most=whole.value)
            return Loaded(value=whole.value, problems=problems, sources=sources, readings=once)
    if len(problems) > MANY:
        return Loaded(value=None, problems=problems, sources=sources)
    least = _reading(source, schema, of, currency, more.least, most=False)
    most = _reading(source, schema, of, currency, more.most, most=True)
    problems += said_of_both(Readings(least=least.problems, most=most.problems))
    if least.value is None or most.value is None:
        return Loaded(value=None, problems=problems, sources=sources)
    places = least.wrong | most.wrong
    faults = _origins(source, places) | more.faults
    twice = Readings(least=least.value, most=most.value, faults=faults)
    return Loaded(value=None, problems=problems, sources=sources, readings=twice)


def readings(source: Source, schema: str) -> Readings[Source] | None:
    """Both readings of a file that was `checked` and has faults; None when nothing of it can be read."""
    least, most = (with_stand_ins(source, schema, most) for most in (False, True))
    if source.data is None or least.data is None or most.data is None:
        return None
    return Readings(least=least, most=most, faults=_origins(source, least.unreadable | most.unreadable))


def _origins(source: Source, places: Iterable[Path]) -> frozenset[Origin]:
    return frozenset(source.origin(place, key) for place in places for key in (False, True))


def _reading(
    source: Source, schema: str, of: type[F], currency: str, more: Mapping[str, Any], most: bool
) -> Built[F]:
    """One reading: its value, amounts that cannot be, and every place where something stands in."""
    problems: tuple[Problem, ...] = ()
    while (source := with_stand_ins(source, schema, most)).data is not None:
        built = structure(source, of, currency, **more)
        problems += built.problems
        if built.value is not None or built.wrong <= source.unreadable:
            return evolve(built, problems=problems, wrong=source.unreadable)
        source = evolve(source, unreadable=source.unreadable | built.wrong)
    return Built(value=None, problems=problems)
