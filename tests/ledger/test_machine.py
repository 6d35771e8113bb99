"""Anything that can be done to a ledger, in any order: a model of three lines must always agree with it."""

from contextlib import ExitStack
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from attrs import evolve
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from pipeline.canonical import digest
from pipeline.ledger import Ledger, LedgerMoved, Snapshot, number
from pipeline.model.prints import StockUse
from pipeline.model.run import Run
from pipeline.problems import StopRun
from tests.builders import MONDAY, make_document, make_order, make_shop
from tests.ledger.databases import needs_server, place_for
from tests.plans import make_plan, make_run

CUSTOMERS = ("harbour-bakery", "sailing-school")


class Books(RuleBasedStateMachine):
    """The ledger beside a model: jobs in the order of their numbers, and copies left by lot."""

    kind = "sqlite"

    @initialize()
    def open(self) -> None:
        """A new ledger on a Monday of November."""
        self.stack = ExitStack()
        folder = Path(self.stack.enter_context(TemporaryDirectory()))
        self.place = self.stack.enter_context(place_for(self.kind, folder))
        self.ledger = Ledger.open(self.place)
        shop = make_shop()
        self.shop = evolve(shop, packing=evolve(shop.packing, gs1_prefix="9999999"))
        self.today = MONDAY
        self.jobs: list[tuple[str, int]] = []
        self.left: dict[int, tuple[str, int]] = {}
        self.stale: Snapshot | None = None

    def planned(self, count: int, customer: str, surplus: int, uses: tuple[StockUse, ...], at: Snapshot) -> Run:
        """A numbered run of `count` new jobs of one customer."""
        names = [f"H-{len(self.jobs) + index + 1:03}" for index in range(count)]
        orders = [make_order(name, customer=customer, sha256=digest(name.encode())) for name in names]
        plan = make_plan(self.shop, orders, surplus=surplus, stock_uses=uses, on=at.on)
        label = at.free_label("2026-W49")
        return number(make_run(shop=self.shop, plan=plan, date=at.on, label=label), at)

    def record(self, run: Run, at: Snapshot) -> None:
        """Record with one paper."""
        self.ledger.record(run, at, {o.job: o.job.encode() for o in run.orders}, [make_document()])

    @rule(count=st.integers(1, 3), customer=st.sampled_from(CUSTOMERS), surplus=st.integers(0, 4), data=st.data())
    def new_run(self, count: int, customer: str, surplus: int, data: st.DataObject) -> None:
        """New jobs get the next numbers; surplus becomes lots, and what is taken is taken off."""
        at = self.ledger.read([], on=self.today)
        own = [lot for lot in at.stock if lot.customer == customer]
        uses = tuple(
            StockUse(lot=lot.lot, demand="P01", copies=copies)
            for lot in own
            if (copies := data.draw(st.integers(0, min(lot.copies, 2)), label=f"from lot {lot.lot}"))
        )
        run = self.planned(count, customer, surplus, uses, at)
        self.record(run, at)
        self.jobs += [(order.job, run.date.year) for order in run.orders]
        for use in uses:
            self.left[use.lot] = (customer, self.left[use.lot][1] - use.copies)
        for _ in range(count if surplus else 0):
            self.left[len(self.left) + 1] = (customer, surplus)

    @rule()
    def keep_a_snapshot(self) -> None:
        """Somebody begins to plan."""
        self.stale = self.ledger.read([], on=self.today)

    @precondition(lambda self: self.stale is not None)
    @rule()
    def record_on_a_snapshot_kept(self) -> None:
        """Who planned on what is no longer so must plan again; else numbers would be given twice."""
        at, self.stale = self.stale, None
        assert at is not None
        moved = at.version != self.ledger.read([], on=self.today).version
        run = self.planned(1, CUSTOMERS[0], 0, (), at)
        if moved:
            with pytest.raises(LedgerMoved):
                self.record(run, at)
        else:
            self.record(run, at)
            self.jobs.append((run.orders[0].job, run.date.year))

    @precondition(lambda self: self.left)
    @rule(data=st.data())
    def take_too_much(self, data: st.DataObject) -> None:
        """More than is there, or another's prints: refused, and nothing is recorded."""
        lot = data.draw(st.sampled_from(sorted(self.left)))
        owner, copies = self.left[lot]
        other = data.draw(st.booleans())
        customer = next(c for c in CUSTOMERS if (c == owner) != other)
        use = StockUse(lot=lot, demand="P01", copies=1 if other else copies + 1)
        at = self.ledger.read([], on=self.today)
        run = self.planned(1, customer, 0, (), at)
        run = evolve(run, plan=evolve(run.plan, prints=evolve(run.plan.prints, stock_uses=(use,))))
        with pytest.raises(StopRun, match="E608"):
            self.record(run, at)

    @precondition(lambda self: self.jobs)
    @rule(same=st.booleans(), data=st.data())
    def repeat(self, same: bool, data: st.DataObject) -> None:
        """A job that was recorded keeps its number, and tells a changed file by its hash."""
        job, _ = data.draw(st.sampled_from(self.jobs))
        known = self.ledger.read([job], on=self.today).of(job)
        assert known is not None
        file = job.encode() if same else job.encode() + b"!"
        assert (known.sha256 == digest(file)) == same
        assert self.ledger.file(job) == job.encode()

    @rule(days=st.integers(1, 40))
    def later(self, days: int) -> None:
        """Time passes, over the end of the year too."""
        self.today += timedelta(days=days)
        self.stale = None

    @precondition(lambda self: self.jobs)
    @rule()
    def clock_set_back(self) -> None:
        """A day before the last issue: refused."""
        last = self.ledger.read([], on=self.today).last_issue
        assert last is not None
        at = self.ledger.read([], on=last - timedelta(days=1))
        with pytest.raises(StopRun, match="E602"):
            self.record(self.planned(1, CUSTOMERS[0], 0, (), at), at)

    @rule()
    def restart(self) -> None:
        """The program ends and begins again; everything fits."""
        assert self.ledger.check() == ()
        self.ledger.__exit__(None, None, None)
        self.ledger = Ledger.open(self.place)

    @invariant()
    def agrees(self) -> None:
        """Numbers run 1..n in each year in the order of the jobs, cartons' for ever; stock is what is left."""
        at = self.ledger.read([job for job, _ in self.jobs], on=self.today)
        expected, counts = [], dict[int, int]()
        for job, year in self.jobs:
            counts[year] = counts.get(year, 0) + 1
            expected.append((job, f"{year}-{counts[year]:04}"))
        assert [(known.job, known.invoice) for known in at.recorded] == expected
        # Each order is one carton.
        assert at.next_carton == len(self.jobs) + 1
        assert at.next_invoice == counts.get(self.today.year, 0) + 1
        good = {lot.lot: (lot.customer, lot.copies) for lot in at.stock}
        assert all(self.left[lot] == found for lot, found in good.items())

    def teardown(self) -> None:
        """In the end everything fits, and nothing stays on the disk."""
        if hasattr(self, "ledger"):
            assert self.ledger.check() == ()
            self.ledger.__exit__(None, None, None)
            self.stack.close()


TestBooks = Books.TestCase
TestBooks.settings = settings(settings.get_profile("repeatable"), max_examples=15, stateful_step_count=15)


class BooksOnServer(Books):
    """The same on a server."""

    kind = "postgresql"


TestBooksOnServer = needs_server(BooksOnServer.TestCase)
TestBooksOnServer.settings = settings(TestBooks.settings, max_examples=3)
