"""The ledger: what must never be lost. All writing of a run is one transaction."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from functools import partial
from pathlib import Path

from sqlalchemy import func, select, update

from pipeline.failpoints import reach
from pipeline.ledger import audit, drops, reading, rows
from pipeline.ledger.accounts import Accounts
from pipeline.ledger.admission import insist, refusals
from pipeline.ledger.database import copy_rows, is_empty, unfit
from pipeline.ledger.drops import Drop, Receipt
from pipeline.ledger.errors import LedgerMoved
from pipeline.ledger.snapshot import Snapshot
from pipeline.ledger.tables import documents as document_table
from pipeline.ledger.tables import invoices, jobs, runs
from pipeline.ledger.writing import given_before, write_run
from pipeline.model.document import Document
from pipeline.model.run import Run
from pipeline.output import Papers
from pipeline.problems import Origin, Problem, StopRun


class Ledger(Accounts):
    """One shop's ledger: its runs with their papers, what the watched folder took in, and what customers owe."""

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

    def undelivered(self) -> tuple[str, ...]:
        """Labels of the runs with documents that are not known to be delivered, the earliest first."""
        waiting = select(document_table.c.run).where(document_table.c.delivered == 0)
        query = select(runs.c.label).where(runs.c.id.in_(waiting)).order_by(runs.c.id)
        with self._transaction() as connection:
            return tuple(connection.execute(query).scalars())

    def documents(self, label: str) -> tuple[Document, ...]:
        """All documents of a run, byte for byte, delivered or not. Raises KeyError for an unknown run.

        A content is read when it is asked for, while the ledger is open: what was recorded never changes.
        """
        table = document_table.c
        with self._transaction() as connection:
            run = reading.run_id(connection, label)
            query = select(*(column for column in table if column is not table.content)).where(table.run == run)
            found = connection.execute(query.order_by(table.position)).mappings()
            return tuple(rows.document_of(dict(row), partial(self._content, run, row["path"])) for row in found)

    def _content(self, run: int, path: str) -> bytes:
        table = document_table.c
        with self._transaction() as connection:
            query = select(table.content).where(table.run == run, table.path == path)
            return rows.content_of(connection.execute(query).scalar_one())

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
            damage = [
                Problem(code="E606", message=message, hint=audit.HINT)
                for message in self._database.faults(connection)
            ]
            return (*damage, *audit.problems(connection))

    def restore(self, path: Path) -> None:
        """Fill this ledger, in which nothing is recorded yet, with the one in the file `path`.

        Raises StopRun when that one is not in order (E606, E611 to E615), or this one holds something (E617).
        """
        if not path.stat().st_size:
            # SQLite takes an empty file for an empty database.
            raise StopRun([unfit(str(path), "E606", f"`{path}` holds nothing", "choose another backup")])
        with Ledger.open(path, create=False) as kept:
            if problems := kept.check():
                raise StopRun(problems)
            with kept._transaction() as source, self._transaction(writing=True) as target:  # noqa: SLF001 (ours)
                if not is_empty(target):
                    message, hint = "the ledger holds something already", "only an empty one can be filled"
                    raise StopRun([Problem(code="E617", message=message, hint=hint)])
                copy_rows(source, target)

    def backup(self, path: Path) -> tuple[Problem, ...]:
        """Copy the ledger as it is at one moment into the new file `path`, a ledger itself, and check the copy.

        Returns what is wrong with the copy. Raises FileExistsError and OSError.
        """
        with self._transaction() as connection:
            self._database.copy(connection, path)
        with Ledger.open(path, create=False) as copy:
            return copy.check()
