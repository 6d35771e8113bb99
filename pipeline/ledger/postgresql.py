"""The ledger in a PostgreSQL database.

Who writes holds an advisory lock from the beginning of the transaction, as BEGIN IMMEDIATE does with SQLite: so
nothing that was read can change before it is written, and no transaction has to be tried again. Who reads sees the
database at one moment.
"""

from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import Connection, create_engine, event, inspect
from sqlalchemy.engine import URL
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool

from pipeline.ledger.database import copy_rows, set_up, transaction, unfit
from pipeline.ledger.errors import LedgerAway, LedgerBusy, LedgerUnwritable
from pipeline.ledger.sqlite import File
from pipeline.ledger.tables import state
from pipeline.problems import StopRun

DRIVER = "postgresql+psycopg"

CONNECT_SECONDS = 10

# Classes and codes of SQLSTATE: PostgreSQL's documentation, appendix A.
_AWAY = ("08", "57P0", "53300")  # connection lost, server stopped or starting, too many connections
_BUSY = ("55P03", "57014", "40")  # lock not available, statement cancelled, deadlock
_DISK = (
    "53",
    "58",
    "25006",
    "42501",
    "28",
    "3D",
)  # full, I/O, read-only, not permitted, no such user or database
_DAMAGED = ("XX001", "XX002")


class Server:
    """One database (and schema) of a server."""

    def __init__(self, url: URL, patience: float) -> None:
        # Also without what stands behind `?`: a password may.
        self.name = URL.create(
            "postgresql", url.username, host=url.host, port=url.port, database=url.database
        ).render_as_string()
        try:
            self.engine = create_engine(
                url.set(drivername=DRIVER),
                poolclass=NullPool,
                hide_parameters=True,
                connect_args={"connect_timeout": CONNECT_SECONDS, "application_name": "peelwright"},
            )
        except ModuleNotFoundError as error:
            message = f"the ledger `{self.name}` needs the driver for PostgreSQL: {error}"
            hint = "in peelwright's folder: pip install '.[postgres]'"
            raise StopRun([unfit(self.name, "E616", message, hint)]) from None

        @event.listens_for(self.engine, "begin")
        def on_begin(connection: Connection) -> None:
            if not connection.get_execution_options().get("writing", False):
                connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
                return
            # What is committed outlives a power cut of the server, whatever is set for the user.
            connection.exec_driver_sql("SET LOCAL synchronous_commit = on")
            connection.exec_driver_sql(f"SET LOCAL lock_timeout = {max(1, round(patience * 1000))}")
            connection.exec_driver_sql(
                "SELECT pg_advisory_xact_lock(hashtext('peelwright'), hashtext(current_schema()))"
            )

    def exists(self) -> bool:
        """True when it has our tables."""
        with transaction(self) as connection:
            return inspect(connection).has_table(state.name)

    def translated(self, error: DBAPIError) -> Exception:
        """By SQLSTATE; without one, the server was not reached."""
        cause = error.orig
        code = getattr(cause, "sqlstate", None)
        words = f"ledger `{self.name}`: {' '.join(str(cause).split())}"
        if code is None and type(cause).__name__ == "OperationalError":
            return LedgerAway(words)
        if code is None:
            return error
        if code.startswith(_AWAY):
            return LedgerAway(words)
        if code.startswith(_BUSY):
            return LedgerBusy(f"`{self.name}` is locked by another program")
        if code.startswith(_DISK):
            return LedgerUnwritable(words)
        if code.startswith(_DAMAGED):
            return StopRun([unfit(self.name, "E606", f"`{self.name}` is damaged: {cause}")])
        return error

    def faults(self, _: Connection) -> Iterator[str]:
        """None that a client could ask for: keys are kept by the server, pages are checked by its own tools."""
        yield from ()

    def copy(self, connection: Connection, path: Path) -> None:
        """Row by row into a file of SQLite, which needs no server to be looked at."""
        with path.open("xb"):
            pass
        target = File(path, patience=0)
        try:
            with transaction(target, writing=True) as copied:
                set_up(copied, target.name)
                copy_rows(connection, copied)
        except BaseException:
            path.unlink()
            raise
