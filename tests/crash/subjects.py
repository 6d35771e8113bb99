"""What is swept: a run, a day of the watched folder, and how one would write a run without thinking of either.

Each has a folder made ready, a way to go, which is gone again after a fault, and all that counts in the end.
"""

import io
import shutil
import sys
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

from attrs import frozen

from pipeline.cli import main
from pipeline.exit_codes import ExitCode
from pipeline.ledger import Ledger, LedgerError
from pipeline.request import LEDGER_FILE
from tests.host import folder
from tests.ledger import journey as ledger_journey
from tests.ledger.databases import dump
from tests.ledger.test_crash import tree, violations
from tests.watch import journey as watch_journey
from tests.watch.house import NOON, House
from tests.watch.test_crash import state

JOBS = ("H-101", "H-102")


@frozen
class Subject:
    """One of them. `go` gets the folder and how often it went before, and returns an exit code."""

    prepare: Callable[[Path], object]
    go: Callable[[Path, int], int]
    #: What is wrong, compared with a folder in which nothing went wrong.
    faults: Callable[[Path, Path], list[str]]


def _prepare_run(root: Path) -> None:
    shop = folder.make_shop(root / "shop")
    for job in JOBS:
        folder.write(shop, job)


def _run(root: Path, _: int) -> int:
    # Without words: a terminal that fails is not what is tested.
    sys.stdout = sys.stderr = io.StringIO()
    return main(["run", str(root / "shop" / "week"), "--date", "2026-11-30"])


def _run_faults(root: Path, clean: Path) -> list[str]:
    shop, good = root / "shop", clean / "shop"
    found = []
    if tree(shop / "out") != tree(good / "out"):
        found.append("the papers differ")
    if dump(shop / LEDGER_FILE) != dump(good / LEDGER_FILE):
        found.append("the ledger differs")
    with Ledger.open(shop / LEDGER_FILE) as ledger:
        found += [str(problem) for problem in ledger.check()]
        found += [f"{label} is not delivered" for label in ledger.undelivered()]
        numbers = [item.number for item in ledger.items()]
    if numbers != [f"2026-{number:04}" for number in range(1, 1 + len(JOBS))]:
        found.append(f"the numbers are {numbers}")
    return found + _left(shop)


def _left(shop: Path) -> list[str]:
    """Temporary files, and anything beside what was there before but the ledger."""
    names = {path.name for path in shop.iterdir()}
    extra = names - {path.name for path in folder_names()} - {"out", LEDGER_FILE, "week", "ledger.sqlite-journal"}
    parts = [path.name for path in shop.rglob("*.part")]
    return [f"left behind: {name}" for name in sorted(extra) + parts]


def folder_names() -> list[Path]:
    """What stands in the shop that is copied."""
    return list(folder.SHOP.iterdir())


def _prepare_watch(root: Path) -> None:
    shop = watch_journey.prepare(root)
    House(root=shop).drop("H-101")


def _watch(root: Path, before: int) -> int:
    try:
        return _watched(root, before)
    except LedgerError:
        return ExitCode.UNWRITABLE  # at the start, as the command does: later it is tried again


def _watched(root: Path, before: int) -> int:
    house = House(root=root / "shop")
    watcher = house.watcher(f"1-{'abcdef'[before]}")
    # What fails is tried again after at most a minute.
    house.clock.set(NOON)
    house.settle(watcher, cycles=12)
    # Past the full hour: a closing that is tried again after a minute begins to press in the same quarter.
    house.clock.set(NOON + timedelta(hours=12, minutes=1))
    house.settle(watcher, cycles=12)
    watcher.close()
    return 0


def _watch_faults(root: Path, clean: Path) -> list[str]:
    found, good = state(root / "shop"), state(clean / "shop")
    return [f"{name} differs" for name in good if found[name] != good[name]]


def _prepare_naive(root: Path) -> None:
    (root / "out").mkdir()


def _naive(root: Path, _: int) -> int:
    ledger_journey.naively(root)
    return 0


SUBJECTS = {
    "run": Subject(_prepare_run, _run, _run_faults),
    "watch": Subject(_prepare_watch, _watch, _watch_faults),
    "naive": Subject(_prepare_naive, _naive, violations),
}


def fresh(subject: Subject, root: Path) -> Path:
    """The folder, made ready anew."""
    shutil.rmtree(root, ignore_errors=True)
    root.mkdir(parents=True)
    subject.prepare(root)
    return root
