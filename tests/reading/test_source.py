"""Strict YAML: what is read, what is refused, and where everything stands."""

import re
import time
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from pipeline import source
from pipeline.problems import Origin, Severity
from pipeline.source import parse

PURE = yaml.SafeLoader


def read(text: str) -> Any:
    """The data of a text that must be read without a problem."""
    outcome = parse(text.encode(), "job.yaml")
    assert outcome.problems == ()
    assert outcome.value is not None
    return outcome.value.data


def refused(text: str | bytes, parser: Any = source.PARSER) -> list[tuple[str, int, int]]:
    """Code, line and column of each problem."""
    content = text if isinstance(text, bytes) else text.encode()
    return [(p.code, p.origin.line, p.origin.column) for p in parse(content, "job.yaml", parser).problems]


def test_only_truth_nothing_and_whole_numbers_are_typed() -> None:
    """A price, a date or a size must arrive as it was written."""
    text = "a: true\nb: false\nc: null\nd:\ne: 12\nf: -3\ng: 0\nh: 12.50\ni: 2026-12-04\nj: 3.5in\nk: '7'\n5: x\n"
    expected = {"a": True, "b": False, "c": None, "d": None, "e": 12, "f": -3, "g": 0}
    assert read(text) == {**expected, "h": "12.50", "i": "2026-12-04", "j": "3.5in", "k": "7", "5": "x"}


@pytest.mark.parametrize(
    "word",
    [
        *(
            "NO",
            "no",
            "Yes",
            "on",
            "OFF",
            "y",
            "True",
            "NULL",
            "~",
            "00501",
            "007",
            "12:30",
            "1:20:30.5",
            "1e3",
            "1E-3",
        ),
        *("+5", "-0", "0x1F", "0o17", "0b1", "1_000", ".5", "5.", ".inf", ".NaN", "+1.5", "1234567890123456789"),
    ],
)
def test_what_other_programs_guess_at_stays_text_with_a_warning(word: str) -> None:
    """The Norway problem and its kin: the text is kept, and the writer learns that quotes are wanted."""
    outcome = parse(f"a: {word}\nb: '{word}'\n{word}: 1\n".encode(), "job.yaml")
    assert outcome.value is not None
    assert outcome.value.data == {"a": word, "b": word, word: 1}
    (problem,) = outcome.problems
    assert (problem.code, problem.severity, problem.hint) == ("W101", Severity.WARNING, f'write "{word}"')
    assert problem.origin == Origin(file="job.yaml", line=1, column=4, length=len(word))


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("a: &x 1", ("E106", 1, 4)),
        ("a: 1\nb: *x", ("E106", 2, 4)),
        ("*x : 1", ("E106", 1, 1)),
        ("a: !!str 5", ("E107", 1, 4)),
        ("a: !python/object:os.system x", ("E107", 1, 4)),
        ("%YAML 1.2\n---\na: 1", ("E107", 1, 1)),
        ("a: 1\n<<: {b: 2}", ("E108", 2, 1)),
        ("a: 1\nb: 2\na: 3", ("E109", 3, 1)),
        ("4: 1\n'4': 2", ("E109", 2, 1)),
        ("a: 1\n---\nb: 2", ("E110", 2, 1)),
        ("a: " + "x" * 4_097, ("E111", 1, 4)),
        ("[" * 17 + "]" * 17, ("E111", 1, 17)),
        ("[" + "1, " * 50_000 + "]", ("E111", 1, 149_999)),
        ("", ("E112", 0, 0)),
        ("# nothing but a comment\n", ("E112", 0, 0)),
        ("? [a, b]\n: 1", ("E113", 1, 3)),
        ("a: \x1b[31m", ("E104", 1, 4)),
        ('a: "\\e[31m"', ("E104", 1, 4)),
        ("a: 1\nb: x\u202ey", ("E104", 2, 5)),
        ("a: x\u2028y", ("E104", 1, 5)),
    ],
)
def test_what_is_refused_is_refused_where_it_stands(text: str, problem: tuple[str, int, int]) -> None:
    """Each trap gives one problem at its own place, by the parser in C and by the one in Python."""
    assert refused(text) == [problem]
    # The parser in Python takes seconds for the longest.
    assert len(text) > 100_000 or refused(text, PURE) == [problem]


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("a: 1\nb: 'x\n", (2, 4), "not closed"),
        ("a: [1, 2\nb: 3\n", (1, 4), "not closed by line 2"),
        ("a: {b: 1\n", (1, 4), "not closed"),
        ("a: left: chest\n", (1, 8), "second colon"),
        ("a:\n\tb: 1\n", (2, 1), "tab"),
        ("a: @x\n", (1, 4), "may not begin with `@`"),
        ("a: `x`\n", (1, 4), "may not begin"),
        ("a: 'it's'\n", (1, 8), "after its closing quotation mark"),
        ("a: |x\n  b\n", (1, 4), "`|` must end its line"),
        ("a: - b\n", (1, 4), "list may not begin"),
        ('a: "\\q"\n', (1, 4), "escape"),
        ("a:\n  - b\n - c\n", (3, 2), "does not fit the lines above"),
        ("a: 1\n b: 2\n", (2, 3), "does not fit the line above"),
        ("a: 1\nb\nc: 2\n", (2, 1), "without its colon"),
        ("a: !<tag\n", (1, 4), "`!` may not stand"),
        ("a: ]\n", (1, 4), "`]` may not stand"),
        ("- a\nb: 1\n", (2, 1), "does not fit the lines above"),
    ],
)
def test_text_that_is_not_yaml_is_explained_in_plain_words(text: str, place: tuple[int, int], words: str) -> None:
    """Nobody who takes orders should have to know what a block mapping is; both parsers lead to one sentence."""
    problems = parse(text.encode(), "job.yaml").problems
    assert [(p.code, p.origin.line, p.origin.column) for p in problems] == [("E105", *place)]
    assert words in problems[0].message
    assert problems[0].hint
    assert parse(text.encode(), "job.yaml", PURE).problems == problems


