"""A table and a map of its columns -> job files; what cannot be read is told at its cell."""

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from pipeline.cli import main
from pipeline.intake import Intaken, intake
from pipeline.intake.take import Fate, as_yaml
from pipeline.load import load_order
from pipeline.problems import StopRun
from pipeline.schema import validator
from pipeline.source import parse

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_jobs" / "intake"

MAP = """\
order: {job: Job, customer: {always: quay}, due: Due, delivery: {always: ship}}
line: {garment: Style, colour: Colour, size: Size, pieces: Pieces}
prints:
  - {artwork: Art, placement: {always: front}, width: {always: 3in}}
"""
HEAD = "Job,Due,Style,Colour,Size,Pieces,Art\n"
GOOD = "A-1,2026-12-04,tee,white,M,4,art/a.svg\n"


def take(folder: Path, table: str | bytes, map_text: str = MAP, name: str = "orders.csv") -> Intaken:
    """What intake makes of these two files."""
    (folder / name).write_bytes(table.encode() if isinstance(table, str) else table)
    (folder / "map.yaml").write_text(map_text, "utf-8")
    return intake(folder / name, folder / "map.yaml", folder / "jobs")


def refusals(
    folder: Path, table: str | bytes, map_text: str = MAP, name: str = "orders.csv"
) -> list[tuple[str, int, int]]:
    """Code, line and column of all that is wrong."""
    try:
        problems = take(folder, table, map_text, name).problems
    except StopRun as stop:
        problems = stop.problems
    return [(problem.code, problem.origin.line, problem.origin.column) for problem in problems]


def job(folder: Path, name: str = "A-1") -> Any:
    """The data of a job file that was written."""
    return yaml.safe_load((folder / "jobs" / f"{name}.yaml").read_text("utf-8"))


def test_rows_of_one_order_become_its_lines_and_sizes(tmp_path: Path) -> None:
    """Same garment, colour and prints: one line; the order of first rows is kept."""
    rows = GOOD + "A-1,2026-12-04,tee,white,L,5,art/a.svg\nA-2,2026-12-05,tee,white,S,1,art/a.svg\n"
    rows += "A-1,2026-12-04,tee,navy,M,6,art/a.svg\n"
    taken = take(tmp_path, HEAD + rows)
    assert taken.orders == (("A-1", Fate.WRITTEN), ("A-2", Fate.WRITTEN))
    lines = job(tmp_path)["lines"]
    assert [(line["colour"], line["pieces"]) for line in lines] == [
        ("white", {"M": 4, "L": 5}),
        ("navy", {"M": 6}),
    ]


def test_again_changes_nothing_and_another_content_is_refused(tmp_path: Path) -> None:
    """A job file is never written over."""
    take(tmp_path, HEAD + GOOD)
    before = (tmp_path / "jobs" / "A-1.yaml").read_bytes()
    assert take(tmp_path, HEAD + GOOD).orders == (("A-1", Fate.UNCHANGED),)
    assert refusals(tmp_path, HEAD + GOOD.replace(",4,", ",5,")) == [("E118", 2, 1)]
    assert (tmp_path / "jobs" / "A-1.yaml").read_bytes() == before
    assert sorted(path.name for path in (tmp_path / "jobs").iterdir()) == ["A-1.yaml"]


@pytest.mark.parametrize(
    ("row", "found"),
    [
        (GOOD.replace("A-1", ""), [("E117", 3, 1)]),
        (GOOD.replace("2026-12-04", "2026-12-05").replace("M", "L"), [("E117", 3, 5)]),
        (GOOD, [("E117", 3, 28)]),
        (GOOD.replace("M,4", ",4"), [("E202", 3, 27)]),
        (GOOD.replace("M,4", "L,four"), [("E204", 3, 28)]),
        (GOOD.replace("white", "").replace("A-1", "A-2"), [("E202", 3, 16)]),
        (GOOD.replace("A-1", "A 1"), [("E206", 3, 1)]),
        (GOOD.replace("A-1", "a-1"), [("E118", 3, 1)]),
        (GOOD.replace("A-1", "week"), [("E118", 3, 1)]),
        (GOOD.replace("\n", ",more\n"), [("E115", 3, 40)]),
        (GOOD.replace("white", "wh\u202eite"), [("E104", 3, 22)]),
        ('A-2,"2026\n', [("E115", 3, 5)]),
    ],
)
def test_what_is_wrong_with_a_row_is_told_at_its_cell(
    tmp_path: Path, row: str, found: list[tuple[str, int, int]]
) -> None:
    """One fault, one problem."""
    assert refusals(tmp_path, HEAD + GOOD + row) == found


