"""What holds for every test: property tests that try the same examples each time, and short proofs."""

from collections.abc import Generator

import pytest
from coverage import Coverage
from hypothesis import HealthCheck, settings

from plugins.group import bound, solve

settings.register_profile(
    "repeatable",
    derandomize=True,
    deadline=None,
    max_examples=40,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
settings.register_profile("thorough", settings.get_profile("repeatable"), max_examples=1000)
settings.load_profile("repeatable")

_PROOF = (solve.BOUND_ROUNDS, bound.LAID_ROUNDS)
_SHORT = ((8, 8), 0)
_TOLD = ("group", "golden", "sample")
"""Tests that look at how much is proven of a plan of sheets. In all others the proof would be most of the time."""


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    """Prove little where nobody looks."""
    folder = item.path.relative_to(item.config.rootpath / "tests").parts[0]
    told = folder in _TOLD and item.path.name != "test_stage.py"
    solve.BOUND_ROUNDS, bound.LAID_ROUNDS = _PROOF if told else _SHORT


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    """Neither a test marked `untraced` nor what is set up for it is traced: tracing takes twice the time and more."""
    tracer = Coverage.current() if item.get_closest_marker("untraced") else None
    if tracer is None:
        return (yield)
    tracer.stop()
    try:
        return (yield)
    finally:
        tracer.start()
