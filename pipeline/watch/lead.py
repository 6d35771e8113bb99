"""What one watcher does for all: it has the week planned and closed, and shows the page.

It holds the lock `work/lead.lock`; when it ends, another takes over. Planning and closing run in a process of
their own, so that orders are acknowledged meanwhile.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import ClassVar
from zoneinfo import ZoneInfo

from attrs import evolve, field, frozen

from pipeline.batch import open_batch, shop_signature
from pipeline.ledger import Ledger, LedgerError
from pipeline.model.folder import WatchedFolder
from pipeline.plugin_manager import load_plugins
from pipeline.problems import StopRun
from pipeline.request import Request
from pipeline.shop import ClosingPolicy, Shop
from pipeline.stages import PluginFailed, Stages
from pipeline.watch import week
from pipeline.watch.backoff import Backoff
from pipeline.watch.board import LEAD, Board, write_page
from pipeline.watch.clock import Clock
from pipeline.watch.fault import words_of
from pipeline.watch.layout import Layout
from pipeline.watch.lock import Lock
from pipeline.watch.log import Log
from pipeline.watch.week import Closed, Standing
from pipeline.watch.worker import Task, Workers

PAGE_SECONDS = 30
"""The page is written at least so often, so that its time shows that the watcher is alive."""

QUICK_SECONDS = 2
"""And not more often than this."""

MOST_FAULTS = 10
"""So many are shown."""


@frozen
class _Key:
    """What a plan was made from: when it is another, a new one is made."""

    pulse: tuple[int, int]
    shop: tuple[tuple[str, int, int], ...] = field(repr=False)
    day: date


class Lead:
    """Plans, closes and shows, when it is ours to do so."""

    TASKS: ClassVar[tuple[str, ...]] = ("the plan", "the closing", "the page")

    def __init__(self, layout: Layout, clock: Clock, workers: Workers, log: Log, backoff: Backoff) -> None:
        self._layout = layout
        self._clock = clock
        self._workers = workers
        self._log = log
        self._backoff = backoff
        self._lock: Lock | None = None
        self._signature: tuple[tuple[str, int, int], ...] = ()
        self._shop: Shop | None = None
        self._stages: Stages | None = None
        self._task: tuple[_Key, Task[Standing | Closed]] | None = None
        self._planned: _Key | None = None
        self._tried: _Key | None = None
        self._standing: Standing | None = None
        self._held: Mapping[str, Sequence[str]] = {}
        self._board = Board(layout)
        #: What lay in the inbox at the last look.
        self.arriving: Sequence[Path] = ()
        self._shown: WatchedFolder | None = None
        self._shown_at = float("-inf")

    def see_to_shop(self, request: Callable[[], Request]) -> Shop:
        """The shop, read anew when one of its files changed. Raises StopRun and PluginFailed."""
        signature = shop_signature(self._layout.root)
        if self._shop is None or signature != self._signature:
            shop = open_batch(request()).shop
            self._stages = load_plugins(shop)
            self._shop, self._signature = shop, signature
        return self._shop

    def see_to_week(self, ledger: Ledger) -> None:
        """Plan what is gathered when that changed, close it when it is time. Raises what the ledger raises."""
        if not self._leads() or self._shop is None:
            return
        self._collect()
        if self._task is not None:
            return
        now = self._clock.now()
        today = now.astimezone(ZoneInfo(self._shop.time_zone)).date()
        key = _Key(ledger.pulse(), self._signature, today)
        if self._shop.watch.policy is ClosingPolicy.EACH:
            if key != self._tried and self._ready("the closing"):
                self._tried = key
                if jobs := ledger.waiting_jobs():
                    self._start(key, week.close, self._layout.root, now, jobs)
        elif self._standing and self._standing.closes and self._standing.closes <= now and key != self._tried:
            if self._ready("the closing"):
                # Once: what stays behind then, the plan may take for what can go on.
                self._tried = key
                self._start(key, week.close, self._layout.root, now)
        elif key != self._planned and self._ready("the plan"):
            if ledger.waiting_jobs():
                self._start(key, week.plan_as_it_stands, self._layout.root, now)
            else:
                week.withdraw_plan(self._layout.out)
                self._planned, self._standing = key, Standing()

    def show(self) -> None:
        """Write the page and its data, when they say something new or are old."""
        now = self._clock.monotonic()
        age = now - self._shown_at
        if not self._leads() or age < QUICK_SECONDS or not self._ready("the page"):
            return
        try:
            folder = self._look()
            if folder is None or (age < PAGE_SECONDS and self._says_the_same(folder)):
                return
            self._write(folder)
        except (LedgerError, OSError, StopRun, PluginFailed) as error:
            self._failed("the page", words_of(error))
            return
        self._backoff.worked("the page")
        self._shown, self._shown_at = folder, now

    def close(self) -> None:
        """Another may lead. What is being planned or closed is cut off: it is done again."""
        if self._task is not None:
            self._task[1].stop()
            self._task = None
        if self._lock is not None:
            self._lock.release()
            self._lock = None

    def _look(self) -> WatchedFolder | None:
        faults = self._backoff.faults[:MOST_FAULTS]
        if self._shop is None:
            return None
        if not Ledger.is_there(self._shop):
            now = self._clock.now().astimezone(ZoneInfo(self._shop.time_zone))
            return evolve(self._shown, at=now, faults=faults) if self._shown else None
        with Ledger.of(self._shop) as ledger:
            closes = self._standing.closes if self._standing else None
            now = self._clock.now()
            return self._board.look(ledger, self._shop, now, closes, self._held, faults, self.arriving)

    def _says_the_same(self, folder: WatchedFolder) -> bool:
        return self._shown is not None and folder == evolve(self._shown, at=folder.at)

    def _write(self, folder: WatchedFolder) -> None:
        if self._shop is None or self._stages is None:
            raise AssertionError("a folder is shown after its shop was read")
        write_page(self._layout, folder, self._stages.show_folder(folder=folder, shop=self._shop))

    def _leads(self) -> bool:
        if self._lock is None and self._layout.work.is_dir():
            self._lock = Lock.take(self._layout.work / LEAD)
        return self._lock is not None

    def _start(self, key: _Key, work: Callable[..., Standing | Closed], *given: object) -> None:
        self._task = (key, self._workers.begin(work, *given))

    def _collect(self) -> None:
        """Take what a process has done, if it has."""
        if self._task is None or not self._task[1].done():
            return
        (key, task), self._task = self._task, None
        try:
            result = task.result()
        except ChildProcessError as error:
            self._failed("the plan", words_of(error))
            self._failed("the closing", words_of(error))
            self._tried = None
            return
        if isinstance(result, Standing):
            self._take_standing(key, result)
        else:
            self._take_closed(result)

    def _take_standing(self, key: _Key, standing: Standing) -> None:
        if standing.fault:
            self._failed("the plan", standing.fault)
            return
        self._backoff.worked("the plan")
        self._planned, self._standing, self._held = key, standing, standing.held
        closes = standing.closes.isoformat() if standing.closes else ""
        self._log(self._clock.now(), "planned", held=len(standing.held), closes=closes)

    def _take_closed(self, closed: Closed) -> None:
        if closed.labels:
            self._log(self._clock.now(), "closed", runs=" ".join(closed.labels), held=len(closed.held))
        if closed.fault:
            self._failed("the closing", closed.fault)
            self._tried = None
            return
        self._backoff.worked("the closing")
        self._planned = self._standing = None
        self._held = closed.held

    def _ready(self, task: str) -> bool:
        return self._backoff.ready(task, self._clock.monotonic())

    def _failed(self, task: str, fault: str) -> None:
        if self._backoff.failed(task, self._clock.monotonic(), fault):
            self._log(self._clock.now(), "failed", what=task, fault=fault)