def test_an_order_with_a_fault_is_not_written_and_the_others_are(tmp_path: Path) -> None:
    """Nothing of a refused order is left; both are told."""
    taken = take(tmp_path, HEAD + GOOD + GOOD.replace("A-1", "A-2").replace("tee", "Tee"))
    assert (taken.jobs(Fate.WRITTEN), taken.jobs(Fate.REFUSED)) == (("A-1",), ("A-2",))
    assert not (tmp_path / "jobs" / "A-2.yaml").exists()


@pytest.mark.parametrize(
    ("change", "found"),
    [
        (("Colour", "Color"), [("E116", 2, 32)]),
        (("line: {garment", "line: {garmet"), [("E201", 2, 8)]),
        ((", size: Size, pieces: Pieces", ""), [("E202", 2, 7)]),
        ((", pieces: Pieces", ""), [("E202", 2, 7)]),
        (("{always: ship}", "{ever: ship}"), [("E202", 1, 55), ("E201", 1, 66)]),
        (
            ("line: {garment: Style, colour: Colour", "line: {garmet: Style, colour: Color"),
            [("E201", 2, 8), ("E116", 2, 31)],
        ),
    ],
)
def test_what_is_wrong_with_the_map_is_told_in_the_map(
    tmp_path: Path, change: tuple[str, str], found: list[tuple[str, int, int]]
) -> None:
    """Nothing is taken by a map that is not understood whole."""
    assert refusals(tmp_path, HEAD + GOOD, MAP.replace(*change)) == found


@pytest.mark.parametrize(
    ("table", "found"),
    [
        (b"", ("E115", 0, 0)),
        (b"\xff\xfea\x00", ("E103", 0, 0)),
        (HEAD.encode() + "caf\u00e9".encode("latin-1"), ("E103", 2, 4)),
        ((HEAD.strip() + ",Job\n" + GOOD).encode(), ("E116", 1, 38)),
    ],
)
def test_tables_that_cannot_be_read(tmp_path: Path, table: bytes, found: tuple[str, int, int]) -> None:
    """An encoding is never guessed."""
    assert refusals(tmp_path, table) == [found]


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_delimiters_and_a_byte_order_mark(tmp_path: Path, mark: str) -> None:
    """As spreadsheets save them in different countries."""
    take(tmp_path, b"\xef\xbb\xbf" + (HEAD + GOOD).replace(",", mark).encode())
    assert job(tmp_path)["lines"][0]["pieces"] == {"M": 4}


@pytest.mark.parametrize(
    ("dates", "day"),
    [("day-month-year", "4.12.2026"), ("month-day-year", "12/4/2026"), ("month-day-year", "2026-12-04")],
)
def test_days(tmp_path: Path, dates: str, day: str) -> None:
    """A day is read in one order only, that of the map, or year first."""
    take(tmp_path, HEAD + GOOD.replace("2026-12-04", day), f"{MAP}dates: {dates}\n")
    assert job(tmp_path)["due"] == "2026-12-04"


def test_a_word_of_the_customer_needs_a_meaning(tmp_path: Path) -> None:
    """Whoever cannot change the customer's words is told where to say what they mean."""
    text = MAP.replace("{always: ship}", "How")
    (problem,) = take(tmp_path, HEAD.replace("\n", ",How\n") + GOOD.replace("\n", ",by boat\n"), text).problems
    assert (problem.code, problem.origin.column) == ("E205", 40)
    assert "`words` in the map" in problem.hint


def test_a_day_that_the_calendar_lacks_is_refused(tmp_path: Path) -> None:
    """31 February is not moved to March."""
    table = HEAD + GOOD.replace("2026-12-04", "31.2.2026")
    assert refusals(tmp_path, table, f"{MAP}dates: day-month-year\n") == [("E206", 2, 5)]


def test_a_print_whose_columns_are_empty_is_none(tmp_path: Path) -> None:
    """A row has fewer prints than the map has room for."""
    text = MAP + "  - {artwork: Back, placement: {always: back}, width: {always: 10in}}\n"
    rows = GOOD.replace("\n", ",art/b.svg\n") + GOOD.replace("white", "navy").replace("\n", ",\n")
    take(tmp_path, HEAD.replace("\n", ",Back\n") + rows, text)
    assert [len(line["prints"]) for line in job(tmp_path)["lines"]] == [2, 1]


def workbook(rows: list[list[object]]) -> Workbook:
    """A workbook whose second sheet holds `rows`."""
    book = Workbook()
    sheet = book.create_sheet("Orders")
    for row in rows:
        sheet.append(row)
    return book


