"""The ledger: what must never be lost. All writing of a run is one transaction."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from types import TracebackType

from sqlalchemy import Column, ColumnElement, Connection, Engine, Table, func, select, update

from pipeline.failpoints import reach
from pipeline.ledger import audit, database, drops, rows
from pipeline.ledger.admission import insist, refusals
from pipeline.ledger.drops import Drop, Receipt
from pipeline.ledger.errors import LedgerMoved
from pipeline.ledger.numbers import Series
from pipeline.ledger.snapshot import Recorded, Snapshot
from pipeline.ledger.tables import documents as document_table
from pipeline.ledger.tables import invoices, jobs, lots, movements, purchases, runs, state
from pipeline.model.document import Document
from pipeline.model.measure import Length
from pipeline.model.prints import StockLot
from pipeline.model.run import Run
from pipeline.output import Papers
from pipeline.problems import Origin, Problem, StopRun

PATIENCE = 10.0
"""Seconds for which another program's lock is waited for."""

_CHUNK = 500  # names asked for in one query; databases limit them


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
            return Snapshot(
                on=on,
                version=connection.execute(select(state.c.version)).scalar_one(),
                recorded=tuple(_recorded(connection, names)),
                stock=tuple(_stock(connection, on)),
                next_invoice=_next(
                    connection,
                    invoices.c.number,
                    invoices.c.year == on.year,
                    invoices.c.series == str(Series.INVOICE),
                ),
                next_purchase=_next(connection, purchases.c.number, purchases.c.year == on.year),
                last_issue=connection.execute(select(func.max(runs.c.date))).scalar_one(),
                labels=frozenset(connection.execute(select(runs.c.label)).scalars()),
            )

    def record(
        self, run: Run, snapshot: Snapshot, files: Mapping[str, bytes], documents: Sequence[Document]
    ) -> None:
        """Record a numbered run, all of it or nothing: jobs and their files, invoices, stock, documents.

        `files` gives the job file's bytes by job. Raises LedgerMoved when anything was recorded since the
        snapshot, or a job was dropped anew in another version; StopRun when the run must not be recorded (see
        `admission.refusals`) or a printed number was given before (E607); ValueError where the caller is at fault.
        """
        insist(run, snapshot, files)
        if problems := refusals(run, snapshot, documents):
            raise StopRun(problems)
        reach("ledger.begin")
        with self._transaction(writing=True) as connection:
            reach("ledger.locked")
            if connection.execute(select(state.c.version)).scalar_one() != snapshot.version:
                raise LedgerMoved
            if drops.newer(connection, {order.job: order.sha256 for order in run.orders}):
                raise LedgerMoved
            if problems := tuple(_given_before(connection, run)):
                raise StopRun(problems)
            _write(connection, run, snapshot, files, documents)
            reach("ledger.written")
        reach("ledger.recorded")

    def undelivered(self) -> tuple[str, ...]:
        """Labels of the runs with documents that are not known to be delivered, the earliest first."""
        waiting = select(document_table.c.run).where(document_table.c.delivered == 0)
        query = select(runs.c.label).where(runs.c.id.in_(waiting)).order_by(runs.c.id)
        with self._transaction() as connection:
            return tuple(connection.execute(query).scalars())

    def documents(self, label: str) -> tuple[Document, ...]:
        """All documents of a run, byte for byte, delivered or not. Raises KeyError for an unknown run."""
        with self._transaction() as connection:
            query = select(document_table).where(document_table.c.run == _run_id(connection, label))
            found = connection.execute(query.order_by(document_table.c.position)).mappings()
            return tuple(rows.document_of(dict(row)) for row in found)

    def mark_delivered(self, label: str) -> None:
        """The documents of a run are in their folder. Raises KeyError for a run that is not known."""
        reach("ledger.mark")
        with self._transaction(writing=True) as connection:
            of_run = document_table.c.run == _run_id(connection, label)
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

    def dropped(self, claim: str) -> Drop | None:
        """The drop that a claim became, if it did."""
        with self._transaction() as connection:
            return drops.by_claim(connection, claim)

    def latest(self, job: str) -> Drop | None:
        """The file of a job that the watched folder took in last; None where it did not, or it was withdrawn."""
        with self._transaction() as connection:
            return drops.latest(connection, job)

    def last_run(self) -> tuple[str, date, int] | None:
        """Label, day and number of orders of the run that was recorded last."""
        query = select(runs.c.label, runs.c.date, func.count(jobs.c.job)).outerjoin(jobs, jobs.c.run == runs.c.id)
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

    @contextmanager
    def _transaction(self, writing: bool = False) -> Iterator[Connection]:
        with database.transaction(self._engine, self._path, writing) as connection:
            yield connection


