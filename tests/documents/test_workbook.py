"""The workbook of the week, read back by openpyxl, which shares no code with what wrote it."""

import zipfile
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from zoneinfo import ZoneInfo

import openpyxl
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from pipeline.language import Language
from pipeline.shop import Shop
from plugins.documents.workbook import workbook
from tests.documents.small_shop import numbered_run, papers_of, shop_on_disk
from tests.documents.test_office_papers import two_orders

DAY = date(2026, 11, 30)
SAMPLE = {
    "orders": (
        {"job": "0042", "due": date(2026, 12, 4), "pieces": 1200, "net": Decimal("1234.50"), "note": "=1+1"},
        {
            "job": "1e5",
            "due": date(2026, 12, 5),
            "pieces": 3,
            "net": Decimal("-0.05"),
            "note": "https://example.org",
        },
    ),
    "runs": (
        {"start": datetime(2026, 12, 1, 8, 5, tzinfo=ZoneInfo("America/New_York")), "mm": Decimal("76.200")},
    ),
    "empty": (),
}


def read(data: bytes) -> openpyxl.Workbook:
    """The workbook as another library reads it."""
    return openpyxl.load_workbook(BytesIO(data))


def test_values_keep_their_kind() -> None:
    """Numbers can be added, dates sorted; a job called 0042 is no 42, and 1e5 no number."""
    book = read(workbook(SAMPLE, title="Week", day=DAY))
    assert book.sheetnames == ["Orders", "runs", "empty"]
    head, first, second = book["Orders"].iter_rows()
    assert [cell.value for cell in head] == ["Job", "Due", "Pieces", "Net", "note"]
    assert [cell.value for cell in first] == ["0042", datetime(2026, 12, 4), 1200, 1234.5, "=1+1"]  # noqa: DTZ001
    assert [cell.data_type for cell in first] == ["s", "d", "n", "n", "s"]
    assert [cell.number_format for cell in first][1:4] == ["yyyy-mm-dd", "#,##0", "#,##0.00"]
    assert [cell.value for cell in second][2:4] == [3, -0.05]
    assert second[0].data_type == "s"
    # The shop's clock, not UTC: 8:05 is when somebody stands at the press.
    start, length = next(book["runs"].iter_rows(min_row=2))
    assert start.value == datetime(2026, 12, 1, 8, 5)  # noqa: DTZ001
    assert (length.value, length.number_format) == (76.2, "#,##0.000")


def test_it_is_easy_to_work_with() -> None:
    """The head stays in sight and can be filtered by; columns are as wide as what they show."""
    sheet = read(workbook(SAMPLE, title="Week", day=DAY))["Orders"]
    assert sheet.freeze_panes == "A2"
    assert sheet.auto_filter.ref == "A1:E3"
    assert sheet["A1"].font.bold
    assert sheet.column_dimensions["E"].width > len("https://example.org")
    assert sheet.column_dimensions["A"].width < 12


