"""Hooks that measure the hooks: a shop's plugin imports them, and each notes what the stages inside it took."""

import os
import sys
from collections.abc import Generator, Iterator
from contextlib import contextmanager
from typing import Any

from attrs import define

from pipeline.hookspecs import hookimpl


@define
class Taken:
    """CPU seconds, and the most memory that the process had until then (megabytes; None where none can say)."""

    seconds: float = 0.0
    peak_mb: float | None = None


TAKEN: dict[str, Taken] = {}
"""Step -> what it took, in the order of the steps."""


def peak_mb() -> float | None:
    """The most memory that this process ever had, in megabytes; None on a system that does not count it."""
    return _peak_mb("RUSAGE_SELF")


def worker_peak_mb() -> float | None:
    """The same of the largest process that it began and that has ended."""
    return _peak_mb("RUSAGE_CHILDREN")


def _peak_mb(whose: str) -> float | None:
    try:
        import resource
    except ImportError:
        return None
    most = resource.getrusage(getattr(resource, whose)).ru_maxrss
    # Kilobytes, but on macOS bytes: getrusage(2) of each.
    return most / (1_000_000 if sys.platform == "darwin" else 1_000)


def cpu_seconds() -> float:
    """CPU seconds of this process and of those that it began and that have ended."""
    used = os.times()
    return used.user + used.system + used.children_user + used.children_system


@contextmanager
def step(name: str) -> Iterator[None]:
    """Note what is done inside as the step `name`."""
    taken = TAKEN.setdefault(name, Taken())
    begun = cpu_seconds()
    try:
        yield
    finally:
        taken.seconds += cpu_seconds() - begun
        taken.peak_mb = peak_mb()


def _watched(hook: str) -> Any:
    def wrapper() -> Generator[None, Any, Any]:
        with step(hook):
            return (yield)

    wrapper.__name__ = hook
    return hookimpl(wrapper=True, tryfirst=True)(wrapper)


# `make_documents` and `check_orders` may be generators: their caller measures them until the last item.
fit_transfers = _watched("fit_transfers")
list_prints = _watched("list_prints")
gang_sheets = _watched("gang_sheets")
pack_orders = _watched("pack_orders")
list_press_runs = _watched("list_press_runs")
cost_orders = _watched("cost_orders")
price_orders = _watched("price_orders")
bill_orders = _watched("bill_orders")
schedule_presses = _watched("schedule_presses")
