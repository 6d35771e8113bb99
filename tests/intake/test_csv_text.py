"""Our reading of CSV against the standard library's, and where each field stands."""

import csv
from io import StringIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.intake.csv_text import Unclosed, records

TEXTS = st.text(st.sampled_from('ab" ,;\t\r\nü'), max_size=6)
TABLES = st.lists(st.lists(TEXTS, min_size=1, max_size=4), max_size=5)


@given(TABLES, st.sampled_from(",;\t"), st.sampled_from(["\n", "\r\n", "\r"]))
def test_reads_what_the_standard_library_writes(table: list[list[str]], delimiter: str, end: str) -> None:
    """RFC 4180: quotes doubled, delimiters and line ends within quotes, CR LF, LF or CR after a record."""
    file = StringIO(newline="")
    csv.writer(file, delimiter=delimiter, lineterminator=end, quoting=csv.QUOTE_MINIMAL).writerows(table)
    text = file.getvalue()
    ours = [[field.text for field in record] for record in records(text, delimiter)]
    theirs = [row for row in csv.reader(StringIO(text, newline=""), delimiter=delimiter) if any(row)]
    assert ours == theirs


@given(TABLES)
def test_fields_stand_where_they_say(table: list[list[str]]) -> None:
    """A field begins with its text, or with its quotation mark."""
    file = StringIO(newline="")
    csv.writer(file, lineterminator="\n", quoting=csv.QUOTE_ALL).writerows(table)
    lines = file.getvalue().replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for record in records(file.getvalue(), ","):
        for field in record:
            assert lines[field.line - 1][field.column - 1] == '"'


def test_columns_and_lengths() -> None:
    """Lines are counted through quoted line ends."""
    first, second = records('a,"b\nc",dd\n,e,\n', ",")
    assert [(f.text, f.line, f.column, f.length) for f in first] == [
        ("a", 1, 1, 1),
        ("b\nc", 1, 3, 2),
        ("dd", 2, 4, 2),
    ]
    assert [(f.text, f.line, f.column) for f in second] == [("", 3, 1), ("e", 3, 2), ("", 3, 4)]


@pytest.mark.parametrize(("text", "place"), [('a,"b', (1, 3)), ('a\n"b"c', (2, 4)), ('"a\nb"c', (2, 3))])
def test_quotation_marks_that_do_not_close(text: str, place: tuple[int, int]) -> None:
    """The place is told where the eye finds the fault."""
    with pytest.raises(Unclosed) as caught:
        list(records(text, ","))
    assert (caught.value.line, caught.value.column) == place
