"""A table's cells: from CSV (UTF-8; comma, semicolon or tab) or from a sheet of an XLSX workbook."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from io import BytesIO
from pathlib import Path
from typing import Any

from attrs import field, frozen

from pipeline.intake.csv_text import Unclosed, records
from pipeline.problems import Origin, Problem, did_you_mean, expected_one_of
from pipeline.readings import Loaded
from pipeline.source import decode, hidden

MAX_TABLE = 16 * 1_048_576
"""Bytes of a table."""
MAX_ROWS = 50_000
DELIMITERS = (",", ";", "\t")
WORKBOOK = ".xlsx"
SUFFIXES = (".csv", ".tsv", ".txt", WORKBOOK)


@frozen(kw_only=True)
class Cell:
    """A cell's text, without the blanks around it, and where it stands."""

    text: str
    origin: Origin


@frozen(kw_only=True)
class Table:
    """The columns by their names, and the rows below them; a row has a cell in every column."""

    file: str
    columns: Mapping[str, Cell]
    rows: tuple[Mapping[str, Cell], ...] = field(repr=False)


def read_table(path: Path, name: str, sheet: str = "") -> Loaded[Table]:
    """The table at `path`, which messages call `name`. Problems: E101-E104, E115, E116.

    In a workbook a line is a row, and a column a column.
    """
    try:
        content = path.read_bytes() if path.is_file() else None
    except OSError as error:
        return _failed("E101", f"the file cannot be read: {error.strerror}", "look at its permissions", name)
    if content is None:
        return _failed("E101", "there is no such file", "look for it under another name", name)
    if path.suffix.lower() not in SUFFIXES:
        return _failed("E115", f"`{path.suffix}` is no kind of table read here", "save it as .csv or .xlsx", name)
    if len(content) > MAX_TABLE:
        message = f"the table has {len(content):,} bytes; at most {MAX_TABLE:,} are read"
        return _failed("E102", message, "split it into several", name)
    return _workbook(content, name, sheet) if path.suffix.lower() == WORKBOOK else _csv(content, name)


def _csv(content: bytes, name: str) -> Loaded[Table]:
    text, problems = decode(content, name, MAX_TABLE)
    if problems:
        return Loaded(value=None, problems=problems, sources={name: text})
    # The header decides: a delimiter that parts it into most columns.
    head = text.lstrip("\r\n").splitlines()[:1]
    delimiter = max(DELIMITERS, key=lambda mark: head[0].count(mark) if head else 0)
    try:
        cells = [
            [
                Cell(text=f.text.strip(), origin=Origin(file=name, line=f.line, column=f.column, length=f.length))
                for f in record
            ]
            for record in records(text, delimiter)
        ]
    except Unclosed as error:
        origin = Origin(file=name, line=error.line, column=error.column)
        hint = 'put the whole field in quotation marks and double those within: "6"" wide"'
        problem = Problem(code="E115", message=str(error), hint=hint, origin=origin)
        return Loaded(value=None, problems=[problem], sources={name: text})
    return _table(cells, name, {name: text})


def _workbook(content: bytes, name: str, sheet: str) -> Loaded[Table]:
    from zipfile import BadZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        # Values, not formulas; links to other files are not followed.
        book = load_workbook(BytesIO(content), read_only=True, data_only=True, keep_links=False)
    except (BadZipFile, InvalidFileException, KeyError, ValueError, OSError):
        return _failed("E115", "this is no workbook that can be read", "save it again as .xlsx, or as .csv", name)
    try:
        if sheet and sheet not in book.sheetnames:
            problem = Problem(
                code="E115",
                message=f"the workbook has no sheet `{sheet}`",
                hint=did_you_mean(sheet, book.sheetnames),
                label=expected_one_of(book.sheetnames),
                origin=Origin(file=name),
            )
            return Loaded(value=None, problems=[problem], sources={})
        rows = book[sheet] if sheet else book.worksheets[0]
        cells = []
        for number, row in enumerate(rows.iter_rows(values_only=True), 1):
            if number > MAX_ROWS:
                break
            found = [
                Cell(text=_words(value), origin=Origin(file=name, line=number, column=column))
                for column, value in enumerate(row, 1)
            ]
            if any(cell.text for cell in found):
                cells.append(found)
    finally:
        book.close()
    return _table(cells, name, {})


def _words(value: Any) -> str:
    """A cell's value as a person would type it: days by ISO 8601, whole numbers without a point."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime):
        value = value.date() if value == datetime.combine(value.date(), datetime.min.time()) else value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return format(value, ".15g")
    return str(value).strip()


def _table(cells: list[list[Cell]], name: str, sources: Mapping[str, str]) -> Loaded[Table]:
    if not cells:
        return _failed("E115", "the table is empty", "its first row names the columns", name)
    head, *body = cells
    problems: list[Problem] = []
    columns: dict[str, Cell] = {}
    for cell in head:
        if cell.text in columns and cell.text:
            message = f"two columns are called `{cell.text}`"
            problems.append(
                Problem(code="E116", message=message, hint="give one of them another name", origin=cell.origin)
            )
        columns.setdefault(cell.text, cell)
    if len(body) > MAX_ROWS:
        problems.append(
            _problem("E115", f"the table has {len(body):,} rows; at most {MAX_ROWS:,} are read", "split it", name)
        )
    problems += _hidden([*head, *(cell for row in body for cell in row)])
    rows = []
    for row in body:
        for cell in row[len(head) :]:
            if cell.text:
                message = f"`{cell.text}` stands beyond the last column"
                hint = "name the column in the first row, or quote a field that holds a delimiter"
                problems.append(Problem(code="E115", message=message, hint=hint, origin=cell.origin))
        end = row[-1].origin
        missing = [Cell(text="", origin=end)] * (len(head) - len(row))
        rows.append(dict(reversed(list(zip((cell.text for cell in head), [*row, *missing], strict=False)))))
    table = Table(file=name, columns=columns, rows=tuple(rows))
    return Loaded(value=table, problems=problems, sources=sources)


def _hidden(cells: Iterable[Cell]) -> Iterable[Problem]:
    """Characters in a cell that nobody sees; a line end within it is one of those, as a job file is lines."""
    for cell in cells:
        if what := hidden(cell.text):
            yield Problem(
                code="E104", message=f"{what} may not stand in a cell", hint="delete it", origin=cell.origin
            )


def _problem(code: str, message: str, hint: str, name: str) -> Problem:
    return Problem(code=code, message=message, hint=hint, origin=Origin(file=name))


def _failed(code: str, message: str, hint: str, name: str) -> Loaded[Table]:
    return Loaded(value=None, problems=[_problem(code, message, hint, name)], sources={})
