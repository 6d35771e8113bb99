"""One slip in a good order: what people type wrong, made at every place where it can be made."""

import re
from collections.abc import Callable, Iterator

from attrs import frozen

_LINE = re.compile(r"(?P<lead>\s*(?:- )?)(?P<key>[a-z_]+): (?P<value>[^#\n]+?)(?P<tail>\s*(?:#.*)?)$")
_TEXTS = (
    "job",
    "customer",
    "garment",
    "colour",
    "placement",
    "artwork",
    "due",
    "delivery",
    "width",
    "height",
    "price",
)


@frozen
class Slip:
    """What was done, and what stands in place of which line (from 1) now."""

    kind: str
    key: str
    line: int
    instead: str

    @property
    def at(self) -> int:
        """The line at fault: of the same key twice it is the second."""
        return self.line + self.more

    @property
    def more(self) -> int:
        """By how many lines the order is longer."""
        return self.instead.count("\n")


def made(text: str, *slips: Slip) -> str:
    """The order with these slips, each in a line of its own."""
    lines = text.splitlines()
    for slip in slips:
        lines[slip.line - 1] = slip.instead
    return "\n".join(lines) + "\n"


def slips(text: str) -> Iterator[Slip]:
    """Every single slip in this order."""
    for number, line in enumerate(text.splitlines(), start=1):
        match = _LINE.fullmatch(line)
        if match is None or line.lstrip().startswith("#"):
            continue
        for kind, spoil in SLIPS.items():
            spoilt = spoil(match)
            if spoilt is not None:
                yield Slip(kind, match["key"], number, spoilt)


def _with(match: re.Match[str], key: str | None = None, value: str | None = None) -> str:
    return f"{match['lead']}{key or match['key']}: {match['value'] if value is None else value}"


def _of(*keys: str, value: str) -> Callable[[re.Match[str]], str | None]:
    return lambda match: _with(match, value=value) if match["key"] in keys else None


def _misspelt(match: re.Match[str]) -> str:
    return _with(match, key=f"{match['key'][:-1]}{match['key'][-1]}x")


def _twice(match: re.Match[str]) -> str:
    indent = " " * len(match["lead"])
    return f"{match[0]}\n{indent}{match['key']}: {match['value']}"


def _unknown(match: re.Match[str]) -> str | None:
    named = match["key"] in ("customer", "garment", "colour", "placement", "delivery")
    return _with(match, value=f"{match['value']}-zz") if named else None


def _always(value: str) -> Callable[[re.Match[str]], str | None]:
    return lambda match: _with(match, value=value) if match["key"] in _TEXTS else None


SLIPS: dict[str, Callable[[re.Match[str]], str | None]] = {
    "a key misspelt": _misspelt,
    "a key twice": _twice,
    "a list for a text": _always("[1, 2]"),
    "a mapping for a text": _always("{a: b}"),
    "nothing": _always(""),
    "a tag": _always("!!python/object:os.system x"),
    "an anchor": _always("&a x"),
    "an alias": _always("*a"),
    "an unknown name": _unknown,
    "a day that is none": _of("due", value="2026-02-30"),
    "a day in another form": _of("due", value="30/11/2026"),
    "a unit that is none": _of("width", "height", value="3 furlongs"),
    "no unit": _of("width", "height", value="3"),
    "below zero": _of("width", "height", value="-3in"),
    "pieces below zero": _of("pieces", value="{M: -3}"),
    "pieces in words": _of("pieces", value="{M: many}"),
    "pieces past counting": _of("pieces", value="{M: 99999999999}"),
    "a size that is none": _of("pieces", value="{M8: 3}"),
    "out of the folder": _of("artwork", value="../../secret.svg"),
    "from the root": _of("artwork", value="/etc/hostname"),
    "no such picture": _of("artwork", value="art/none.svg"),
    "a control character": _of("artwork", value='"art/\\u0007.svg"'),
    "a tab": lambda match: f"\t{match[0].lstrip()}" if match["lead"] else None,
}
