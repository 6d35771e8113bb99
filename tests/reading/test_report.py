"""How problems look on a terminal and as data."""

import json

from hypothesis import given
from hypothesis import strategies as st

from pipeline.problems import Origin, Problem, Severity
from pipeline.report import WIDTH, as_json, printable, render


def at(line: int, column: int, length: int = 1) -> Problem:
    """A problem in the file `a`."""
    return Problem(code="E203", message="wrong", origin=Origin(file="a", line=line, column=column, length=length))


def picture(line: str, column: int, length: int = 1) -> list[str]:
    """The source line and the line of carets below it."""
    return render([at(1, column, length)], {"a": line}).splitlines()[3:5]


def test_a_problem_with_all_its_parts() -> None:
    """The form that users know from compilers: what, where, the line itself, what to write instead."""
    problem = Problem(
        code="E203",
        message="unknown placement `left-chst`",
        label="expected one of: front, back, left-chest",
        hint="did you mean `left-chest`?",
        origin=Origin(file="inbox/monday.yaml", line=13, column=20, length=9),
        job="H-1041",
    )
    text = "\n" * 12 + "        placement: left-chst\n"
    expected = """\
error[E203]: unknown placement `left-chst`
  --> inbox/monday.yaml:13:20
   |
13 |         placement: left-chst
   |                    ^^^^^^^^^ expected one of: front, back, left-chest
   = order: H-1041
   = help: did you mean `left-chest`?
"""
    assert render([problem], {"inbox/monday.yaml": text}) == expected.replace("^^^^^^^^^", "^^^^^^^^^")


def test_problems_without_a_line_without_a_file_and_without_the_text() -> None:
    """A missing shop file, a whole file, and a file that is not at hand print what is known."""
    whole = Problem(
        code="E112", message="empty", label="noted", origin=Origin(file="a"), severity=Severity.WARNING
    )
    assert render([whole], {"a": "x"}) == "warning[E112]: empty\n --> a\n  = note: noted\n"
    assert render([Problem(code="E701", message="no shop")], {}) == "error[E701]: no shop\n"
    assert render([at(3, 7)], {}) == "error[E203]: wrong\n --> a:3:7\n"
    assert render([at(3, 7)], {"a": "only one line"}) == "error[E203]: wrong\n --> a:3:7\n"
    assert render([], {}) == ""


def test_problems_are_sorted_said_once_and_parted_by_a_blank_line() -> None:
    """The order of the file is the order of mending."""
    text = render([at(2, 1), at(1, 5), at(2, 1)], {})
    assert text == "error[E203]: wrong\n --> a:1:5\n\nerror[E203]: wrong\n --> a:2:1\n"


def test_carets_stand_under_tabs_and_wide_characters() -> None:
    """A tab is four columns here, a Chinese character two, an accent that is its own character none."""
    assert picture("\tx: y", 5) == ["1 |     x: y", "  |        ^"]
    assert picture("名前: 東京", 5, 2) == ["1 | 名前: 東京", "  |       ^^^^"]
    assert picture("e\u0301: x", 5) == ["1 | e\u0301: x", "  |    ^"]


def test_a_very_long_line_is_cut_around_the_caret() -> None:
    """A line of a megabyte must not fill the screen, and the caret must still be right."""
    shown, carets = picture("a" * 5_000 + "WRONG" + "b" * 5_000, 5_001, 5)
    assert len(shown) == WIDTH + 6
    assert shown.startswith("1 | …a")
    assert shown.endswith("b…")
    assert shown[carets.index("^") : carets.index("^") + 5] == "WRONG"
    assert carets.count("^") == 5


def test_what_a_file_says_cannot_reach_the_terminal_as_a_command() -> None:
    """Escape sequences, line ends and turned text are shown, not obeyed, wherever they stand."""
    nasty = "\x1b[2J\u202e\r\n"
    problem = Problem(
        code="E203", message=nasty, hint=nasty, label=nasty, job=nasty, origin=Origin(file=nasty, line=1)
    )
    text = render([problem], {nasty: "x" + nasty})
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert len(text.splitlines()) == 7
    assert printable(nasty) == "\\x1b[2J\\u202e\\r\\n"


def test_colour_only_when_asked_for() -> None:
    """A pipe gets plain text; with colour the words are the same."""
    plain, coloured = (render([at(1, 1)], {"a": "x"}, colour=colour) for colour in (False, True))
    assert "\033[1;31merror[E203]\033[0m" in coloured
    for code in ("\033[1;31m", "\033[1;34m", "\033[1m", "\033[0m"):
        coloured = coloured.replace(code, "")
    assert coloured == plain


def test_problems_as_data() -> None:
    """`--format json`: every field, plain types, the same order."""
    data = as_json([at(2, 1), at(1, 5)])
    expected = {"code": "E203", "severity": "error", "message": "wrong", "label": "", "hint": "", "file": "a"}
    assert data[0] == {**expected, "line": 1, "column": 5, "length": 1, "job": ""}
    assert json.loads(json.dumps(data)) == data
    assert [entry["line"] for entry in data] == [1, 2]


@given(st.text(max_size=300), st.integers(1, 310), st.integers(0, 400))
def test_any_line_can_be_shown(line: str, column: int, length: int) -> None:
    """Whatever stands in a file and wherever the caret points, there is a bounded picture with a caret."""
    for row in render([at(1, column, length)], {"a": line}).splitlines():
        assert len(row) <= 10 * WIDTH
        assert row == printable(row)
    assert "^" in picture(line, column, length)[1]
