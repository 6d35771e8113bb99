"""A watched shop for a test: a clock that the test moves, work that is done at once, and what was told."""

import threading
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, TypeVar

from attrs import define, field

from pipeline.ledger import Ledger
from pipeline.request import LEDGER_FILE
from pipeline.watch.layout import Layout
from pipeline.watch.service import Watcher
from pipeline.watch.worker import Task
from tests.host.folder import ORDER

R = TypeVar("R")

NOON = datetime(2026, 11, 30, 12, tzinfo=UTC)
"""A Monday; in the shop's zone it is morning."""

SETTLED = 6.0
"""Seconds after which a file that is left alone is complete."""


@define
class FakeClock:
    """Time passes when somebody waits."""

    time: datetime = NOON
    passed: float = 1000.0

    def now(self) -> datetime:
        """The time of day, which `set_back` changes."""
        return self.time

    def monotonic(self) -> float:
        """Seconds."""
        return self.passed

    def wait(self, seconds: float) -> None:
        """Let time pass."""
        self.time += timedelta(seconds=seconds)
        self.passed += seconds

    def set(self, time: datetime) -> None:
        """Somebody sets the clock; the seconds go on as ever."""
        self.time = time


@define
class Done:
    """A task that is done."""

    answer: Any

    def done(self) -> bool:
        """Yes."""
        return True

    def result(self) -> Any:
        """What came of it."""
        if isinstance(self.answer, Exception):
            raise self.answer
        return self.answer

    def stop(self) -> None:
        """Too late."""


class AtOnce:
    """Work is done when it is begun."""

    def begin(self, work: Callable[..., R], *given: object) -> Task[R]:
        """Do it."""
        return Done(work(*given))


@define
class House:
    """One shop, and watchers of it."""

    root: Path
    clock: FakeClock = field(factory=FakeClock)
    told: list[tuple[str, dict[str, Any]]] = field(factory=list)
    stop: threading.Event = field(factory=threading.Event)
    workers: Any = field(factory=AtOnce)

    @property
    def layout(self) -> Layout:
        """Its folders."""
        return Layout(root=self.root)

    def watcher(self, owner: str = "") -> Watcher:
        """A watcher that was started."""
        made = Watcher(self.root, self.clock, self.workers, self.log, self.stop, owner)
        made.open()
        return made

    def log(self, _: datetime, event: str, **details: Any) -> None:
        """Keep what is told."""
        self.told.append((event, details))

    def events(self, *names: str) -> list[str]:
        """What happened to which job, in order."""
        return [f"{event} {details.get('job', '')}".strip() for event, details in self.told if event in names]

    def drop(self, job: str, pieces: int = 6, name: str = "", text: str = "") -> Path:
        """Drop an order, as a rename does: whole."""
        self.layout.inbox.mkdir(exist_ok=True)
        path = self.layout.inbox / (name or f"{job.lower()}.yaml")
        path.write_text(text or ORDER.format(job=job, pieces=pieces), "utf-8")
        return path

    def settle(self, watcher: Watcher, cycles: int = 2) -> None:
        """Let files become complete and be taken in."""
        for _ in range(cycles):
            watcher.cycle()
            self.clock.wait(SETTLED)
        watcher.cycle()

    def ledger(self) -> Ledger:
        """The ledger."""
        return Ledger.open(self.root / LEDGER_FILE)

    def waiting(self) -> list[str]:
        """The jobs that wait."""
        with self.ledger() as ledger:
            return list(ledger.waiting_jobs())

    def invoices(self) -> dict[str, str]:
        """Number by job, of all that is recorded."""
        found = {}
        for path in sorted(self.layout.out.glob("*/orders/*.txt")):
            number, job, _ = path.read_text("utf-8").split()
            if number != "quote":
                found[job] = number
        return found

    def names(self, folder: str) -> list[str]:
        """The names of the files in a folder of this name and all below, without what tells them apart."""
        files = [path for path in (self.root / folder).rglob("[!.]*") if not path.is_dir()]
        files = [path for path in files if path.suffix != ".lock"]
        return sorted(".".join(part for part in path.name.split(".") if len(part) != 16) for path in files)