def test_an_escape_that_the_parser_in_python_stumbles_over_is_a_problem() -> None:
    """It lets chr() raise OverflowError, which no reader of an inbox may pass on; the parser in C says so itself."""
    assert [code for code, *_ in refused('a: "\\UFFFFFFFF"', PURE)] == ["E105"]
    assert [code for code, *_ in refused('a: "\\UFFFFFFFF"')] == ["E105"]


def test_several_faults_of_a_file_are_told_together() -> None:
    """Mending a file one message at a time is a nuisance."""
    assert [code for code, *_ in refused("a: &x 1\na: 2\nb: !t 3\n<<: 4\n")] == ["E106", "E109", "E107", "E108"]


def test_a_file_full_of_faults_stops_being_read() -> None:
    """A hostile file cannot fill the terminal or the memory."""
    codes = [code for code, *_ in refused("a: 1\n" * 5_000)]
    assert codes == ["E109"] * source.MAX_PROBLEMS + ["E114"]


def test_bytes_that_are_not_utf8_are_refused_at_their_place() -> None:
    """A file saved in an old encoding must not arrive with other letters."""
    assert refused("a: 1\nbé: Caf".encode() + b"\xe9\n") == [("E103", 2, 8)]
    assert refused("a: 1".encode("utf-16")) == [("E103", 0, 0)]
    assert refused(b"a" * (source.MAX_BYTES + 1)) == [("E102", 0, 0)]


def test_a_byte_order_mark_is_skipped_and_counts_for_nothing() -> None:
    """Editors on Windows write one; columns must still be right."""
    outcome = parse(b"\xef\xbb\xbfa: &x 1", "job.yaml")
    assert [p.origin.column for p in outcome.problems] == [4]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_line_end_counts_as_one_line(end: str) -> None:
    """Files come from Windows, Linux and old Macs."""
    outcome = parse(f"a: 1{end}b:{end}  - c: 5{end}".encode(), "job.yaml")
    assert outcome.value is not None
    assert outcome.value.data == {"a": 1, "b": [{"c": 5}]}
    assert outcome.value.origin(("b", 0, "c")) == Origin(file="job.yaml", line=3, column=8, length=1)


