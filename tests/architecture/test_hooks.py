"""The contract is documented, typed, tested, and kept by every implementation."""

import importlib
import inspect
import re
import typing
from collections.abc import Iterator
from pathlib import Path

import pytest

from pipeline import hookspecs
from pipeline.stages import Stages, hook_names
from plugins import STAGES

ROOT = Path(__file__).parents[2]


def implementations() -> Iterator[tuple[str, str]]:
    """(module, hook) for every built-in hook implementation."""
    for module in STAGES:
        names = vars(importlib.import_module(module))
        yield from ((module, name) for name, value in names.items() if hasattr(value, "peelwright_impl"))


@pytest.mark.parametrize(("module", "hook"), sorted(implementations()))
def test_annotations_equal_the_specification(module: str, hook: str) -> None:
    """Names of arguments are all that pluggy compares; a wrong type would pass until a stage breaks on it."""
    spec = typing.get_type_hints(getattr(hookspecs, hook))
    function = inspect.unwrap(getattr(importlib.import_module(module), hook))
    own = typing.get_type_hints(function)
    assert {name: spec.get(name) for name in own} == own, f"{module}.{hook}"


@pytest.mark.parametrize("hook", hook_names())
def test_built_in_answers_come_last(hook: str) -> None:
    """A shop's own answer is asked first, so each built-in first answer is marked trylast."""
    spec = getattr(hookspecs, hook).peelwright_spec
    marks = [
        getattr(importlib.import_module(module), name).peelwright_impl
        for module, name in implementations()
        if name == hook
    ]
    assert marks, f"no stage implements {hook}"
    if spec["firstresult"]:
        assert [mark["trylast"] for mark in marks] == [True]


@pytest.mark.parametrize("hook", hook_names())
def test_every_hook_is_documented(hook: str) -> None:
    """A hook that DEVELOPERS.md does not explain does not exist for a plugin writer."""
    assert f"`{hook}`" in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert len(inspect.getdoc(getattr(hookspecs, hook)) or "") > 40


@pytest.mark.parametrize("hook", hook_names())
def test_every_hook_is_tested(hook: str) -> None:
    """Each hook's name stands in at least one test outside this folder."""
    word = re.compile(rf"\b{hook}\b")
    tests = [p for p in (ROOT / "tests").rglob("test_*.py") if "architecture" not in p.parts]
    assert any(word.search(path.read_text(encoding="utf-8")) for path in tests)


@pytest.mark.parametrize("hook", hook_names())
def test_the_call_site_has_the_arguments_of_the_specification(hook: str) -> None:
    """`Stages` passes on everything that the contract promises, under the same names and types."""
    spec = typing.get_type_hints(getattr(hookspecs, hook))
    site = typing.get_type_hints(getattr(Stages, hook))
    answer = site.pop("return")
    promised = spec.pop("return")
    assert site == spec
    if items := typing.get_args(answer):
        assert items[0] is typing.get_args(promised)[0]
    else:
        assert answer is promised


@pytest.mark.parametrize("module", STAGES)
def test_a_stage_opens_with_its_hooks_and_nothing_else(module: str) -> None:
    """`__init__.py` of a stage is its table of contents: hook implementations on a page."""
    imported = importlib.import_module(module)
    functions = [
        name for name, value in vars(imported).items() if inspect.isfunction(value) and value.__module__ == module
    ]
    assert functions
    assert all(hasattr(getattr(imported, name), "peelwright_impl") for name in functions)
    assert len(inspect.getsource(imported).splitlines()) <= 90
