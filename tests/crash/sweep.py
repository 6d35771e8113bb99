"""Every write, fsync, rename and so on of a run fails in turn: `python -m tests.crash.sweep run --every 1`.

After each fault the same is run once more without one; then all must be as if there had been none. Prints one JSON
line for each kind of fault, with the points at which something was wrong.
"""

import argparse
import json
import os
import sys
import tempfile
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

from attrs import frozen

from tests.crash import strace
from tests.crash.subjects import SUBJECTS, Subject, fresh
from tests.watch.journey import plain_stages

ALLOWED = {"kill": (137, 0), "full": (0, 74), "failing": (0, 74)}
"""How a program may end: by the signal, or well where the call was not reached or did not matter; else with 74."""


@frozen
class Point:
    """Where a fault is injected."""

    call: str
    number: int
    fault: str
    lasting: bool = False


def points(subject: Subject, root: Path) -> Iterator[Point]:
    """Every one, as often as each call is made when nothing goes wrong."""
    log = root / "counted"
    folder = fresh(subject, root / "counting")
    strace.traced(lambda: subject.go(folder, 0), ["-e", f"trace={','.join(strace.CALLS)}"], log)
    for call, times in sorted(strace.counts(log).items()):
        for fault in strace.FAULTS:
            for number in range(1, times + 1):
                yield Point(call, number, fault)
        for number in range(1, times + 1):
            yield Point(call, number, "full", lasting=True)


def clean(subject: Subject, root: Path) -> Path:
    """What is there when nothing goes wrong."""
    folder = fresh(subject, root / "clean")
    _alone(subject, folder, 0)
    return folder


def wrong(subject: Subject, point: Point, root: Path, good: Path) -> list[str]:
    """What is wrong after a fault at this point and one more run; the exit code of either, too."""
    folder = fresh(subject, root / "folder")
    options = strace.inject(point.call, point.number, point.fault, point.lasting)
    code = strace.traced(lambda: subject.go(folder, 0), options, root / "log")
    found = [] if code in ALLOWED[point.fault] else [f"it ended with {code}"]
    if again := _alone(subject, folder, 1):
        return [*found, f"run again, it ended with {again}"]
    return found + subject.faults(folder, good)


def _alone(subject: Subject, folder: Path, before: int) -> int:
    """Go in a process of its own, without a fault; its exit code."""
    child = os.fork()
    if child == 0:
        code = 99
        try:
            code = subject.go(folder, before)
        finally:
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _tell(line: object) -> None:
    sys.stdout.write(f"{json.dumps(line)}\n")
    sys.stdout.flush()


def main() -> int:
    """Sweep; 1 when anything was wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("subject", choices=SUBJECTS)
    parser.add_argument("--every", type=int, default=1, help="only each n-th point")
    options = parser.parse_args()
    subject = SUBJECTS[options.subject]
    total = bad = 0
    with plain_stages(), tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        good = clean(subject, root)
        chosen = list(points(subject, root))[:: options.every]
        for kind, group in groupby(chosen, key=lambda point: (point.call, point.fault, point.lasting)):
            tried = list(group)
            faults = {point.number: wrong(subject, point, root, good) for point in tried}
            at = {number: found for number, found in faults.items() if found}
            call, fault, lasting = kind
            line = {"call": call, "fault": fault, "lasting": lasting, "points": len(tried), "wrong": len(at)}
            _tell(line | ({"at": at} if at else {}))
            total, bad = total + len(tried), bad + len(at)
    seconds = round(sum(os.times()[:4]))
    _tell({"subject": options.subject, "points": total, "wrong": bad, "cpu_seconds": seconds})
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main())
