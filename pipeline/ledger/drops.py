"""Orders that the watched folder took in, and whom its inbox belongs to.

A drop is a job file, byte for byte. Of two drops of one job the later counts. It waits until a run records its
job: that no row need change, and nothing is deleted, is what makes a crash harmless.
"""

from collections.abc import Iterator
from datetime import datetime
from enum import StrEnum

from attrs import frozen
from sqlalchemy import ColumnElement, Connection, Row, func, select

from pipeline.ledger.tables import drops, inbox, jobs, state


@frozen(kw_only=True)
class Drop:
    """A job file that was taken out of the inbox, and that can go on."""

    #: The claim by which it was taken. Taken up again after a crash, it is the same drop.
    claim: str
    job: str
    customer: str
    sha256: str
    file: bytes
    #: Where the file lies afterwards, relative to the shop.
    name: str
    #: Zone-aware.
    received: datetime


class Receipt(StrEnum):
    """What became of a drop."""

    NEW = "new"
    #: An order that waits already, unchanged.
    AGAIN = "again"
    #: In place of an earlier file of the job.
    REPLACED = "replaced"
    #: A recorded order: unchanged, or changed, which cannot be.
    INVOICED = "invoiced"
    CHANGED = "changed"
    #: Another customer's order of this job id waits.
    TAKEN = "taken"


def receive(connection: Connection, drop: Drop) -> Receipt:
    """Keep a drop, unless it is known or cannot be. In a writing transaction."""
    if _is_known(connection, drop.claim):
        return Receipt.AGAIN
    recorded = connection.execute(select(jobs.c.sha256).where(jobs.c.job == drop.job)).scalar_one_or_none()
    if recorded is not None:
        return Receipt.INVOICED if recorded == drop.sha256 else Receipt.CHANGED
    before = latest(connection, drop.job)
    if before is not None and before.sha256 == drop.sha256:
        return Receipt.AGAIN
    if before is not None and before.customer != drop.customer:
        return Receipt.TAKEN
    _insert(connection, drop)
    return Receipt.NEW if before is None else Receipt.REPLACED


def withdraw(connection: Connection, job: str, claim: str, received: datetime) -> bool:
    """An order that waits is to wait no more; false when none of this job does. In a writing transaction."""
    before = latest(connection, job)
    recorded = connection.execute(select(jobs.c.job).where(jobs.c.job == job)).scalar_one_or_none()
    if before is None or recorded is not None:
        return False
    _insert(
        connection,
        Drop(claim=claim, job=job, customer=before.customer, sha256="", file=b"", name="", received=received),
    )
    return True


def latest(connection: Connection, job: str) -> Drop | None:
    """The drop of this job that counts, recorded or not; None where there is none or it was withdrawn."""
    row = connection.execute(select(drops).where(drops.c.job == job).order_by(drops.c.id.desc()).limit(1)).first()
    return _drop(row) if row is not None and row.sha256 else None


def waiting(connection: Connection) -> Iterator[Drop]:
    """The orders that wait for a run, the earliest first."""
    for row in connection.execute(select(drops).where(*_open()).order_by(drops.c.id)):
        yield _drop(row)


def heads(connection: Connection, most: int) -> tuple[int, tuple[Drop, ...]]:
    """How many orders wait, and the first of them without their files."""
    columns = [column for column in drops.c if column is not drops.c.file]
    rows = connection.execute(select(*columns).where(*_open()).order_by(drops.c.id).limit(most))
    count = connection.execute(select(func.count()).select_from(drops).where(*_open())).scalar_one()
    return count, tuple(_drop(row) for row in rows)


def waiting_jobs(connection: Connection) -> tuple[str, ...]:
    """The jobs of the orders that wait, the earliest first."""
    return tuple(connection.execute(select(drops.c.job).where(*_open()).order_by(drops.c.id)).scalars())


def pulse(connection: Connection) -> tuple[int, int]:
    """Changes whenever an order is taken in, withdrawn or recorded."""
    last = connection.execute(select(func.max(drops.c.id))).scalar_one() or 0
    return last, connection.execute(select(state.c.version)).scalar_one()


def _open() -> tuple[ColumnElement[bool], ...]:
    """What is true of a drop that waits: the last of its job, not withdrawn, not recorded."""
    last = select(func.max(drops.c.id)).group_by(drops.c.job)
    return drops.c.id.in_(last), drops.c.sha256 != "", drops.c.job.not_in(select(jobs.c.job))


def known_jobs(connection: Connection) -> frozenset[str]:
    """Every job that was ever taken in."""
    return frozenset(connection.execute(select(drops.c.job)).scalars())


def newer(connection: Connection, sha256: dict[str, str]) -> bool:
    """True when one of these jobs (job -> hash of its file) waits in another version, or was withdrawn."""
    if not connection.execute(select(drops.c.id).limit(1)).first():
        return False
    last: ColumnElement[bool] = drops.c.id.in_(select(func.max(drops.c.id)).group_by(drops.c.job))
    found = connection.execute(select(drops.c.job, drops.c.sha256).where(last))
    return any(sha256.get(row.job, row.sha256) != row.sha256 for row in found)


def owner(connection: Connection, wanted: str) -> str:
    """Whom the inbox of this ledger belongs to: the name it was given first, else `wanted` from now on."""
    found: str | None = connection.execute(select(inbox.c.owner)).scalar_one_or_none()
    if found is None:
        connection.execute(inbox.insert().values(id=1, owner=wanted))
    return found or wanted


def _is_known(connection: Connection, claim: str) -> bool:
    return connection.execute(select(drops.c.id).where(drops.c.claim == claim)).first() is not None


def _insert(connection: Connection, drop: Drop) -> None:
    following = (connection.execute(select(func.max(drops.c.id))).scalar_one() or 0) + 1
    connection.execute(
        drops.insert().values(
            id=following,
            claim=drop.claim,
            job=drop.job,
            customer=drop.customer,
            sha256=drop.sha256,
            file=drop.file,
            name=drop.name,
            received=drop.received.isoformat(),
        )
    )


def _drop(row: Row[tuple[object, ...]]) -> Drop:
    found = row._mapping  # noqa: SLF001 (the public name of a row's columns)
    return Drop(
        **{name: found[name] for name in ("claim", "job", "customer", "sha256", "name")},
        file=bytes(found.get("file", b"")),
        received=datetime.fromisoformat(found["received"]),
    )