def test_origin_of_values_keys_and_what_is_missing() -> None:
    """Problems point with these: a value, a key, a list item, and the parent of what is not there."""
    outcome = parse(b"lines:\n  - garment: tee\n    pieces: {S: 4}\n", "job.yaml")
    assert outcome.value is not None
    where = outcome.value.origin

    def at(line: int, column: int, length: int) -> Origin:
        return Origin(file="job.yaml", line=line, column=column, length=length)

    assert where(("lines", 0, "garment")) == at(2, 14, 3)
    assert where(("lines", 0, "garment"), key=True) == at(2, 5, 7)
    assert where(("lines", 0)) == at(2, 5, 7)
    assert where(("lines", 0, "pieces")) == at(3, 13, 1)
    assert where(("lines", 0, "pieces", "S"), key=True) == at(3, 14, 1)
    assert where(("lines", 0, "colour", "x")) == at(2, 5, 7)
    assert where((), key=True) == at(1, 1, 5)


# --- against something outside: PyYAML's own reader on what both read alike ---------------------------------

# Words that YAML 1.1 takes for text or for a plain number, as this reader does.
_words = st.text(st.characters(codec="utf-8", categories=("L",)), min_size=1, max_size=8).filter(
    lambda word: not re.fullmatch(r"(?i)y|n|yes|no|on|off|true|false|null", word) and "\ufeff" not in word
)
_plain = st.one_of(st.none(), st.booleans(), st.integers(-(10**17), 10**17), _words)
_data = st.recursive(
    _plain,
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(_words, inner, max_size=4)),
    max_leaves=20,
)


@given(st.dictionaries(_words, _data, max_size=4), st.booleans())
def test_plain_data_is_read_as_pyyaml_reads_it(data: dict[str, Any], flow: bool) -> None:
    """On the subset without guesses the strict reader and PyYAML's safe loader agree."""
    text = yaml.safe_dump(data, allow_unicode=True, default_flow_style=flow, width=10_000)
    assert read(text) == yaml.safe_load(text) == data
    pure = parse(text.encode(), "job.yaml", PURE)
    assert pure == parse(text.encode(), "job.yaml")


@given(st.binary(max_size=200))
def test_any_bytes_give_data_or_known_problems(content: bytes) -> None:
    """Whatever is dropped into the inbox, nothing but a problem with a code comes out."""
    outcome = parse(content, "job.yaml")
    assert all(re.fullmatch(r"E1(0[2-9]|1[0-4])|W101", problem.code) for problem in outcome.problems)
    assert outcome.value is not None


@given(st.text(st.sampled_from(list("ab0:-?[]{}#&*!|>'\"%@`,\\\n\t ~<=xuU")), max_size=40))
def test_any_punctuation_gives_data_or_known_problems_by_both_parsers(text: str) -> None:
    """The characters that YAML gives a meaning to, in any order: what both parsers accept, they read alike."""
    outcomes = [parse(text.encode(), "job.yaml", parser) for parser in (source.PARSER, PURE)]
    assert all(problem.message and problem.hint for outcome in outcomes for problem in outcome.problems)
    if all(outcome.ok for outcome in outcomes):
        data = [outcome.value.data for outcome in outcomes if outcome.value is not None]
        assert data[0] == data[1]


@pytest.mark.parametrize(
    "piece",
    [
        "[",
        "{",
        "- ",
        "? ",
        "a: ",
        "'",
        "&a ",
        "a:\n ",
        "#",
        "!",
        "- a\n",
        "? a\n",
        "a\n",
        "[a, ",
        "{a: ",
        "\\",
        "|\n",
        "a" * 900,
    ],
)
def test_a_hostile_file_of_a_megabyte_is_refused_quickly(piece: str) -> None:
    """No text within the size limit may keep the reader busy. Generous: a loaded machine is no fault."""
    content = (piece * (source.MAX_BYTES // len(piece))).encode()
    begin = time.process_time()
    parse(content, "job.yaml")
    assert time.process_time() - begin < 3
