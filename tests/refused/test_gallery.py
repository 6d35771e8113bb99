"""Each refused job is told exactly as it was when somebody last read the message."""

import re
from pathlib import Path

import pytest

from pipeline.codes import CODES
from pipeline.load_shop import load_shop
from tests.refused.gallery import EXPECTED, SHOP, cases, expected, printed

NO_CASE = {
    "E101": "a job file that is gone or may not be read",
    "E102": "needs a file of a mebibyte",
    "E114": "prints a hundred problems first",
    "E115": "tables of orders, in tests/intake",
    "E116": "tables of orders, in tests/intake",
    "E117": "tables of orders, in tests/intake",
    "E118": "tables of orders, in tests/intake",
    "E203": "the shop's own files",
    "E208": "the shop's own files",
    "E209": "the shop's own files",
    "E210": "the shop's own files",
    "E211": "the shop's own files",
    "E212": "the shop's own file, where an extra is not installed",
    "E213": "a shop's own words, in tests/languages",
    "W213": "a shop's own words, in tests/languages",
    "E307": "needs a file that changes during a run",
    "E409": "E412 tells it with the names of those that suit",
}
"""Codes of files, names, artwork, fit and safety that no folder of the gallery can show, and why."""


@pytest.mark.parametrize("case", cases(), ids=lambda case: case.name)
def test_a_refused_job_is_told_word_for_word(case: Path) -> None:
    """Messages are the interface for the people who write the job files; none changes unseen."""
    assert printed(case) == expected(case)
    assert expected(case), "a case without a problem shows nothing"


def test_every_code_that_an_order_can_raise_has_a_case() -> None:
    """E1xx to E5xx and their warnings; the others concern the ledger, plugins and costs."""
    registered = {code for code in CODES if code[1] in "12345"}
    shown = {code for case in cases() for code in re.findall(r"\[([EW]\d{3})\]", expected(case))}
    assert registered - shown == set(NO_CASE)
    assert shown <= registered


def test_the_shop_itself_has_nothing_wrong_with_it() -> None:
    """Else every case would be stopped by the shop's own trouble."""
    assert load_shop(SHOP).problems == ()


def test_every_folder_is_a_case_or_the_shop() -> None:
    """An `expected.txt` without a job file would be compared with nothing."""
    folders = {path.parent for path in SHOP.parent.glob(f"*/{EXPECTED}")}
    assert folders == set(cases())
