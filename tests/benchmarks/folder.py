"""What the watched folder bears: many files, a pause in the middle, several watchers on one inbox.

    python -m tests.benchmarks.folder --files 20000 --watchers 1
    python -m tests.benchmarks.folder --files 5000 --watchers 4

The plans are the plain ones of `tests/plans.py`: what is measured is the folder and the ledger. Half the files are
dropped while nobody watches, the other half while the watchers are at work. Then every order must wait exactly once,
its file lie in `done/`, and nothing be left. CPU seconds are those of all the watchers together.
"""

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import plugins
from pipeline.ledger import Ledger
from pipeline.request import LEDGER_FILE
from pipeline.watch.clock import SystemClock
from pipeline.watch.log import LineLog
from pipeline.watch.service import Watcher
from tests.host.folder import ORDER, make_shop
from tests.host.plain import STAGES
from tests.watch.house import Done


class Idle:
    """Plans nothing: the week is not what is measured."""

    def begin(self, *_: object) -> Done:
        """A week in which all is well."""
        from pipeline.watch.week import Standing

        return Done(Standing())


def watch(shop: Path) -> None:
    """One watcher, until the inbox has been empty for a while."""
    plugins.STAGES = STAGES
    stop = threading.Event()
    clock = SystemClock(stop)
    watcher = Watcher(shop, clock, Idle(), LineLog(shop / f"log-{os.getpid()}"), stop)
    watcher.open()
    quiet = 0
    while quiet < 3:
        busy = any(shop.joinpath("inbox").glob("*.yaml"))
        quiet = 0 if busy else quiet + 1
        clock.wait(watcher.cycle() if not busy else max(0.1, min(1.0, watcher.cycle())))
    watcher.close()


def drop(shop: Path, numbers: range) -> None:
    """Drop orders as one should: written beside the inbox, then renamed in."""
    for number in numbers:
        part = shop / "inbox" / f".{number}.part"
        part.write_text(ORDER.format(job=f"H-{number:06}", pieces=1 + number % 9), "utf-8")
        part.rename(shop / "inbox" / f"order-{number:06}.yaml")


def say(line: str) -> None:
    """Print a line."""
    sys.stdout.write(line + "\n")


def measure(files: int, watchers: int) -> None:
    """Drop, watch, count, print."""
    shop = make_shop(Path(tempfile.mkdtemp()) / "shop")
    try:
        (shop / "inbox").mkdir()
        drop(shop, range(files // 2))
        command = [sys.executable, "-m", "tests.benchmarks.folder", "--watch", str(shop)]
        started = [subprocess.Popen(command) for _ in range(watchers)]
        drop(shop, range(files // 2, files))
        ended = [os.wait4(process.pid, 0) for process in started]
        seconds = sum(usage.ru_utime + usage.ru_stime for _, _, usage in ended)
        peak = max(usage.ru_maxrss for _, _, usage in ended) / 1024
        with Ledger.open(shop / LEDGER_FILE) as ledger:
            waiting = ledger.waiting_jobs()
        done = sum(1 for _ in (shop / "done").glob("*/*.yaml"))
        told = [line for log in shop.glob("log-*") for line in log.read_text("ascii").splitlines()]
        left = [path.name for name in ("inbox", "work", "rejected") for path in (shop / name).glob("[!.]*")]
        received = sum('"received"' in line for line in told)
        each = 1000 * seconds / files
        once = len(set(waiting)) == len(waiting) == files
        say(f"{files} files, {watchers} watchers: {seconds:.0f} s CPU, {each:.1f} ms each, {peak:.0f} MB")
        say(f"  waiting {len(waiting)}, each once: {once}; in done/ {done}; told of as received {received}")
        say(f"  left behind: {left or 'nothing'}")
    finally:
        shutil.rmtree(shop.parent)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--files", type=int, default=1000)
    parser.add_argument("--watchers", type=int, default=1)
    parser.add_argument("--watch", type=Path, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.watch:
        watch(options.watch)
    else:
        began = time.monotonic()
        measure(options.files, options.watchers)
        say(f"  {time.monotonic() - began:.0f} s by the clock on the wall")