def test_a_workbook(tmp_path: Path) -> None:
    """Typed cells come out as people would write them; a fault is told by row and column."""
    rows: list[list[object]] = [
        HEAD.strip().split(","),
        ["A-1", date(2026, 12, 4), "tee", "white", "M", 4, "art/a.svg"],
        [],
        ["A-2", date(2026, 12, 5), "tee", "white", "M", 4.5, "art/a.svg"],
    ]
    workbook(rows).save(tmp_path / "orders.xlsx")
    content = (tmp_path / "orders.xlsx").read_bytes()
    text = f"{MAP}sheet: Orders\n"
    assert refusals(tmp_path, content, text, "orders.xlsx") == [("E204", 4, 6)]
    assert (job(tmp_path)["due"], job(tmp_path)["lines"][0]["pieces"]) == ("2026-12-04", {"M": 4})
    assert refusals(tmp_path, content, f"{MAP}sheet: Order\n", "orders.xlsx") == [("E115", 0, 0)]
    assert refusals(tmp_path, content[:-40], text, "orders.xlsx") == [("E115", 0, 0)]


def test_the_sample(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The command says what it wrote; for programs too."""
    arguments = [
        "intake",
        str(SAMPLE / "orders.csv"),
        "--map",
        str(SAMPLE / "columns.yaml"),
        "--into",
        str(tmp_path),
    ]
    assert main(arguments) == 0
    assert "2 of 2 orders written" in capsys.readouterr().out
    assert main([*arguments, "--format", "json"]) == 0
    assert [order["fate"] for order in json.loads(capsys.readouterr().out)["orders"]] == [
        "unchanged",
        "unchanged",
    ]
    for path in tmp_path.iterdir():
        loaded = load_order(path.read_bytes(), path.name, "USD")
        assert loaded.value is not None
        assert loaded.problems == ()


def test_the_schema_of_maps() -> None:
    """Its examples are valid, and so is the sample."""
    for example in validator("intake").schema["examples"]:  # type: ignore[attr-defined]
        assert list(validator("intake").iter_errors(example)) == []


# A blank at either end of a cell means nothing, and `=` begins a formula.
CELLS = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), min_size=1, max_size=12).map(
    str.strip
)


@pytest.mark.untraced
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.dictionaries(
        st.from_regex(r"[A-Z0-9]{1,6}", fullmatch=True),
        CELLS.filter(lambda text: text and text[0] != "="),
        min_size=1,
        max_size=4,
    ),
    st.lists(
        st.tuples(st.sampled_from(["white", "navy", "no", "1e3"]), st.sampled_from("SML"), st.integers(1, 999)),
        min_size=1,
        max_size=6,
        unique_by=lambda item: item[:2],
    ),
)
def test_what_goes_in_comes_out(
    tmp_path: Path, numbers: dict[str, str], lines: list[tuple[str, str, int]]
) -> None:
    """Table -> files -> the reader of job files: the same orders, and never a warning of an unquoted word."""
    table: list[list[object]] = [["Job", "Due", "Style", "Colour", "Size", "Pieces", "Art", "No"]]
    for job_id, number in numbers.items():
        table += [
            [job_id, "2026-12-04", "tee", colour, size, n, "art/a.svg", number] for colour, size, n in lines
        ]
    book = workbook(table)
    book.save(tmp_path / "orders.xlsx")
    text = MAP.replace("due: Due", "due: Due, customer_order: No") + "sheet: Orders\n"
    for path in tmp_path.glob("jobs/*"):
        path.unlink()
    taken = take(tmp_path, (tmp_path / "orders.xlsx").read_bytes(), text, "orders.xlsx")
    unique = {job_id.casefold(): job_id for job_id in reversed(numbers)}
    assert set(taken.jobs(Fate.WRITTEN)) == set(unique.values())
    for job_id in unique.values():
        loaded = load_order((tmp_path / "jobs" / f"{job_id}.yaml").read_bytes(), job_id, "USD")
        assert loaded.value is not None, loaded.problems
        assert loaded.problems == ()
        order = loaded.value
        assert (order.job, order.customer_order) == (job_id, numbers[job_id])
        assert {(line.colour, p.size, p.count) for line in order.lines for p in line.pieces} == set(lines)


# Whole numbers of more than 18 digits are read as text: no job file has any.
COUNTS = st.integers(-(10**17), 10**17)


@given(st.recursive(st.text(max_size=8) | COUNTS | st.booleans(), lambda inner: st.lists(inner, max_size=3)))
def test_job_files_are_read_as_they_were_meant(value: Any) -> None:
    """Whatever YAML could guess at is quoted."""
    found = parse(as_yaml({"a": value}), "a.yaml")
    assert found.value is not None
    if found.ok:
        assert found.value.data == {"a": value}
        assert found.problems == ()