def _recorded(connection: Connection, names: Sequence[str]) -> Iterator[Recorded]:
    query = (
        select(jobs.c.job, jobs.c.sha256, runs.c.label, invoices.c.printed, invoices.c.issued)
        .join(invoices, (invoices.c.job == jobs.c.job) & (invoices.c.series == str(Series.INVOICE)))
        .join(runs, runs.c.id == jobs.c.run)
        .order_by(invoices.c.id)
    )
    for start in range(0, len(names), _CHUNK):
        for row in connection.execute(query.where(jobs.c.job.in_(names[start : start + _CHUNK]))):
            yield Recorded(job=row.job, sha256=row.sha256, run=row.label, invoice=row.printed, issued=row.issued)


def _stock(connection: Connection, on: date) -> Iterator[StockLot]:
    query = select(lots).where(lots.c.copies > 0, lots.c.use_by >= on).order_by(lots.c.id)
    for row in connection.execute(query):
        yield StockLot(
            lot=row.id,
            customer=row.customer,
            artwork=row.artwork,
            sha256=row.sha256,
            width=Length(row.width),
            height=Length(row.height),
            transfer=row.transfer,
            copies=row.copies,
            use_by=row.use_by,
        )


def _next(connection: Connection, column: Column[int], *where: ColumnElement[bool]) -> int:
    """One more than the largest value so far."""
    return (connection.execute(select(func.max(column)).where(*where)).scalar_one() or 0) + 1


def _run_id(connection: Connection, label: str) -> int:
    found: int | None = connection.execute(select(runs.c.id).where(runs.c.label == label)).scalar_one_or_none()
    if found is None:
        raise KeyError(label)
    return found


def _given_before(connection: Connection, run: Run) -> Iterator[Problem]:
    """Printed numbers that stand on an earlier paper: possible when a shop changes how its numbers look."""
    for table, given in ((invoices, run.invoices), (purchases, run.purchases)):
        printed = [item.number for item in given]
        for start in range(0, len(printed), _CHUNK):
            query = select(table.c.printed).where(table.c.printed.in_(printed[start : start + _CHUNK]))
            for number in connection.execute(query).scalars():
                message = f"the number {number} was given before"
                hint = "change `numbering` in shop.yaml so that new numbers look different from the old ones"
                yield Problem(code="E607", message=message, hint=hint, origin=run.shop.numbering.origin)


def _write(
    connection: Connection,
    run: Run,
    snapshot: Snapshot,
    files: Mapping[str, bytes],
    documents: Sequence[Document],
) -> None:
    def insert(table: Table, made: Iterable[rows.Row]) -> None:
        if parameters := [dict(row) for row in made]:
            connection.execute(table.insert(), parameters)

    run_id, lot_id = _next(connection, runs.c.id), _next(connection, lots.c.id)
    head = connection.execute(select(state.c.head)).scalar_one()
    invoice_id, purchase_id = _next(connection, invoices.c.id), _next(connection, purchases.c.id)
    made = list(rows.invoice_rows(run, run_id, invoice_id, snapshot.next_invoice, head))
    insert(
        runs,
        [
            {
                "id": run_id,
                "label": run.label,
                "date": run.date,
                "start": run.start.isoformat(),
                "currency": run.shop.currency,
            }
        ],
    )
    insert(jobs, rows.job_rows(run, run_id, files))
    reach("ledger.jobs")
    insert(invoices, made)
    insert(purchases, rows.purchase_rows(run, run_id, purchase_id, snapshot.next_purchase))
    insert(lots, rows.lot_rows(run, run_id, lot_id))
    for use in run.plan.prints.stock_uses:
        connection.execute(update(lots).where(lots.c.id == use.lot).values(copies=lots.c.copies - use.copies))
    insert(movements, rows.movement_rows(run, run_id, _next(connection, movements.c.id), lot_id))
    insert(document_table, rows.document_rows(documents, run_id))
    connection.execute(
        update(state).values(version=snapshot.version + 1, head=made[-1]["seal"] if made else head)
    )
