"""Failpoints end the process where they are told to, and nowhere when they are not."""

import os

import pytest

from pipeline.failpoints import KILLED, _Failpoint


@pytest.mark.parametrize(
    ("setting", "reached", "ended"),
    [
        ("", ["a", "b", "a"], 0),
        ("a", ["b", "a"], 1),
        ("a:2", ["a", "b"], 0),
        ("a:2", ["a", "b", "a"], 1),
    ],
)
def test_only_the_named_place_ends_it(
    setting: str, reached: list[str], ended: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The n-th time of that name, not earlier and not elsewhere: else the crash tests test something else."""
    codes: list[int] = []
    monkeypatch.setattr(os, "_exit", codes.append)
    failpoint = _Failpoint(setting)
    for name in reached:
        failpoint.reach(name)
    assert codes == [KILLED] * ended
