"""What is wrong, where it stands and what to write instead.

A user's mistake is a value that piles up and is printed with all the others; only a bug raises.
Nothing else in the project is imported here: every other module may use it.
"""

import difflib
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from enum import StrEnum
from typing import Generic, TypeVar

from attrs import field, frozen

T = TypeVar("T")


@frozen(kw_only=True, order=True)
class Origin:
    """Where a value stands in a file. `line` and `column` count from 1; 0 means the file as a whole."""

    file: str
    line: int = 0
    column: int = 0
    #: How many characters the value takes on its line; the caret underlines them.
    length: int = 1


NOWHERE = Origin(file="")
"""The origin of a value that came from no file (a test, a plugin)."""


@frozen(kw_only=True)
class FromFile:
    """Base of every value that a person wrote: it remembers where it and each of its fields stand."""

    origin: Origin = field(default=NOWHERE, eq=False, repr=False)
    #: Field name (as in the file; `pieces.XL` for an entry of a mapping) -> where its value stands.
    marks: Mapping[str, Origin] = field(factory=dict, eq=False, repr=False)

    def at(self, name: str) -> Origin:
        """Where the value of the field `name` stands; the whole value's origin when it was not written."""
        return self.marks.get(name, self.origin)


class Severity(StrEnum):
    """How a problem acts: an error holds the order, a warning is printed and the order goes on."""

    ERROR = "error"
    WARNING = "warning"


@frozen(kw_only=True)
class Problem:
    """One thing that a person should know or mend.

    `code` is stable (`peelwright explain CODE` tells more); `message` says what is wrong in one sentence;
    `label` stands beside the caret; `hint` says what to write instead; `job` is the order that it holds, or
    "" when it concerns the shop or the whole run.
    """

    code: str
    message: str
    severity: Severity = Severity.ERROR
    hint: str = ""
    label: str = ""
    origin: Origin = NOWHERE
    job: str = ""

    @property
    def is_error(self) -> bool:
        """True when the problem holds its order."""
        return self.severity is Severity.ERROR

    def __str__(self) -> str:
        """`file:line:column: error[E203]: message`, one line, for logs and tests."""
        where = f"{self.origin.file}:{self.origin.line}:{self.origin.column}: " if self.origin.file else ""
        return f"{where}{self.severity}[{self.code}]: {self.message}"


def _as_tuple(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    return tuple(problems)


@frozen(kw_only=True)
class Outcome(Generic[T]):
    """A value and what was found wrong on the way to it. With an error among them, `value` may be None."""

    value: T | None
    problems: tuple[Problem, ...] = field(default=(), converter=_as_tuple)

    @property
    def ok(self) -> bool:
        """True when nothing found is an error."""
        return not has_errors(self.problems)


class StopRun(Exception):
    """The run cannot go on, and the user can mend it.

    Carries every problem known by then, and the texts of the files (by name) in which they stand.
    """

    def __init__(self, problems: Iterable[Problem], sources: Mapping[str, str] | None = None) -> None:
        self.problems = in_order(problems)
        self.sources = dict(sources or {})
        super().__init__("; ".join(str(problem) for problem in self.problems))


@contextmanager
def showing(sources: Mapping[str, str]) -> Iterator[None]:
    """Whatever stops the run in here can show its lines of `sources` (file name -> text)."""
    try:
        yield
    except StopRun as stop:
        raise StopRun(stop.problems, {**sources, **stop.sources}) from stop


def has_errors(problems: Iterable[Problem]) -> bool:
    """True when at least one of `problems` is an error."""
    return any(problem.is_error for problem in problems)


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Sorted by file, line and column, then errors before warnings, then code; each said once."""
    unique = dict.fromkeys(problems)
    return tuple(
        sorted(unique, key=lambda p: (p.origin, p.severity is Severity.WARNING, p.code, p.message, p.job))
    )


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """The hint for a name that is not known: the nearest one that is, or "" when none is near."""
    near = nearest(name, known)
    return f"did you mean `{near}`?" if near else ""


def nearest(name: str, known: Iterable[str]) -> str:
    """The known name that is nearest to `name`, or "" when none is near.

    Capitals, spaces and underscores count little: `Left Chest` is near `left-chest`. The answer does not
    depend on the order of `known`.
    """
    plain = {_plain(candidate): candidate for candidate in sorted(known, reverse=True)}
    # Nobody misspells a name of a hundred letters, and comparing long texts takes long.
    near = difflib.get_close_matches(_plain(name)[:100], plain, n=1, cutoff=0.6)
    return plain[near[0]] if near else ""


def _plain(name: str) -> str:
    return name.casefold().replace("_", "-").replace(" ", "-")


def expected_one_of(known: Iterable[str], most: int = 8) -> str:
    """The label for a name that is not known: the names that are, sorted; of many, the first `most`."""
    names = sorted(known)
    if not names:
        return "none is known"
    more = f", and {len(names) - most} more" if len(names) > most else ""
    return f"expected one of: {', '.join(names[:most])}{more}"