def test_the_same_tables_give_the_same_bytes() -> None:
    """No clock: the day is that of the run, and every member of the archive has the same old date."""
    data = workbook(SAMPLE, title="Week", day=DAY)
    assert data == workbook(SAMPLE, title="Week", day=DAY)
    assert read(data).properties.created == datetime(2026, 11, 30)  # noqa: DTZ001
    with zipfile.ZipFile(BytesIO(data)) as archive:
        assert {item.date_time for item in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


@given(st.text(st.characters(exclude_categories=("C",)), min_size=1, max_size=40))
def test_any_text_stays_text(said: str) -> None:
    """No formula, number, link or date comes of it, whatever somebody wrote."""
    data = workbook({"t": ({"note": said}, {"note": f"={said}"})}, title="x", day=DAY)
    first, second = (row[0] for row in read(data)["t"].iter_rows(min_row=2))
    assert (first.value, second.value) == (said, f"={said}")
    assert {first.data_type, second.data_type} == {"s"}
    assert first.hyperlink is None
    with zipfile.ZipFile(BytesIO(data)) as archive:
        assert b"<f>" not in archive.read("xl/worksheets/sheet1.xml")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_editing_a_cell_runs_nothing(start: str) -> None:
    """Text that begins as a formula has the mark that a leading apostrophe sets (ISO/IEC 29500-1, quotePrefix)."""
    sheet = read(workbook({"t": ({"note": f"{start}1+1"}, {"note": "plain"})}, title="x", day=DAY))["t"]
    assert sheet["A2"].quotePrefix
    assert not sheet["A3"].quotePrefix


def test_what_a_sheet_cannot_hold_is_an_error() -> None:
    """32,767 characters are the limit of a cell (the format's specification); the rest must not vanish."""
    workbook({"t": ({"note": "x" * 32_767},)}, title="x", day=DAY)
    with pytest.raises(ValueError, match="sheet `t`, row 1, column `note`"):
        workbook({"t": ({"note": "x" * 32_768},)}, title="x", day=DAY)


def test_the_weeks_workbook_adds_up(tmp_path: Path) -> None:
    """A line for each order with the run's own sums, then the five tables with as many rows as their CSV."""
    shop: Shop = shop_on_disk(tmp_path)
    orders = two_orders(shop)
    orders[0] = evolve(orders[0], customer_order='=cmd|"/c calc"!A1')
    found = papers_of(numbered_run(shop, orders))
    book = read(found["tables/week.xlsx"].content)
    tables = {
        "Orders": "orders",
        "Sheets": "sheets",
        "Shares of the sheets": "sharing",
        "Costs": "costs",
        "Press schedule": "schedule",
    }
    assert book.sheetnames == ["Summary", *tables]
    head, *rows = book["Summary"].iter_rows(values_only=True)
    lines = [dict(zip(head, row, strict=True)) for row in rows]
    # By hand, as in the table of orders: 72.00 and 96.00 net, 3.96 and 5.28 tax.
    assert [(line["Job"], line["Net"], line["Tax"], line["Total"], line["Late"]) for line in lines] == [
        ("H-1", 72.0, 3.96, 75.96, "no"), ("H-2", 96.0, 5.28, 101.28, "no"),
    ]  # fmt: skip
    assert sum(line["Pieces"] for line in lines) == 14
    for sheet, name in tables.items():
        assert book[sheet].max_row == found[f"tables/{name}.csv"].content.count(b"\r\n")
    titles = [cell.value for cell in book["Orders"][1]]
    cell = book["Orders"].cell(2, titles.index("Customer's order") + 1)
    assert (cell.value, cell.data_type) == ('=cmd|"/c calc"!A1', "s")


def test_headings_are_words_in_the_shops_language(tmp_path: Path) -> None:
    """A column of the CSV has a name for programs; in the workbook each is said, in German in German."""
    shop = shop_on_disk(tmp_path, language="de")
    found = papers_of(numbered_run(shop, two_orders(shop)))
    book = read(found["tables/week.xlsx"].content)
    assert book.sheetnames == ["Übersicht", "Aufträge", "Bogen", "Anteile an den Bogen", "Kosten", "Pressenplan"]
    said = {cell.value for sheet in book for cell in sheet[1]}
    assert {"Auftrag", "Kunde", "Fällig", "Bogenbreite, mm", "Wer abzieht"} <= said
    assert not any("_" in words for words in said)
    late = [cell.value for cell in book["Übersicht"][1]].index("Verspätet")
    assert book["Übersicht"].cell(2, late + 1).value == "nein"
    csv = found["tables/orders.csv"].content.decode()
    assert csv.startswith("job,customer,customer_order,invoice,due,delivery,")
    kinds = {row[2].value for row in book["Kosten"].iter_rows(min_row=2)}
    assert kinds <= {"Rohware", "Transfers", "Presslohn", "Einrichten", "Verpackung", "Gemeinkosten"}


@pytest.mark.parametrize(
    ("own", "expected"),
    [
        ("x" * 40, "x" * 31),
        ("In/Out: [all]?", "In Out   all"),
        ("'quoted'", "quoted"),
        ("Summary", "orders"),
        ("***", "orders"),
    ],
)
def test_a_shops_own_word_fits_a_sheets_name(own: str, expected: str) -> None:
    """31 characters, some not allowed, no apostrophe at an end, no two alike (the format's specification)."""
    words = Language("en", "", f'msgid ""\nmsgstr ""\n\nmsgid "Orders"\nmsgstr "{own}"\n'.encode())
    tables = {"summary": ({"job": "A-1"},), "orders": ({"job": "A-1"},)}
    assert read(workbook(tables, title="x", day=DAY, language=words)).sheetnames == ["Summary", expected]
