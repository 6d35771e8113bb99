"""Deposits, runs, credit notes, payments and counts in any order: a small model must always agree with the ledger.

What a customer owes, by the model, is what was invoiced less what was paid before, credited and paid; each series
of numbers runs from 1 in its year; no act is half done.
"""

from collections import Counter as Count
from contextlib import ExitStack
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from attrs import define, evolve
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from pipeline.canonical import digest
from pipeline.ledger import Act, Counts, Ledger, LedgerMoved, LineCount, Snapshot, next_numbers, number
from pipeline.model.account import AccountItem, CreditedLine, CreditRequest, Payment, Voucher, VoucherKind
from pipeline.model.cost import Bill
from pipeline.model.money import Money, rounded
from pipeline.problems import StopRun
from plugins.cost.deposits import make_deposit
from tests.builders import MONDAY, make_document, make_order, make_shop
from tests.ledger.books import credit_of
from tests.ledger.databases import needs_server, place_for
from tests.plans import make_bill, make_plan, make_run
from tests.referee_money import faults_of_credit

PIECES = 6
ALL = CreditRequest()


@define
class Job:
    """What the model knows of a job: amounts of its deposit and its invoice, in minor units."""

    name: str
    deposit: str = ""
    invoice: str = ""
    counted: bool = False


@define
class Paper:
    """What the model knows of an invoice or deposit invoice."""

    due: int
    credited: int = 0
    paid: int = 0
    pieces: int = 0

    @property
    def open(self) -> int:
        """What is owed."""
        return self.due - self.credited - self.paid


