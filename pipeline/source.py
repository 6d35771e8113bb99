"""Strict YAML: bytes -> plain data, and where every node stands.

YAML guesses: `NO` becomes false, `00501` becomes 321, `12:30` becomes 750, the last of two equal keys wins.
An order file must not be guessed at. So one pass over the parser's events builds the data by these rules:

* `true`, `false`, `null` and plain whole numbers are typed; everything else is text, and keys are always text.
  An unquoted word that other programs would read as something else stays text and gives a warning (W101).
* Anchors, aliases, tags, directives, merge keys, keys given twice, a second document, control characters and
  characters that turn the direction of writing are refused, and so is a file beyond the limits below.

The parser written in C is used where it is installed, the one in Python elsewhere. They never read different
data; in a few corners (a tab before a value, `?` or `:` inside brackets) only one of them refuses the text.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Any

import yaml
from attrs import field, frozen

from pipeline.problems import Origin, Outcome, Problem, Severity

MAX_BYTES = 1_048_576
MAX_DEPTH = 16
MAX_NODES = 50_000
MAX_SCALAR = 4_096
MAX_PROBLEMS = 100

PARSER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
"""Turns text into events; the pure one is `yaml.SafeLoader`."""

Path = tuple[str | int, ...]
"""The keys and indices from the top of the file down to a node: `("lines", 0, "garment")`."""

Spot = tuple[int, int, int]
"""Line and column, both counted from 1, and the length on that line."""

# The marks that make a text read other than it is written (Unicode's Bidi_Control; CVE-2021-42574).
_TURNING = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
# What may not stand in a file: those, C0 but for tab and line ends, DEL, C1, the two Unicode line ends that
# editors do not count, surrogates, a byte-order mark that is not the first character, the two non-characters.
_FORBIDDEN = re.compile(
    f"[{_TURNING}\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]"
)
_LINE_END = re.compile(r"\r\n|\r|\n")
_INTEGER = re.compile(r"0|-?[1-9][0-9]{0,17}")
_TYPED: dict[str, bool | None] = {"true": True, "false": False, "null": None, "": None}
# What a reader of YAML 1.1 or 1.2 may take for a truth value, nothing, or a number other than a plain one.
_AMBIGUOUS = re.compile(
    r"y|yes|n|no|on|off|true|false|null|~"
    r"|[-+]?[0-9][0-9_]*|[-+]?0(?:x[0-9a-f_]+|o[0-7_]+|b[01_]+)"
    r"|[-+]?[0-9][0-9_]*(?::[0-5]?[0-9])+(?:\.[0-9_]*)?"
    r"|[-+]?(?:[0-9][0-9_]*\.?[0-9]*|\.[0-9]+)e[-+]?[0-9]+|[-+]?\.[0-9]+|[-+]?[0-9]+\."
    r"|[-+][0-9]+\.[0-9]+|[-+]?\.inf|\.nan",
    re.IGNORECASE,
)


def lines_of(text: str) -> list[str]:
    """The lines of a file as the parser counts them: after LF, CR LF or CR and nothing else."""
    return _LINE_END.split(text)


@frozen(kw_only=True)
class Source:
    """A file that was read: its text, its data and the place of every node.

    `data` is made of dict, list, str, int, bool and None; it is None when the file could not be read to its end.
    `positions` maps a path to the spots of its key and of its value; an item of a list has no key, so both are
    the value's.
    """

    file: str
    text: str = field(repr=False)
    data: Any = field(repr=False)
    positions: Mapping[Path, tuple[Spot, Spot]] = field(repr=False)
    #: Where errors stand: what `data` has at and below these is not what was meant.
    unreadable: frozenset[Path] = frozenset()

    def is_unreadable(self, path: Path) -> bool:
        """True at and below a place where an error stands."""
        return bool(self.unreadable) and any(path[:length] in self.unreadable for length in range(len(path) + 1))

    def origin(self, path: Path, key: bool = False) -> Origin:
        """Where the value at `path` stands, or its key; for a path that is not there, where its parent stands."""
        while path and path not in self.positions:
            path = path[:-1]
            key = True
        line, column, length = self.positions.get(path, ((0, 0, 1), (0, 0, 1)))[0 if key else 1]
        return Origin(file=self.file, line=line, column=column, length=length)


def parse(content: bytes, file: str, parser: Any = PARSER) -> Outcome[Source]:
    """`content` as data and positions. `file` is the name that problems give.

    The value is never None: with an error its text serves to print the problem, and what its data has elsewhere
    can be checked.
    Problems: E102-E114 and W101.
    """
    text, problems = decode(content, file)
    if problems:
        return Outcome(value=Source(file=file, text=text, data=None, positions={}), problems=problems)
    reader = _Reader(file, text, parser)
    data = reader.document()
    source = Source(
        file=file, text=text, data=data, positions=reader.positions, unreadable=frozenset(reader.unreadable)
    )
    return Outcome(value=source, problems=reader.problems)


def decode(content: bytes, file: str, most: int = MAX_BYTES) -> tuple[str, tuple[Problem, ...]]:
    """The text of a file, without its byte-order mark, or why there is none (E102-E104)."""

    def problem(code: str, message: str, hint: str, before: str | None = None) -> Problem:
        if before is None:
            return Problem(code=code, message=message, hint=hint, origin=Origin(file=file))
        rows = lines_of(before)
        origin = Origin(file=file, line=len(rows), column=len(rows[-1]) + 1)
        return Problem(code=code, message=message, hint=hint, origin=origin)

    if len(content) > most:
        message = f"the file has {len(content):,} bytes; at most {most:,} are read"
        return "", (problem("E102", message, "split it into several files"),)
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "", (problem("E103", "the file is saved as UTF-16", "save it again as UTF-8"),)
    content = content.removeprefix(b"\xef\xbb\xbf")
    try:
        text = content.decode()
    except UnicodeDecodeError as error:
        before = content[: error.start].decode()
        message = f"byte 0x{content[error.start]:02X} is not UTF-8 text"
        hint = "save the file again as UTF-8 (in the editor: Save with encoding)"
        return content.decode(errors="replace"), (problem("E103", message, hint, before),)
    if found := _FORBIDDEN.search(text):
        message = f"{_name(found[0])} may not stand in a file"
        hint = "delete it; it cannot be seen in most editors"
        return text, (problem("E104", message, hint, text[: found.start()]),)
    return text, ()


def is_ambiguous(text: str) -> bool:
    """True for a text that other programs would read as something else, were it not quoted (W101)."""
    return bool(_AMBIGUOUS.fullmatch(text))


def hidden(text: str) -> str:
    """What a text holds that nobody sees, in words; "" when there is nothing."""
    found = _FORBIDDEN.search(text)
    return _name(found[0]) if found else ""


def _name(character: str) -> str:
    kind = "mark for the direction of writing" if character in _TURNING else "control character"
    return f"the {kind} U+{ord(character):04X}"


class _Stopped(Exception):
    """Reading cannot go on; the problem stands in the list."""


class _Reader:
    """One pass over the events of one file. Keeps what it finds wrong in `problems`."""

    def __init__(self, file: str, text: str, parser: Any) -> None:
        self.file = file
        self.text = text
        self.parser = parser
        self.problems: list[Problem] = []
        self.positions: dict[Path, tuple[Spot, Spot]] = {}
        self.unreadable: set[Path] = set()
        self.nodes = 0

    def document(self) -> Any:
        """The only document of the file; None when it cannot be read to its end."""
        self.events = self._events()
        try:
            next(self.events)
            start = next(self.events)
            if isinstance(start, yaml.StreamEndEvent):
                self._stop("E112", "the file is empty", "write an order or a part of the shop into it")
            if start.version or start.tags:
                self._report(start, "E107", "a line that starts with `%` is not read here", "delete the line")
            data = self._node(next(self.events), ())
            next(self.events)
            after = next(self.events)
            if not isinstance(after, yaml.StreamEndEvent):
                self._stop("E110", "a second document begins here", "put it into a file of its own", after)
        except _Stopped:
            return None
        return data

    def _events(self) -> Iterator[Any]:
        try:
            yield from yaml.parse(self.text, Loader=self.parser)
        except yaml.MarkedYAMLError as error:
            self._syntax(error)
        except (yaml.YAMLError, ValueError, OverflowError):
            # The pure parser lets chr() and int() complain about `"\U99999999"` or an endless version number.
            self._stop("E105", "an escape or a number in this file is not YAML", "write it as plain text")

    def _syntax(self, error: yaml.MarkedYAMLError) -> None:
        from pipeline.syntax import explain_syntax

        self.problems.append(explain_syntax(error, self.file, lines_of(self.text)))
        raise _Stopped from None

    def _node(self, event: Any, path: Path, key_spot: Spot | None = None) -> Any:
        spot = self._spot(event)
        self.positions[path] = (key_spot or spot, spot)
        told = len(self.problems)
        self._refuse(event, len(path))
        if len(self.problems) > told:
            self.unreadable.add(path)
        if isinstance(event, yaml.ScalarEvent):
            return self._scalar(event)
        if isinstance(event, yaml.SequenceStartEvent):
            items: list[Any] = []
            while not isinstance(child := next(self.events), yaml.SequenceEndEvent):
                items.append(self._node(child, (*path, len(items))))
            return items
        if isinstance(event, yaml.MappingStartEvent):
            return self._mapping(path)
        return None

    def _mapping(self, path: Path) -> dict[str, Any]:
        mapping: dict[str, Any] = {}
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            told = len(self.problems)
            key = self._key(event, len(path))
            spot = self._spot(event)
            place = (*path, key)
            if key in mapping:
                label = f"first on line {self.positions[place][0][0]}"
                self._report(event, "E109", f"`{key}` is given twice", "delete one of the two", label)
            if len(self.problems) > told:
                self.unreadable.add(place)
            if not mapping:
                # A mapping without braces begins at its first key: underline that word.
                own, value = self.positions[path]
                if value[:2] == spot[:2]:
                    self.positions[path] = (spot if own == value else own, spot)
            mapping[key] = self._node(next(self.events), place, spot)
        return mapping

    def _key(self, event: Any, depth: int) -> str:
        self._refuse(event, depth)
        if isinstance(event, yaml.AliasEvent):
            return str(event.anchor)
        if not isinstance(event, yaml.ScalarEvent):
            self._stop("E113", "a name before a colon must be plain text", "write `name: value`", event)
        if event.value == "<<" and not event.style:
            self._report(event, "E108", "`<<` would merge another mapping in", "write the values out")
        return str(event.value)

    def _scalar(self, event: Any) -> str | int | bool | None:
        value: str = event.value
        if event.style:
            return value
        if value in _TYPED:
            return _TYPED[value]
        if _INTEGER.fullmatch(value):
            return int(value)
        if _AMBIGUOUS.fullmatch(value):
            self._report(
                event,
                "W101",
                f"`{value}` without quotes is read as text here, but as something else by many programs",
                f'write "{value}"',
                severity=Severity.WARNING,
            )
        return value

    def _refuse(self, event: Any, depth: int) -> None:
        """What may stand nowhere, at a key or a value."""
        self.nodes += 1
        if self.nodes > MAX_NODES:
            message = f"the file has more than {MAX_NODES:,} values"
            self._stop("E111", message, "split it into several files", event)
        if isinstance(event, yaml.AliasEvent):
            self._report(event, "E106", f"`*{event.anchor}` repeats another value", "write the value out")
            return
        if event.anchor is not None:
            self._report(event, "E106", f"`&{event.anchor}` marks a value to repeat", f"delete `&{event.anchor}`")
        if event.tag is not None:
            tag = event.tag.replace("tag:yaml.org,2002:", "!!")
            self._report(event, "E107", f"the tag `{tag}` is not read here", "delete it; put text in quotes")
        if isinstance(event, yaml.ScalarEvent):
            self._refuse_text(event)
        elif depth >= MAX_DEPTH:
            self._stop("E111", f"values stand more than {MAX_DEPTH} deep", "write it flatter", event)

    def _refuse_text(self, event: Any) -> None:
        if len(event.value) > MAX_SCALAR:
            message = f"this text has {len(event.value):,} characters; at most {MAX_SCALAR:,} are read"
            self._report(event, "E111", message, "shorten it")
        if found := _FORBIDDEN.search(event.value):
            self._report(event, "E104", f"{_name(found[0])} may not stand in a text", "delete its escape")

    def _spot(self, event: Any) -> Spot:
        start, end = event.start_mark, event.end_mark
        length = end.column - start.column if start.line == end.line else 1
        return start.line + 1, start.column + 1, max(length, 1)

    def _report(
        self, event: Any, code: str, message: str, hint: str, label: str = "", severity: Severity = Severity.ERROR
    ) -> None:
        if len(self.problems) >= MAX_PROBLEMS:
            message = f"more than {MAX_PROBLEMS} things are wrong in this file"
            self._stop("E114", message, "mend these first", event)
        line, column, length = self._spot(event)
        origin = Origin(file=self.file, line=line, column=column, length=length)
        self.problems.append(
            Problem(code=code, message=message, hint=hint, label=label, origin=origin, severity=severity)
        )

    def _stop(self, code: str, message: str, hint: str, event: Any = None) -> None:
        line, column, length = (0, 0, 1) if event is None else self._spot(event)
        origin = Origin(file=self.file, line=line, column=column, length=length)
        self.problems.append(Problem(code=code, message=message, hint=hint, origin=origin))
        raise _Stopped
