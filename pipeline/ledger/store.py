"""The ledger: what must never be lost. All writing of a run is one transaction."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from types import TracebackType

from attrs import evolve
from sqlalchemy import Connection, Engine, func, select, update

from pipeline.failpoints import reach
from pipeline.ledger import audit, database, drops, reading, rows
from pipeline.ledger.acts import Act, act_refusals, counted, payment_fault, write_act, write_payment
from pipeline.ledger.admission import insist, refusals
from pipeline.ledger.counts import Counts
from pipeline.ledger.drops import Drop, Receipt
from pipeline.ledger.errors import LedgerMoved
from pipeline.ledger.snapshot import Snapshot
from pipeline.ledger.tables import documents as document_table
from pipeline.ledger.tables import invoices, jobs, lots, runs
from pipeline.ledger.writing import given_before, write_run
from pipeline.model.account import AccountItem, Payment
from pipeline.model.document import Document
from pipeline.model.prints import StockLot
from pipeline.model.run import Run
from pipeline.output import Papers
from pipeline.problems import Origin, Problem, StopRun
from pipeline.shop import Shop

PATIENCE = 10.0
"""Seconds for which another program's lock is waited for."""


class Ledger:
    """One shop's ledger, open. Use it as a context manager.

    Every method raises LedgerBusy when another program keeps it locked, LedgerUnwritable when the disk refuses,
    and StopRun (E606) when the file is damaged.
    """

    def __init__(self, engine: Engine, path: Path | None) -> None:
        self._engine = engine
        self._path = path
        with self._transaction(writing=True) as connection:
            database.set_up(connection, path)

    @classmethod
    def open(cls, path: Path, create: bool = True, patience: float = PATIENCE) -> "Ledger":
        """The ledger in this file. Where there is none: a new one, or with `create` false one that nobody keeps.

        Raises StopRun when the file is no ledger (E606) or a later program's (E605).
        """
        if create or path.exists():
            return cls(database.open_file(path, patience), path)
        return cls(database.open_nothing(), None)

    def __enter__(self) -> "Ledger":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._engine.dispose()

    def read(self, names: Sequence[str], on: date) -> Snapshot:
        """What is known on the day `on`, and about the jobs of these names."""
        with self._transaction() as connection:
            return reading.snapshot(connection, names, on)

    def record(
        self,
        run: Run,
        snapshot: Snapshot,
        files: Mapping[str, bytes],
        documents: Sequence[Document],
        backdate: bool = False,
    ) -> None:
        """Record a numbered run, all of it or nothing: jobs and their files, invoices, stock, documents.

        `files` gives the job file's bytes by job; `backdate` allows a day before the last. Raises LedgerMoved when
        anything was recorded since the snapshot, or a job was dropped anew in another version; StopRun when the run
        must not be recorded (see
        `admission.refusals`) or a printed number was given before (E607); ValueError where the caller is at fault.
        """
        insist(run, snapshot, files)
        if problems := refusals(run, snapshot, documents, backdate):
            raise StopRun(problems)
        with self._unmoved(snapshot) as connection:
            if drops.newer(connection, {order.job: order.sha256 for order in run.orders}):
                raise LedgerMoved
            numbers = [item.number for item in run.invoices]
            bought = [item.number for item in run.purchases]
            if problems := tuple(given_before(connection, run.shop.numbering, numbers, bought)):
                raise StopRun(problems)
            write_run(connection, run, snapshot, files, documents)
            reach("ledger.written")
        reach("ledger.recorded")

    def give(self, act: Act, snapshot: Snapshot, shop: Shop, backdate: bool = False) -> None:
        """Record numbered deposit invoices and credit notes, and what was counted with them, all or nothing.

        Raises LedgerMoved and StopRun as `record` does; StopRun (E610) for a credit that takes back more than was
        invoiced, and (E638) for more prints used than there were.
        """
        corrected = {voucher.corrects.number for voucher in act.vouchers if voucher.corrects}
        with self._unmoved(snapshot) as connection:
            items = {item.number: item for item in reading.items(connection, invoices.c.printed.in_(corrected))}
            numbers = [voucher.number for voucher in act.vouchers]
            problems = (
                *act_refusals(act, snapshot, items, shop, backdate),
                *given_before(connection, shop.numbering, numbers),
            )
            if problems:
                raise StopRun(problems)
            write_act(connection, act, snapshot, shop.currency)
            reach("ledger.given")
        reach("ledger.recorded")

    def item(self, number: str) -> AccountItem:
        """An invoice or deposit invoice with all that belongs to it. Raises KeyError."""
        with self._transaction() as connection:
            for item in reading.items(connection, invoices.c.printed == number):
                return item
        raise KeyError(number)

    def items(self) -> tuple[AccountItem, ...]:
        """All invoices and deposit invoices, the oldest first."""
        with self._transaction() as connection:
            return tuple(reading.items(connection))

    def label_of(self, number: str) -> str:
        """The label under which a voucher's papers lie. Raises KeyError."""
        query = (
            select(runs.c.label).join(invoices, invoices.c.run == runs.c.id).where(invoices.c.printed == number)
        )
        with self._transaction() as connection:
            found: str | None = connection.execute(query).scalar_one_or_none()
        if found is None:
            raise KeyError(number)
        return found

    def pay(self, number: str, payment: Payment, currency: str) -> AccountItem:
        """Record a payment of an invoice or deposit invoice; the item then. Raises KeyError; StopRun (E634)."""
        with self._transaction(writing=True) as connection:
            item = next(reading.items(connection, invoices.c.printed == number), None)
            if item is None:
                raise KeyError(number)
            if problem := payment_fault(item, payment, currency):
                raise StopRun([problem])
            write_payment(connection, number, payment)
            reach("ledger.paid")
            return evolve(item, payments=(*item.payments, payment))

    def stock(self, on: date) -> tuple[StockLot, ...]:
        """Leftover prints that are good on this day, the oldest first."""
        with self._transaction() as connection:
            return tuple(reading.stock(connection, on))

    def put(self, lot: int, place: str) -> None:
        """Note where a lot lies. Raises KeyError."""
        with self._transaction(writing=True) as connection:
            if not connection.execute(update(lots).where(lots.c.id == lot).values(place=place)).rowcount:
                raise KeyError(lot)

    def counted(self, names: Sequence[str]) -> dict[str, Counts]:
        """What was counted of those of these jobs that were."""
        with self._transaction() as connection:
            return counted(connection, names)

    def undelivered(self) -> tuple[str, ...]:
        """Labels of the runs with documents that are not known to be delivered, the earliest first."""
        waiting = select(document_table.c.run).where(document_table.c.delivered == 0)
        query = select(runs.c.label).where(runs.c.id.in_(waiting)).order_by(runs.c.id)
        with self._transaction() as connection:
            return tuple(connection.execute(query).scalars())

    def documents(self, label: str) -> tuple[Document, ...]:
        """All documents of a run, byte for byte, delivered or not. Raises KeyError for an unknown run."""
        with self._transaction() as connection:
            query = select(document_table).where(document_table.c.run == reading.run_id(connection, label))
            found = connection.execute(query.order_by(document_table.c.position)).mappings()
            return tuple(rows.document_of(dict(row)) for row in found)

    def mark_delivered(self, label: str) -> None:
        """The documents of a run are in their folder. Raises KeyError for a run that is not known."""
        reach("ledger.mark")
        with self._transaction(writing=True) as connection:
            of_run = document_table.c.run == reading.run_id(connection, label)
            connection.execute(update(document_table).where(of_run).values(delivered=1))
        reach("ledger.marked")

    def file(self, job: str) -> bytes:
        """The job file as it was accepted. Raises KeyError for a job that is not known."""
        with self._transaction() as connection:
            found = connection.execute(select(jobs.c.file).where(jobs.c.job == job)).scalar_one_or_none()
            if found is None:
                raise KeyError(job)
            return bytes(found)

    def receive(self, drop: Drop) -> Receipt:
        """Keep a job file of the watched folder, once."""
        with self._transaction(writing=True) as connection:
            receipt = drops.receive(connection, drop)
            reach("watch.kept")
        return receipt

    def withdraw(self, job: str, claim: str, received: datetime) -> bool:
        """Take back an order that waits in the watched folder; false when none of this job does."""
        with self._transaction(writing=True) as connection:
            return drops.withdraw(connection, job, claim, received)

    def latest(self, job: str) -> Drop | None:
        """The file of a job that the watched folder took in last; None where it did not, or it was withdrawn."""
        with self._transaction() as connection:
            return drops.latest(connection, job)

    def last_run(self) -> tuple[str, date, int] | None:
        """Label, day and number of orders of the run that was recorded last."""
        query = select(runs.c.label, runs.c.date, func.count(jobs.c.job)).join(jobs, jobs.c.run == runs.c.id)
        with self._transaction() as connection:
            row = connection.execute(query.group_by(runs.c.id).order_by(runs.c.id.desc()).limit(1)).first()
            return tuple(row) if row is not None else None

    def waiting(self) -> tuple[Drop, ...]:
        """The orders of the watched folder that wait for a run, the earliest first."""
        with self._transaction() as connection:
            return tuple(drops.waiting(connection))

    def first_waiting(self, most: int) -> tuple[int, tuple[Drop, ...]]:
        """How many orders wait, and the first of them without their files."""
        with self._transaction() as connection:
            return drops.heads(connection, most)

    def waiting_jobs(self) -> tuple[str, ...]:
        """The jobs of the orders that wait, the earliest first."""
        with self._transaction() as connection:
            return drops.waiting_jobs(connection)

    def pulse(self) -> tuple[int, int]:
        """Changes whenever an order is taken in, withdrawn or recorded."""
        with self._transaction() as connection:
            return drops.pulse(connection)

    def ever_dropped(self) -> frozenset[str]:
        """Every job that the watched folder ever took in."""
        with self._transaction() as connection:
            return drops.known_jobs(connection)

    def owner(self, wanted: str) -> str:
        """Whom this ledger's inbox belongs to: the name it was given first, `wanted` where it has none yet."""
        with self._transaction(writing=True) as connection:
            return drops.owner(connection, wanted)

    def unknown(self, papers: Iterable[Papers]) -> tuple[Problem, ...]:
        """Papers of runs or invoices that are not recorded here (E603): the ledger is older than they are."""
        with self._transaction() as connection:
            labels = set(connection.execute(select(runs.c.label)).scalars())
            printed = set(connection.execute(select(invoices.c.printed)).scalars())
        problems = []
        for given in papers:
            strange = [f"invoice {number}" for number in given.invoices if number not in printed]
            if given.label not in labels:
                strange.insert(0, f"run {given.label}")
            if strange:
                message = f"`{given.folder}` holds {', '.join(strange)}, which the ledger does not know"
                hint = "the ledger is older than its papers (a backup put back?): put the latest one back"
                problems.append(
                    Problem(code="E603", message=message, hint=hint, origin=Origin(file=given.folder))
                )
        return tuple(problems)

    def check(self) -> tuple[Problem, ...]:
        """Everything derived anew: file, seals, totals, gaps, stock, documents (E606, E611 to E615)."""
        with self._transaction() as connection:
            return tuple(audit.problems(connection))

    def backup(self, path: Path) -> tuple[Problem, ...]:
        """Copy the ledger into the new file `path` through the database's own backup, and check the copy.

        Returns what is wrong with the copy. Raises FileExistsError and OSError.
        """
        with self._transaction() as connection:
            database.copy(connection, path)
        with Ledger.open(path, create=False) as copy:
            return copy.check()

    @contextmanager
    def _unmoved(self, snapshot: Snapshot) -> Iterator[Connection]:
        """A writing transaction, if nothing was recorded since the snapshot (LedgerMoved)."""
        reach("ledger.begin")
        with self._transaction(writing=True) as connection:
            reach("ledger.locked")
            if reading.version(connection) != snapshot.version:
                raise LedgerMoved
            yield connection

    @contextmanager
    def _transaction(self, writing: bool = False) -> Iterator[Connection]:
        with database.transaction(self._engine, self._path, writing) as connection:
            yield connection
