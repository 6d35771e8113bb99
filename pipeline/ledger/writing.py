"""What is written into the ledger, within a transaction that the store has opened."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from sqlalchemy import Connection, Table, select, update

from pipeline.failpoints import reach
from pipeline.ledger import rows
from pipeline.ledger.reading import CHUNK, next_of, version
from pipeline.ledger.snapshot import Snapshot
from pipeline.ledger.tables import (
    cartons,
    demands,
    documents,
    invoices,
    jobs,
    lots,
    movements,
    purchases,
    runs,
    state,
    uses,
)
from pipeline.model.document import Document
from pipeline.model.run import Run
from pipeline.problems import Problem
from pipeline.shop import Numbering


def insert(connection: Connection, table: Table, made: Iterable[rows.Row]) -> None:
    """All of these rows."""
    if parameters := [dict(row) for row in made]:
        connection.execute(table.insert(), parameters)


def moved(connection: Connection, head: str | None = None) -> None:
    """Something was recorded: whoever planned on an earlier version plans again. `head` is the new last seal."""
    sealed = {} if head is None else {"head": head}
    connection.execute(update(state).values(version=version(connection) + 1, **sealed))


def write_run(
    connection: Connection,
    run: Run,
    snapshot: Snapshot,
    files: Mapping[str, bytes],
    papers: Sequence[Document],
) -> None:
    """A numbered run: jobs, invoices, purchases, prints, stock and papers."""
    run_id, lot_id = next_of(connection, runs.c.id), next_of(connection, lots.c.id)
    head = connection.execute(select(state.c.head)).scalar_one()
    invoice_id, purchase_id = next_of(connection, invoices.c.id), next_of(connection, purchases.c.id)
    made = list(rows.invoice_rows(run, run_id, invoice_id, snapshot, head))
    insert(
        connection,
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
    insert(connection, jobs, rows.job_rows(run, run_id, files))
    reach("ledger.jobs")
    insert(connection, invoices, made)
    insert(connection, purchases, rows.purchase_rows(run, run_id, purchase_id, snapshot.next_purchase))
    insert(connection, cartons, rows.carton_rows(run, run_id, snapshot.next_carton))
    insert(connection, demands, rows.demand_rows(run, run_id))
    insert(connection, uses, rows.use_rows(run, run_id))
    insert(connection, lots, rows.lot_rows(run, run_id, lot_id))
    for use in run.plan.prints.stock_uses:
        take(connection, use.lot, use.copies)
    insert(connection, movements, rows.movement_rows(run, run_id, next_of(connection, movements.c.id), lot_id))
    write_papers(connection, papers, run_id)
    moved(connection, made[-1]["seal"] if made else head)


def write_papers(connection: Connection, papers: Sequence[Document], run_id: int) -> None:
    """The papers of a run or an act, one at a time: together they may be larger than the memory."""
    for row in rows.document_rows(papers, run_id):
        insert(connection, documents, [row])


def take(connection: Connection, lot: int, copies: int) -> None:
    """So many copies are no longer in a lot."""
    connection.execute(update(lots).where(lots.c.id == lot).values(copies=lots.c.copies - copies))


def given_before(
    connection: Connection, numbering: Numbering, printed: Sequence[str], bought: Sequence[str] = ()
) -> Iterator[Problem]:
    """Numbers that stand on an earlier paper (E607): possible when a shop changes how its numbers look."""
    for table, given in ((invoices, printed), (purchases, bought)):
        for start in range(0, len(given), CHUNK):
            query = select(table.c.printed).where(table.c.printed.in_(given[start : start + CHUNK]))
            for number in connection.execute(query).scalars():
                message = f"the number {number} was given before"
                hint = "change `numbering` in shop.yaml so that new numbers look different from the old ones"
                yield Problem(code="E607", message=message, hint=hint, origin=numbering.origin)