class MoneyBooks(RuleBasedStateMachine):
    """The ledger beside the model."""

    kind = "sqlite"

    @initialize()
    def open(self) -> None:
        """A new ledger in December, so that years end soon."""
        self.stack = ExitStack()
        folder = Path(self.stack.enter_context(TemporaryDirectory()))
        self.place = self.stack.enter_context(place_for(self.kind, folder))
        self.ledger = Ledger.open(self.place)
        self.shop = make_shop()
        self.today = MONDAY
        self.jobs: list[Job] = []
        self.papers: dict[str, Paper] = {}
        self.given: Count[tuple[str, int]] = Count()

    def given_number(self, kind: VoucherKind) -> str:
        """The number that the model expects next."""
        self.given[kind, self.today.year] += 1
        letter = {VoucherKind.INVOICE: "", VoucherKind.CREDIT: "C", VoucherKind.DEPOSIT: "D"}[kind]
        width = 4 if kind is VoucherKind.INVOICE else 3
        return f"{letter}{self.today.year}-{self.given[kind, self.today.year]:0{width}}"

    def give(self, at: Snapshot, kind: VoucherKind, *vouchers: Voucher, counts: tuple[Counts, ...] = ()) -> None:
        """Record numbered vouchers, and see that they have the numbers that the model expects."""
        numbers = next_numbers(kind, len(vouchers), self.shop.numbering, at)
        numbered = tuple(evolve(v, number=n) for v, n in zip(vouchers, numbers, strict=True))
        label = at.free_label(f"{kind}-{at.on}")
        self.ledger.give(Act(label=label, date=at.on, vouchers=numbered, counts=counts), at, self.shop)
        assert [self.given_number(kind) for _ in vouchers] == list(numbers)

    def bill(self, name: str) -> Bill:
        """What a job's order comes to, half of it as a deposit."""
        bill = make_bill(make_order(name), self.shop, self.today)
        return evolve(bill, deposit=rounded(bill.total / 2))

    def pick(self, data: st.DataObject, jobs: list[Job]) -> Job:
        """One of the jobs."""
        return data.draw(st.sampled_from(jobs), label="job")

    @rule()
    def ask_for_a_deposit(self) -> None:
        """A new job, half of it asked for beforehand."""
        job = Job(name=f"H-{len(self.jobs) + 1:03}")
        at = self.ledger.read([job.name], on=self.today)
        bill = make_deposit(self.bill(job.name), self.shop, self.today)
        self.give(at, VoucherKind.DEPOSIT, Voucher(kind=VoucherKind.DEPOSIT, number="", issued=at.on, bill=bill))
        job.deposit = f"D{at.on.year}-{at.next_deposit:03}"
        self.papers[job.deposit] = Paper(due=bill.total)
        self.jobs.append(job)

    @rule(data=st.data())
    def take_an_order_through(self, data: st.DataObject) -> None:
        """A new job, or one whose deposit is settled, gets its invoice, which takes off what was paid."""
        waiting = [job for job in self.jobs if not job.invoice and self.papers[job.deposit].open <= 0]
        job = data.draw(st.sampled_from([None, *waiting]), label="with a deposit")
        if job is None:
            job = Job(name=f"H-{len(self.jobs) + 1:03}")
            self.jobs.append(job)
        at = self.ledger.read([job.name], on=self.today)
        order = make_order(job.name, sha256=digest(job.name.encode()))
        plan = make_plan(self.shop, [order], on=at.on)
        bills = tuple(evolve(bill, prepaid=at.prepaid()) for bill in plan.bills.bills)
        plan = evolve(plan, bills=evolve(plan.bills, bills=bills))
        run = number(make_run(shop=self.shop, plan=plan, date=at.on, label=at.free_label("week")), at)
        self.ledger.record(run, at, {job.name: job.name.encode()}, [make_document()])
        job.invoice = run.invoices[0].number
        assert job.invoice == self.given_number(VoucherKind.INVOICE)
        deposit = self.papers.get(job.deposit, Paper(due=0))
        before = min(deposit.paid, deposit.due - deposit.credited)
        self.papers[job.invoice] = Paper(due=bills[0].total - before, pieces=PIECES)

    def asked(self) -> list[Job]:
        """Jobs with a deposit that is not all credited, and no invoice."""
        papers = self.papers
        return [j for j in self.jobs if not j.invoice and papers[j.deposit].credited < papers[j.deposit].due]

    @precondition(lambda self: self.asked())
    @rule(data=st.data(), whole=st.booleans())
    def take_a_deposit_back(self, data: st.DataObject, whole: bool) -> None:
        """Some of it, or all that is left, paid or not."""
        job = self.pick(data, self.asked())
        paper = self.papers[job.deposit]
        at = self.ledger.read([], on=self.today)
        request = ALL if whole else CreditRequest(amount=Money(-(-(paper.due - paper.credited) // 3)))
        note = credit_of(self.ledger, job.deposit, request, at.on, "")
        self.give(at, VoucherKind.CREDIT, note)
        paper.credited += note.bill.total

    def invoiced(self) -> list[Job]:
        """Jobs with an invoice of which pieces are left."""
        return [job for job in self.jobs if job.invoice and self.papers[job.invoice].pieces]

    @precondition(lambda self: self.invoiced())
    @rule(data=st.data(), pieces=st.integers(1, PIECES), whole=st.booleans())
    def credit(self, data: st.DataObject, pieces: int, whole: bool) -> None:
        """Pieces, or all that is left; more than that is refused and leaves no trace."""
        job = self.pick(data, self.invoiced())
        paper, item = self.papers[job.invoice], self.ledger.item(job.invoice)
        at = self.ledger.read([], on=self.today)
        request = (
            ALL if whole else CreditRequest(lines=(CreditedLine(number=1, pieces=min(pieces, paper.pieces)),))
        )
        note = credit_of(self.ledger, job.invoice, request, at.on, "")
        assert faults_of_credit(item.bill, [n.bill for n in item.credits], note.bill) == []
        self.give(at, VoucherKind.CREDIT, note)
        paper.credited += note.bill.total
        paper.pieces = 0 if whole else paper.pieces - min(pieces, paper.pieces)

    @precondition(lambda self: any(job.invoice and not self.papers[job.invoice].pieces for job in self.jobs))
    @rule(data=st.data())
    def credit_too_much(self, data: st.DataObject) -> None:
        """All is credited, and somebody makes a note all the same: the ledger refuses."""
        job = self.pick(data, [j for j in self.jobs if j.invoice and not self.papers[j.invoice].pieces])
        item = self.ledger.item(job.invoice)
        at = self.ledger.read([], on=self.today)
        note = evolve(item.credits[-1], issued=at.on)
        with pytest.raises(StopRun, match="E610"):
            self.give(at, VoucherKind.CREDIT, note)

    @precondition(lambda self: self.invoiced())
    @rule(data=st.data())
    def credit_on_a_stale_snapshot(self, data: st.DataObject) -> None:
        """Something was paid meanwhile: make it anew."""
        job = self.pick(data, self.invoiced())
        at = self.ledger.read([], on=self.today)
        if self.papers[job.invoice].open <= 0:
            return
        self._pay(job.invoice, 1)
        note = credit_of(self.ledger, job.invoice, ALL, at.on, "")
        with pytest.raises(LedgerMoved):
            self.give(at, VoucherKind.CREDIT, note)

    def _pay(self, number: str, amount: int) -> AccountItem:
        paper = self.papers[number]
        item = self.ledger.pay(number, Payment(paid=self.today, amount=Money(amount)), "USD")
        paper.paid += amount
        return item

    @precondition(lambda self: self.papers)
    @rule(data=st.data(), share=st.integers(1, 4))
    def pay(self, data: st.DataObject, share: int) -> None:
        """A part of what is open, or all; a cent more is refused."""
        name = data.draw(st.sampled_from(sorted(self.papers)), label="paper")
        paper = self.papers[name]
        with pytest.raises(StopRun, match="E634"):
            self.ledger.pay(name, Payment(paid=self.today, amount=Money(max(paper.open, 0) + 1)), "USD")
        if paper.open > 0:
            assert self._pay(name, -(-paper.open // share)).open == paper.open

    @precondition(lambda self: any(p.paid > 0 for p in self.papers.values()))
    @rule(data=st.data())
    def pay_back(self, data: st.DataObject) -> None:
        """What was credited after it was paid goes back; more than was paid is refused."""
        name = data.draw(st.sampled_from(sorted(n for n, p in self.papers.items() if p.paid > 0)), label="paper")
        paper = self.papers[name]
        with pytest.raises(StopRun, match="E634"):
            self.ledger.pay(name, Payment(paid=self.today, amount=Money(-paper.paid - 1)), "USD")
        if paper.open < 0:
            self._pay(name, max(paper.open, -paper.paid))

    @precondition(lambda self: any(j.invoice and not j.counted for j in self.jobs))
    @rule(data=st.data(), shipped=st.integers(0, PIECES))
    def count(self, data: st.DataObject, shipped: int) -> None:
        """The floor counts: prints that were not used become a lot; what is short of the invoice is credited."""
        job = self.pick(data, [j for j in self.jobs if j.invoice and not j.counted])
        at = self.ledger.read([job.name], on=self.today)
        counts = Counts(job=job.name, lines=(LineCount(shipped={"M": shipped}, spoiled={}),))
        lots = len(self.ledger.stock(self.today))
        paper = self.papers[job.invoice]
        short = max(0, PIECES - shipped - (PIECES - paper.pieces))
        notes: tuple[Voucher, ...] = ()
        if short:
            request = CreditRequest(lines=(CreditedLine(number=1, pieces=short),))
            notes = (credit_of(self.ledger, job.invoice, request, at.on, ""),)
        self.give(at, VoucherKind.CREDIT, *notes, counts=(counts,))
        paper.credited += sum(note.bill.total for note in notes)
        paper.pieces -= short
        job.counted = True
        # The plain plan prints one for each piece, without spares.
        assert len(self.ledger.stock(self.today)) == lots + (1 if shipped < PIECES else 0)
        assert self.ledger.counted([job.name]) == {job.name: counts}

    @rule(days=st.integers(1, 20))
    def later(self, days: int) -> None:
        """Time passes, over the end of the year too."""
        self.today += timedelta(days=days)

    @rule()
    def restart(self) -> None:
        """The program ends and begins again; everything fits."""
        assert self.ledger.check() == ()
        self.ledger.__exit__(None, None, None)
        self.ledger = Ledger.open(self.place)

    @invariant()
    def agrees(self) -> None:
        """Every paper is there with what is open of it, and no other."""
        items = {item.number: item for item in self.ledger.items()}
        assert {number: item.open for number, item in items.items()} == {
            number: paper.open for number, paper in self.papers.items()
        }
        assert all(item.credited <= item.bill.total for item in items.values())

    def teardown(self) -> None:
        """In the end everything fits, and nothing stays on the disk."""
        if hasattr(self, "ledger"):
            assert self.ledger.check() == ()
            self.ledger.__exit__(None, None, None)
            self.stack.close()


TestMoneyBooks = MoneyBooks.TestCase
TestMoneyBooks.settings = settings(settings.get_profile("repeatable"), max_examples=15, stateful_step_count=15)


class MoneyBooksOnServer(MoneyBooks):
    """The same on a server."""

    kind = "postgresql"


TestMoneyBooksOnServer = needs_server(MoneyBooksOnServer.TestCase)
TestMoneyBooksOnServer.settings = settings(TestMoneyBooks.settings, max_examples=3)
