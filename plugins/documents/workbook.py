"""Tables as an XLSX workbook (ISO/IEC 29500-1), a sheet for each, for people who live in spreadsheets.

Dates are dates, numbers are numbers with as many decimals as they have, text is text whatever it looks like. A time
stands as the shop's clock shows it, since a spreadsheet knows no zones. The same tables give the same bytes.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from decimal import Decimal
from io import BytesIO

#: What a spreadsheet takes for the beginning of a formula.
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\0")
_WIDEST = 48
_DAY, _MOMENT = "yyyy-mm-dd", "yyyy-mm-dd hh:mm"


def workbook(tables: Mapping[str, Sequence[Mapping[str, object]]], *, title: str, day: date) -> bytes:
    """The workbook; `day` is told as the day on which it was made. Rows of a table have the same columns.

    Raises ValueError for what a sheet cannot hold: text beyond 32,767 characters, rows beyond 1,048,576.
    """
    from xlsxwriter import Workbook

    out = BytesIO()
    # Text stays text, and nothing is written to a disk in between.
    book = Workbook(out, {"in_memory": True})
    book.set_properties({"title": title, "created": datetime.combine(day, time())})
    head = book.add_format({"bold": True, "bottom": 1})
    formats: dict[str, object] = {}

    def shaped(look: str) -> object:
        """A format made once: how numbers look, or a mark that keeps text from being run when it is edited."""
        if look not in formats:
            formats[look] = book.add_format({"quote_prefix": True} if look == "text" else {"num_format": look})
        return formats[look]

    for name, rows in tables.items():
        sheet = book.add_worksheet(name)
        columns = tuple(rows[0]) if rows else ()
        widths = [len(column) for column in columns]
        sheet.write_row(0, 0, columns, head)
        for y, row in enumerate(rows, 1):
            for x, column in enumerate(columns):
                value = row[column]
                if isinstance(value, datetime):
                    failed = sheet.write_datetime(y, x, value.replace(tzinfo=None), shaped(_MOMENT))
                elif isinstance(value, date):
                    failed = sheet.write_datetime(y, x, value, shaped(_DAY))
                elif isinstance(value, int | Decimal):
                    failed = sheet.write_number(y, x, value, shaped(_number_look(value)))
                else:
                    text = str(value)
                    failed = sheet.write_string(y, x, text, shaped("text") if text.startswith(FORMULA) else None)
                if failed:
                    raise ValueError(f"sheet `{name}`, row {y}, column `{column}`: a workbook cannot hold this")
                widths[x] = max(widths[x], _width(value))
        sheet.freeze_panes(1, 0)
        if rows:
            sheet.autofilter(0, 0, len(rows), len(columns) - 1)
        for x, width in enumerate(widths):
            sheet.set_column(x, x, min(width, _WIDEST) + 3)
    book.close()
    return out.getvalue()


def _number_look(value: int | Decimal) -> str:
    exponent = Decimal(value).as_tuple().exponent
    places = -exponent if isinstance(exponent, int) and exponent < 0 else 0
    return "#,##0" + ("." + "0" * places if places else "")


def _width(value: object) -> int:
    """Characters that a value takes as it is shown."""
    if isinstance(value, datetime):
        return len(_MOMENT)
    return len(f"{value:,}" if isinstance(value, int | Decimal) else str(value))
