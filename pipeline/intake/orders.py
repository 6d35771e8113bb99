"""Rows -> orders. Rows of one job are one order; rows of one garment, colour and prints are one line of it.

An order is built as the data of its job file, with the cell from which each value came, and is checked by the job
file's own schema: whatever is wrong is told at the cell.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from attrs import evolve, field, frozen

from pipeline.intake.column_map import ColumnMap, Fields
from pipeline.intake.table import Cell, Table
from pipeline.problems import Origin, Problem
from pipeline.schema import check
from pipeline.source import Path, Source

Row = Mapping[str, Cell]

_WHOLE = re.compile(r"0|[1-9][0-9]{0,17}")
_TRUTHS = {"true": True, "false": False}
# Fields that are true or false in a job file.
_TRUTH_FIELDS = frozenset(("may_turn", "rush", "share_sheets"))


@frozen(kw_only=True)
class _Cells(Source):
    """The data of one order, with the cell of each value in place of a position in a file."""

    cells: Mapping[Path, Origin] = field(repr=False)

    def origin(self, path: Path, key: bool = False) -> Origin:  # noqa: ARG002 (a cell has no key)
        """Where the value at `path` stands, or the first that is near it."""
        while path and path not in self.cells:
            path = path[:-1]
        return self.cells[path]


@frozen(kw_only=True)
class Drafted:
    """An order as data of a job file; its problems stand at the table's cells, `origin` is the order's first."""

    job: str
    origin: Origin
    data: Mapping[str, Any]
    problems: tuple[Problem, ...]


class _Draft:
    """An order in the making."""

    def __init__(self, column_map: ColumnMap, job: Cell) -> None:
        self.map = column_map
        self.problems: list[Problem] = []
        self.cells: dict[Path, Origin] = {(): job.origin}
        self.data: dict[str, Any] = {}
        self.lines: dict[tuple[object, ...], int] = {}

    def add(self, row: Row) -> None:
        """One row more."""
        for name, value, origin in self._values(self.map.order, row):
            if name not in self.data:
                self.data[name] = value
                self.cells[(name,)] = origin
            elif self.data[name] != value:
                self._differs(name, value, origin, self.cells[(name,)])
        line = {name: (value, origin) for name, value, origin in self._values(self.map.line, row)}
        size, pieces = line.pop("size", None), line.pop("pieces", None)
        prints = [list(self._values(fields, row)) for fields in self.map.prints if self._is_used(fields, row)]
        key = (
            *sorted((name, str(value)) for name, (value, _) in line.items()),
            *(tuple((name, str(value)) for name, value, _ in item) for item in prints),
        )
        if key not in self.lines:
            self.lines[key] = self._new_line(line, prints, row)
        place: Path = ("lines", self.lines[key], "pieces")
        if self.map.sizes:
            for name, where in self.map.sizes.items():
                cell = row[where.column]
                if cell.text and cell.text != "0":
                    self._count(place, name, cell.text, cell.origin)
        elif size is not None and pieces is not None:
            self._count(place, str(size[0]), str(pieces[0]), pieces[1])
        elif size is not None or pieces is not None:
            self._report("E202", *_HALF, (size or pieces or (0, self.cells[()]))[1])

    def finish(self) -> Drafted:
        """The order, checked as a job file would be."""
        data = {**self.data, "lines": self.data.get("lines", [])}
        source = _Cells(file=self.cells[()].file, text="", data=data, positions={}, cells=self.cells)
        job = str(data["job"])
        shape = (evolve(p, hint=_HINTS.get(p.code, p.hint)) for p in check(source, "job"))
        found = [evolve(problem, job=job) for problem in (*self.problems, *shape)]
        return Drafted(job=job, origin=self.cells[()], data=data, problems=tuple(found))

    def _new_line(
        self,
        line: Mapping[str, tuple[object, Origin]],
        prints: Sequence[Sequence[tuple[str, object, Origin]]],
        row: Row,
    ) -> int:
        lines = self.data.setdefault("lines", [])
        place: Path = ("lines", len(lines))
        self.cells[place] = next((origin for _, origin in line.values()), next(iter(row.values())).origin)
        made: dict[str, Any] = {"pieces": {}, "prints": []}
        for name, (value, origin) in line.items():
            made[name] = value
            self.cells[(*place, name)] = origin
        for index, item in enumerate(prints):
            made["prints"].append({name: value for name, value, _ in item})
            self.cells[(*place, "prints", index)] = item[0][2]
            self.cells |= {(*place, "prints", index, name): origin for name, _, origin in item}
        lines.append(_in_file_order(made))
        return len(lines) - 1

    def _count(self, place: Path, size: str, text: str, origin: Origin) -> None:
        pieces = self.data["lines"][place[1]]["pieces"]
        if size in pieces:
            earlier = self.cells[(*place, size)]
            message = f"size `{size}` of this line stands in row {earlier.line} already"
            self._report("E117", message, "add the two, or delete one", origin)
            return
        pieces[size] = int(text) if _WHOLE.fullmatch(text) else text
        self.cells.setdefault(place, origin)
        self.cells[(*place, size)] = origin

    def _values(self, fields: Fields, row: Row) -> Iterator[tuple[str, object, Origin]]:
        """Field, value and place of what a row says; an empty cell says nothing."""
        for name, where in fields.items():
            cell = row[where.column] if where.column else Cell(text=where.always, origin=where.origin)
            if cell.text:
                text = self.map.meant(name, cell.text)
                yield name, _TRUTHS.get(text.lower(), text) if name in _TRUTH_FIELDS else text, cell.origin

    def _is_used(self, fields: Fields, row: Row) -> bool:
        """A row may have fewer prints than the map has room for: one without any cell filled is none."""
        columns = [where.column for where in fields.values() if where.column]
        return not columns or any(row[column].text for column in columns)

    def _differs(self, name: str, value: object, origin: Origin, first: Origin) -> None:
        message = f"`{value}` differs from `{self.data[name]}` in row {first.line}: an order has one `{name}`"
        self._report(
            "E117", message, "write the same in all rows of the order, or give this row another job", origin
        )

    def _report(self, code: str, message: str, hint: str, origin: Origin) -> None:
        self.problems.append(Problem(code=code, message=message, hint=hint, origin=origin))


_HINTS = {
    "E202": "fill in the column that the map names for it",
    "E205": "write one of those, or say under `words` in the map what this means",
}
_HALF = ("a size without a count, or a count without a size", "fill in both cells, or neither")
_FILE_ORDER = ("garment", "colour", "blanks", "pieces", "prints", "price", "notes")


def _in_file_order(line: Mapping[str, Any]) -> dict[str, Any]:
    return {name: line[name] for name in _FILE_ORDER if name in line}


def draft(table: Table, column_map: ColumnMap) -> tuple[tuple[Drafted, ...], tuple[Problem, ...]]:
    """The orders of a table in the order of their first rows, and rows that belong to none (E117)."""
    drafts: dict[str, _Draft] = {}
    stray: list[Problem] = []
    where = column_map.order["job"]
    for row in table.rows:
        cell = row[where.column] if where.column else Cell(text=where.always, origin=where.origin)
        if not cell.text:
            message = "this row does not say to which order it belongs"
            hint = f"write the order's number into the column `{where.column}` of every row"
            stray.append(Problem(code="E117", message=message, hint=hint, origin=cell.origin))
            continue
        job = column_map.meant("job", cell.text)
        drafts.setdefault(job, _Draft(column_map, cell)).add(row)
    return tuple(one.finish() for one in drafts.values()), tuple(stray)
