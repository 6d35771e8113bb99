"""A sample of the sweep, the order of fsync and rename in one trace, and a naive writer, which must be found out.

The whole of it: `python -m tests.crash.sweep run` and `watch`.
"""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.crash import order, strace
from tests.crash.subjects import SUBJECTS, fresh
from tests.crash.sweep import Point, clean, points, wrong
from tests.watch.journey import plain_stages

# From where it is installed on purpose, a test that cannot be done is a failure.
pytestmark = [
    pytest.mark.skipif(
        not strace.available and os.environ.get("PEELWRIGHT_STRACE") != "required",
        reason="strace is not installed",
    ),
    pytest.mark.untraced,
]

SAMPLE = {"run": 97, "watch": 331}
"""Of so many points one is tried: primes, so that all kinds of calls and faults have their turn."""


@pytest.fixture(autouse=True)
def _plain() -> Iterator[None]:
    """The journey without the searches."""
    with plain_stages():
        yield


@pytest.mark.parametrize("name", SAMPLE)
def test_a_fault_leaves_no_trace(name: str, tmp_path: Path) -> None:
    """Killed, disk full, disk failing: run once more, all is as if there had been no fault."""
    subject = SUBJECTS[name]
    good = clean(subject, tmp_path)
    every = list(points(subject, tmp_path))
    assert {point.call for point in every} >= {"write", "pwrite64", "fsync", "fdatasync", "rename"}
    chosen = every[:: SAMPLE[name]]
    assert {str(point): found for point in chosen if (found := wrong(subject, point, tmp_path, good))} == {}


@pytest.mark.parametrize("fault", strace.FAULTS)
def test_the_naive_writer_is_caught(fault: str, tmp_path: Path) -> None:
    """By each kind of fault, or the comparison would find nothing with anybody."""
    subject = SUBJECTS["naive"]
    good = clean(subject, tmp_path)
    # The counter has gone up, the paper is not written.
    assert wrong(subject, Point("write", 2, fault), tmp_path, good)
    assert subject.faults(good, good) == []


@pytest.mark.parametrize(("name", "ours"), [("run", ("shop/out",)), ("watch", ("shop/out", "shop/done"))])
def test_bytes_before_names_and_names_before_the_end(name: str, ours: tuple[str, ...], tmp_path: Path) -> None:
    """Every fsync is where a power cut would need it."""
    subject = SUBJECTS[name]
    folder = fresh(subject, tmp_path / "folder")
    log = tmp_path / "log"
    assert strace.traced(lambda: subject.go(folder, 0), order.OPTIONS, log) == 0
    assert strace.counts(log)["rename"] >= 1
    assert list(order.violations(log, folder, ours)) == []


def test_the_naive_order_is_caught(tmp_path: Path) -> None:
    """One that renames before the bytes are on the disk, and one that never asks."""
    subject = SUBJECTS["naive"]
    folder = fresh(subject, tmp_path / "folder")
    log = tmp_path / "log"
    assert strace.traced(lambda: subject.go(folder, 0), order.OPTIONS, log) == 0
    assert any("never on the disk" in fault for fault in order.violations(log, folder, ("out",)))

    def too_early() -> int:
        """Write, rename, and nothing more."""
        (folder / "out" / "part").write_bytes(b"H-101")
        (folder / "out" / "part").rename(folder / "out" / "paper")
        return 0

    assert strace.traced(too_early, order.OPTIONS, log) == 0
    found = list(order.violations(log, folder, ("out",)))
    assert any("renamed before part" in fault for fault in found)
    assert any("its name is not on the disk" in fault for fault in found)
