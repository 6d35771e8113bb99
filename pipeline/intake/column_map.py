"""Which column holds what: the map that a shop writes once for each kind of table that it gets."""

import re
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from attrs import frozen

from pipeline.intake.table import Table
from pipeline.load import read_file
from pipeline.problems import Origin, Problem, did_you_mean, expected_one_of, has_errors
from pipeline.readings import Loaded, checked, readings, said_of_both
from pipeline.source import Source

DATES = {
    "year-month-day": re.compile(r"(?P<y>\d{4})[-./](?P<m>\d{1,2})[-./](?P<d>\d{1,2})"),
    "day-month-year": re.compile(r"(?P<d>\d{1,2})[-./](?P<m>\d{1,2})[-./](?P<y>\d{4})"),
    "month-day-year": re.compile(r"(?P<m>\d{1,2})[-./](?P<d>\d{1,2})[-./](?P<y>\d{4})"),
}
ISO = "year-month-day"


@frozen(kw_only=True)
class Where:
    """Where a field's value comes from: a column, or the same in every row (`always`)."""

    column: str = ""
    always: str = ""
    origin: Origin


Fields = Mapping[str, Where]
"""Field of a job file -> where its value comes from."""


@frozen(kw_only=True)
class ColumnMap:
    """Where the values of orders, of their lines, and of each print of a line come from.

    `sizes` holds, size by size, the column with its pieces; it is empty where each row has one size.
    `words` holds for a field what the table calls otherwise.
    """

    order: Fields
    line: Fields
    sizes: Fields
    prints: tuple[Fields, ...]
    words: Mapping[str, Mapping[str, str]]
    dates: str
    sheet: str

    def meant(self, field: str, text: str) -> str:
        """What a job file calls what the table says in `field`."""
        text = self.words.get(field, {}).get(text, text)
        # A workbook's own dates, and those written so, are understood whatever the map says.
        found = DATES[self.dates].fullmatch(text) or DATES[ISO].fullmatch(text) if field == "due" else None
        if found is None:
            return text
        try:
            return date(int(found["y"]), int(found["m"]), int(found["d"])).isoformat()
        except ValueError:  # a day that the calendar does not have: the check of the order says so
            return text


def read_map(path: Path, name: str) -> Loaded[ColumnMap]:
    """The map at `path`, which messages call `name`. Problems: E1xx, E2xx."""
    content = read_file(path, name)
    if content.value is None:
        return Loaded(value=None, problems=content.problems, sources={})
    source, problems = checked(content.value, name, "intake")
    sources = {name: source.text}
    if not has_errors(problems):
        problems = (*problems, *_pieces(source))
        value = None if has_errors(problems) else _column_map(source)
        return Loaded(value=value, problems=problems, sources=sources)
    read = readings(source, "intake")
    if read is None:
        return Loaded(value=None, problems=problems, sources=sources)
    problems += said_of_both(read.map(lambda each: tuple(_pieces(each))))
    return Loaded(value=None, problems=problems, sources=sources, readings=read.map(_column_map))


def _pieces(source: Source) -> Iterator[Problem]:
    line, sizes = _fields(source, "line"), _fields(source, "sizes")
    if ("pieces" in line or "size" in line) == bool(sizes) or ("pieces" in line) != ("size" in line):
        yield Problem(
            code="E202",
            message="the map says not once how many pieces of which size",
            hint="name `size` and `pieces` under line, for a row per size; or all sizes under `sizes`",
            origin=source.origin(("line",)),
        )


def _column_map(source: Source) -> ColumnMap:
    data = source.data
    return ColumnMap(
        order=_fields(source, "order"),
        line=_fields(source, "line"),
        sizes=_fields(source, "sizes"),
        prints=tuple(_fields(source, "prints", index) for index in range(len(data["prints"]))),
        words={field: {k: str(v) for k, v in words.items()} for field, words in data.get("words", {}).items()},
        dates=data.get("dates", ISO),
        sheet=data.get("sheet", ""),
    )


def missing_columns(column_map: ColumnMap, table: Table) -> Iterator[Problem]:
    """Columns that the map names and the table does not have (E116)."""
    known = [name for name in table.columns if name]
    for fields in (column_map.order, column_map.line, column_map.sizes, *column_map.prints):
        for where in fields.values():
            if where.column and where.column not in table.columns:
                yield Problem(
                    code="E116",
                    message=f"`{table.file}` has no column `{where.column}`",
                    label=expected_one_of(known, most=20),
                    hint=did_you_mean(where.column, known),
                    origin=where.origin,
                )


def _fields(source: Source, *place: str | int) -> Fields:
    data: Any = source.data
    for step in place:
        data = data.get(step, {}) if isinstance(data, dict) else data[step]
    return {
        field: Where(
            column="" if isinstance(value, dict) else str(value),
            always=str(value["always"]) if isinstance(value, dict) else "",
            origin=source.origin((*place, field)),
        )
        for field, value in data.items()
    }
