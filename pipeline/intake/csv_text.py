"""The fields of a CSV text and where each of them stands; the quoting is that of RFC 4180.

The standard library's reader reads the same fields, but does not tell where they begin. A test compares the two.
"""

from collections.abc import Iterator

from attrs import frozen


@frozen
class Field:
    """A field's text, the line and column (from 1) at which it begins, and its length on that line."""

    text: str
    line: int
    column: int
    length: int


class Unclosed(ValueError):
    """A quotation mark that is never closed, or text after one that is. `line` and `column` count from 1."""

    def __init__(self, words: str, line: int, column: int) -> None:
        super().__init__(words)
        self.line = line
        self.column = column


def records(text: str, delimiter: str) -> Iterator[tuple[Field, ...]]:
    """The records of `text`, empty lines left out. Raises Unclosed."""
    at, line, line_start = 0, 1, 0
    fields: list[Field] = []
    while at < len(text):
        begin, begin_line, column = at, line, at - line_start + 1
        if text[at] == '"':
            value, at = _quoted(text, at, line, column)
            inside = text[begin:at]
            if (ends := _ends(inside)) and (last := ends[-1]):
                line, line_start = line + len(ends), begin + last
            length = len(inside) if line == begin_line else len(inside.splitlines()[0])
            if at < len(text) and text[at] not in (delimiter, "\r", "\n"):
                raise Unclosed("text follows a closing quotation mark", line, at - line_start + 1)
        else:
            while at < len(text) and text[at] not in (delimiter, "\r", "\n"):
                at += 1
            value, length = text[begin:at], at - begin
        fields.append(Field(value, begin_line, column, max(length, 1)))
        if at < len(text) and text[at] == delimiter:
            at += 1
            if at == len(text) or text[at] in "\r\n":  # the last field is empty
                fields.append(Field("", line, at - line_start + 1, 1))
            if at < len(text) and text[at] not in "\r\n":
                continue
        if at < len(text):
            at += 2 if text[at : at + 2] == "\r\n" else 1
            line, line_start = line + 1, at
        if any(field.text for field in fields):
            yield tuple(fields)
        fields = []


def _quoted(text: str, at: int, line: int, column: int) -> tuple[str, int]:
    """The text of the quoted field that begins at `at`, and where what follows it begins."""
    parts = []
    begin = at + 1
    while True:
        end = text.find('"', begin)
        if end < 0:
            raise Unclosed("a quotation mark opens here and is never closed", line, column)
        parts.append(text[begin:end])
        if text[end + 1 : end + 2] != '"':
            return "".join(parts), end + 1
        parts.append('"')
        begin = end + 2


def _ends(text: str) -> list[int]:
    """Where the lines of a text begin, but for the first."""
    starts, at = [], 0
    while at < len(text):
        if text[at] in "\r\n":
            at += 2 if text[at : at + 2] == "\r\n" else 1
            starts.append(at)
        else:
            at += 1
    return starts
