"""How problems are printed for people, and as data for programs. Pure functions: text in, text out.

    error[E203]: unknown placement `left-chst`
      --> inbox/monday.yaml:13:20
       |
    13 |         placement: left-chst
       |                    ^^^^^^^^^ expected one of: front, back, left-chest
       = help: did you mean `left-chest`?

Whatever comes from a file is shown with its control characters escaped, so that a file cannot move the
cursor, change colours or hide text in a terminal or a log.
"""

import unicodedata
from collections.abc import Iterable, Mapping

from pipeline.problems import Problem, in_order
from pipeline.source import lines_of

WIDTH = 100
"""The most columns of a source line that are shown; a longer line is cut around the caret."""

TAB = "    "
_BOLD, _RED, _YELLOW, _BLUE, _PLAIN = "\033[1m", "\033[1;31m", "\033[1;33m", "\033[1;34m", "\033[0m"


def render(problems: Iterable[Problem], sources: Mapping[str, str], colour: bool = False) -> str:
    """All `problems` in order, a blank line between two, each with its line of `sources` (file -> text).

    A problem whose file is not among `sources` is printed without the line. `colour` asks for ANSI codes.
    The text ends with a line end; it is empty without problems.
    """
    lines = {file: lines_of(text) for file, text in sources.items()}
    blocks = ["\n".join(_block(problem, lines, colour)) + "\n" for problem in in_order(problems)]
    return "\n".join(blocks)


def as_json(problems: Iterable[Problem]) -> list[dict[str, str | int]]:
    """All `problems` in order as plain data. `line` is 0 for a file as a whole; `file` and `job` may be ""."""
    return [
        {
            "code": problem.code,
            "severity": str(problem.severity),
            "message": problem.message,
            "label": problem.label,
            "hint": problem.hint,
            "file": problem.origin.file,
            "line": problem.origin.line,
            "column": problem.origin.column,
            "length": problem.origin.length,
            "job": problem.job,
        }
        for problem in in_order(problems)
    ]


def printable(text: str) -> str:
    """`text` on one line with nothing invisible in it: control and format characters become escapes."""
    return "".join(map(_shown, text))


def _shown(character: str) -> str:
    if character == "\t":
        return TAB
    if unicodedata.category(character) in ("Cc", "Cf", "Cs", "Cn", "Co", "Zl", "Zp"):
        return ascii(character)[1:-1]
    return character


def _columns(text: str) -> int:
    """How many terminal columns a printable text takes: two for wide characters, none for combining ones."""
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in ("W", "F") else 1 for c in text
    )


def _block(problem: Problem, lines: Mapping[str, list[str]], colour: bool) -> list[str]:
    def paint(ansi: str, text: str) -> str:
        return f"{ansi}{text}{_PLAIN}" if colour and text else text

    origin, tone = problem.origin, _RED if problem.is_error else _YELLOW
    rows = lines.get(origin.file, [])
    source = rows[origin.line - 1] if 0 < origin.line <= len(rows) else None
    margin = " " * len(str(origin.line)) if source is not None else " "
    head = paint(tone, f"{problem.severity}[{problem.code}]")
    block = [f"{head}: {paint(_BOLD, printable(problem.message))}"]
    if origin.file:
        place = f":{origin.line}:{origin.column}" if origin.line else ""
        block.append(f"{margin}{paint(_BLUE, '-->')} {printable(origin.file)}{place}")
    if source is not None:
        shown, before, carets = _cut(source, origin.column - 1, origin.length)
        bar = paint(_BLUE, "|")
        under = paint(tone, f"{'^' * carets} {printable(problem.label)}".rstrip())
        block += [f"{margin} {bar}", f"{paint(_BLUE, str(origin.line))} {bar} {shown}".rstrip()]
        block.append(f"{margin} {bar} {' ' * before}{under}")
    elif problem.label:
        block.append(f"{margin} {paint(_BLUE, '=')} note: {printable(problem.label)}")
    if problem.job:
        block.append(f"{margin} {paint(_BLUE, '=')} order: {printable(problem.job)}")
    if problem.hint:
        block.append(f"{margin} {paint(_BLUE, '=')} help: {printable(problem.hint)}")
    return block


def _cut(line: str, start: int, length: int) -> tuple[str, int, int]:
    """The part of `line` to show, how many columns stand before the caret, and how many carets there are.

    `start` counts characters from 0. Of a line wider than WIDTH only what stands around `start` is shown.
    """
    cells = [_shown(character) for character in line]
    widths = [_columns(cell) for cell in cells]
    start = min(start, len(cells))
    end = min(start + max(length, 1), len(cells))
    first, last = 0, len(cells)
    if sum(widths) > WIDTH:
        first = _reach(widths, start, -1, WIDTH // 3)
        last = _reach(widths, first, 1, WIDTH)
        end = min(end, last)
    left, right = ("…" if first else ""), ("…" if last < len(cells) else "")
    before = len(left) + sum(widths[first:start])
    return f"{left}{''.join(cells[first:last])}{right}", before, max(sum(widths[start:end]), 1)


def _reach(widths: list[int], at: int, step: int, columns: int) -> int:
    """The index that is reached from `at` by steps of one character within `columns`."""
    while 0 <= at + min(step, 0) < len(widths) and columns >= widths[at + min(step, 0)]:
        columns -= widths[at + min(step, 0)]
        at += step
    return at
