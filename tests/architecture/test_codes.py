"""The register of problem codes and the source agree."""

import re
from pathlib import Path

import pytest

from pipeline.codes import CODES, _explanations

ROOT = Path(__file__).parents[2]


def used_codes() -> set[str]:
    """Every code that stands as a whole string in the source, outside the register."""
    files = [file for folder in ("pipeline", "plugins") for file in (ROOT / folder).rglob("*.py")]
    texts = (file.read_text("utf-8") for file in files if file.parent.name != "codes")
    return {code for text in texts for code in re.findall(r"\"([EW]\d{3})\"", text)}


def test_every_code_is_explained_and_every_explanation_used() -> None:
    """`peelwright explain` must know each code that a user meets, and nothing that nobody can meet."""
    assert used_codes() == set(CODES)


def test_no_code_has_two_meanings() -> None:
    """The later explanation would hide the earlier one."""
    codes = [code for code, _ in _explanations()]
    assert sorted(codes) == sorted(set(codes))


@pytest.mark.parametrize("code", CODES)
def test_an_explanation_is_a_title_and_prose(code: str) -> None:
    """Short title, at least a sentence, lines that fit a terminal."""
    explanation = CODES[code]
    assert 5 < len(explanation.title) < 60
    assert not explanation.title.endswith(".")
    assert len(explanation.text) > 60
    assert explanation.text.endswith((".", ":"))
    assert max(map(len, explanation.text.splitlines())) <= 118
