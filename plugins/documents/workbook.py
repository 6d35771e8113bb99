"""Tables as an XLSX workbook (ISO/IEC 29500-1), a sheet for each, for people who live in spreadsheets.

Dates are dates, numbers are numbers with as many decimals as they have, text is text whatever it looks like. A time
stands as the shop's clock shows it, since a spreadsheet knows no zones. The same tables give the same bytes.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime, time
from decimal import Decimal
from io import BytesIO
from typing import TYPE_CHECKING

from pipeline.language import Language
from plugins.documents.headings import heading, said

if TYPE_CHECKING:
    from xlsxwriter.worksheet import Worksheet

ENGLISH = Language()
#: What a spreadsheet takes for the beginning of a formula.
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\0")
_WIDEST = 48
_DAY, _MOMENT = "yyyy-mm-dd", "yyyy-mm-dd hh:mm"


def workbook(
    tables: Mapping[str, Sequence[Mapping[str, object]]],
    *,
    title: str,
    day: date,
    language: Language = ENGLISH,
) -> bytes:
    """The workbook; `day` is told as the day on which it was made. Rows of a table have the same columns.

    Sheets, columns and fixed words are called as `headings.py` says, in `language`.
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
        sheet = book.add_worksheet(_free_name(heading(name, language), name, book.sheetnames))
        columns = tuple(rows[0]) if rows else ()
        widths = []
        for x, column in enumerate(columns):
            words = heading(column, language)
            sheet.write_string(0, x, words, head)
            values = [said(column, row[column], language) for row in rows]
            for y, value in enumerate(values, 1):
                if _write(sheet, y, x, value, shaped):
                    raise ValueError(f"sheet `{name}`, row {y}, column `{column}`: a workbook cannot hold this")
            widths.append(max(len(words), *map(_width, values)))
        sheet.freeze_panes(1, 0)
        if rows:
            sheet.autofilter(0, 0, len(rows), len(columns) - 1)
        for x, width in enumerate(widths):
            sheet.set_column(x, x, min(width, _WIDEST) + 3)
    book.close()
    return out.getvalue()


def _write(sheet: "Worksheet", y: int, x: int, value: object, shaped: Callable[[str], object]) -> int:
    """The value as its kind; not 0 when a cell cannot hold it."""
    if isinstance(value, datetime):
        return int(sheet.write_datetime(y, x, value.replace(tzinfo=None), shaped(_MOMENT)))
    if isinstance(value, date):
        return int(sheet.write_datetime(y, x, value, shaped(_DAY)))
    if isinstance(value, int | Decimal):
        return int(sheet.write_number(y, x, value, shaped(_number_look(value))))
    text = str(value)
    return int(sheet.write_string(y, x, text, shaped("text") if text.startswith(FORMULA) else None))


def _free_name(words: str, name: str, taken: Iterable[str]) -> str:
    """A sheet's name within the format's limits: 31 characters, some not allowed, no two alike; else its own."""
    fit = re.sub(r"[][:*?/\\]", " ", words)[:31].strip(" '")
    return name if not fit or fit.casefold() in {other.casefold() for other in taken} else fit


def _number_look(value: int | Decimal) -> str:
    exponent = Decimal(value).as_tuple().exponent
    places = -exponent if isinstance(exponent, int) and exponent < 0 else 0
    return "#,##0" + ("." + "0" * places if places else "")


def _width(value: object) -> int:
    """Characters that a value takes as it is shown."""
    if isinstance(value, datetime):
        return len(_MOMENT)
    return len(f"{value:,}" if isinstance(value, int | Decimal) else str(value))
