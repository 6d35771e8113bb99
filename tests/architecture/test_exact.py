"""Money, lengths and temperatures are exact: no float stands where they are computed."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FOLDERS = ("pipeline/model", "plugins/cost")
#: They return a float, or take a clock's: `timedelta.total_seconds`, everything in `math`.
BANNED = {"float", "math", "total_seconds", "timestamp"}


def floats_in(tree: ast.AST) -> Iterator[str]:
    """Where a float is written, named or made, as `line: what`."""
    for node in ast.walk(tree):
        match node:
            case ast.Constant(value=float() | complex() as value):
                yield f"{node.lineno}: {value}"
            case ast.Name(id=name) | ast.Attribute(attr=name) if name in BANNED:
                yield f"{node.lineno}: {name}"
            case ast.Import(names=names):
                yield from (f"{node.lineno}: {alias.name}" for alias in names if alias.name in BANNED)
            case ast.ImportFrom(module=str() as module) if module in BANNED:
                yield f"{node.lineno}: {module}"


@pytest.mark.parametrize("folder", FOLDERS)
def test_no_float(folder: str) -> None:
    """A cent lost to a binary fraction is found by the customer's bookkeeper, not by a test of ours."""
    files = sorted((ROOT / folder).glob("*.py"))
    assert files
    found = {path.name: list(floats_in(ast.parse(path.read_text(encoding="utf-8")))) for path in files}
    assert {name: floats for name, floats in found.items() if floats} == {}


@pytest.mark.parametrize(
    "text", ["x = 0.1", "y = float(3)", "import math", "from math import pi", "t.total_seconds()", "z: float = 1"]
)
def test_the_check_sees_floats(text: str) -> None:
    """A check that never objects proves nothing."""
    assert list(floats_in(ast.parse(text)))
