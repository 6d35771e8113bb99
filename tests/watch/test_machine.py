"""Anything that can happen to a watched shop, in any order: a model of two dictionaries must always agree with it."""

import shutil
import tempfile
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

import plugins
from pipeline.model.run import RunKind
from pipeline.request import Request
from pipeline.run import run
from pipeline.watch.service import Watcher
from tests.host import folder, plain
from tests.watch.house import NOON, SETTLED, House

JOBS = ("H-101", "H-102", "H-103")


class Crash(BaseException):
    """The power goes."""


class Days(RuleBasedStateMachine):
    """A shop beside a model: what waits, by job; what was invoiced, in the order of the numbers; what was refused."""

    @initialize()
    def open(self) -> None:
        """A shop on a Monday, with one watcher."""
        self.before, plugins.STAGES = plugins.STAGES, plain.STAGES
        self.place = Path(tempfile.mkdtemp())
        self.house = House(root=folder.make_shop(self.place / "shop"))
        self.watchers: list[Watcher] = [self.house.watcher()]
        self.dropped: list[tuple[str, int]] = []
        self.count = 0
        self.waiting: dict[str, int] = {}
        self.invoiced: dict[str, int] = {}
        self.refused = 0
        self.latest = NOON

    @rule(job=st.sampled_from(JOBS), pieces=st.integers(1, 3))
    def drop(self, job: str, pieces: int) -> None:
        """An order, or an edit of one, or the same again."""
        self.count += 1
        self.house.clock.wait(1)
        self.house.drop(job, pieces=pieces, name=f"drop-{self.count}.yaml")
        self.dropped.append((job, pieces))

    @rule()
    def look(self) -> None:
        """The watchers take in what was dropped, in turn."""
        for watcher in self.watchers:
            watcher.cycle()
        self.house.clock.wait(SETTLED)
        for watcher in self.watchers:
            watcher.cycle()
        self._expect()

    @precondition(lambda self: self.dropped)
    @rule(step=st.sampled_from(["read", "receive", "settle"]))
    def crash(self, step: str) -> None:
        """The first watcher ends in the middle of an order; another is started."""
        watcher, house = self.watchers[0], self.house
        for other in self.watchers:
            other.cycle()
        house.clock.wait(SETTLED)
        with pytest.MonkeyPatch.context() as patch:
            names = {
                "read": "pipeline.watch.claim.Claim.read",
                "receive": "pipeline.ledger.Ledger.receive",
                "settle": "pipeline.watch.intake.settle",
            }

            def dies(*_: Any) -> None:
                raise Crash

            patch.setattr(names[step], dies)
            with pytest.raises(Crash):
                watcher.cycle()
        self._die(watcher)
        self.watchers[0] = house.watcher()
        house.clock.wait(SETTLED)
        self.look()

    @staticmethod
    def _die(watcher: Watcher) -> None:
        """What the system does for a process that ends: its locks are free, their files stay."""
        locks = [*watcher._claims._locks.values(), *filter(None, [watcher._lead._lock])]
        for lock in locks:
            path = lock.path
            lock.release()
            path.touch()

    @rule()
    def restart(self) -> None:
        """In good order."""
        self.watchers.pop(0).close()
        self.watchers.insert(0, self.house.watcher())

    @precondition(lambda self: len(self.watchers) == 1)
    @rule()
    def second_watcher(self) -> None:
        """On the same folder."""
        self.watchers.append(self.house.watcher())

    @precondition(lambda self: not self.dropped)
    @rule()
    def close_the_week(self) -> None:
        """By hand. Numbers follow the jobs' names; a day before the last closing is refused."""
        self.latest = max(self.latest, self.house.clock.now())
        self.house.clock.set(self.latest)
        run(Request(kind=RunKind.RUN, shop=self.house.root, gathered=(), now=self.house.clock.now()))
        for job in sorted(self.waiting):
            self.invoiced[job] = self.waiting.pop(job)

    @precondition(lambda self: self.waiting)
    @rule(data=st.data())
    def withdraw(self, data: st.DataObject) -> None:
        """A customer changes her mind."""
        job = data.draw(st.sampled_from(sorted(self.waiting)))
        if any(job == other for other, _ in self.dropped):
            return
        self.count += 1
        with self.house.ledger() as ledger:
            assert ledger.withdraw(job, f"withdrawn-{self.count}", self.house.clock.now())
        del self.waiting[job]

    @rule(hours=st.integers(1, 30))
    def clock_set_back(self, hours: int) -> None:
        """Somebody sets the clock; the files of then are older than those of before."""
        self.house.clock.set(max(NOON, self.house.clock.now() - timedelta(hours=hours)))

    @rule(hours=st.integers(1, 30))
    def later(self, hours: int) -> None:
        """Time passes."""
        self.house.clock.set(min(NOON + timedelta(days=5), self.house.clock.now() + timedelta(hours=hours)))

    def _expect(self) -> None:
        """What the model says of what was dropped since."""
        for job, pieces in self.dropped:
            if job not in self.invoiced:
                self.waiting[job] = pieces
            elif self.invoiced[job] != pieces:
                self.refused += 1
        self.dropped.clear()

    @invariant()
    def agrees(self) -> None:
        """No order is lost or doubled, no number either; nothing lies about."""
        if self.dropped or not hasattr(self, "house"):
            return
        house = self.house
        assert sorted(house.waiting()) == sorted(self.waiting)
        assert house.invoices() == {job: f"2026-{n:04}" for n, job in enumerate(self.invoiced, 1)}
        with house.ledger() as ledger:
            sizes = {
                drop.job: drop.file.count(b"M: ") and int(drop.file.split(b"M: ")[1][:1])
                for drop in ledger.waiting()
            }
        assert sizes == self.waiting
        assert house.names("inbox") == house.names("work") == []
        assert len(house.events("rejected")) == self.refused
        assert house.events("failed") == []

    def teardown(self) -> None:
        """In the end the ledger fits."""
        if hasattr(self, "house"):
            with self.house.ledger() as ledger:
                assert ledger.check() == ()
            for watcher in self.watchers:
                watcher.close()
            shutil.rmtree(self.place)
            plugins.STAGES = self.before


TestDays = Days.TestCase
TestDays.settings = settings(settings.get_profile("repeatable"), max_examples=8, stateful_step_count=14)
