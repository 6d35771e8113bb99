"""The ledger's tables: one schema for every database. Nothing in them is ever deleted or renumbered."""

from datetime import date
from typing import Any

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    Dialect,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)

SCHEMA = 4
"""The version of these tables. A program refuses a ledger of a later one."""


class Day(TypeDecorator[date]):
    """A date, kept as ISO 8601 text, which sorts as dates do."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: date | None, _: Dialect) -> str | None:
        """To the database."""
        return None if value is None else value.isoformat()

    def process_result_value(self, value: Any, _: Dialect) -> date | None:
        """From the database."""
        return None if value is None else date.fromisoformat(value)


# Money in minor units and lengths in micrometres outgrow 32 bits; SQLite's INTEGER has 64.
Big = BigInteger().with_variant(Integer, "sqlite")
# By code points, as with SQLite, whatever language a server sorts by.
Words = Text().with_variant(Text(collation="C"), "postgresql")
Sha256 = Words

metadata = MetaData()


def _table(name: str, *parts: Any) -> Table:
    # STRICT: SQLite otherwise keeps whatever type it is given.
    return Table(name, metadata, *parts, sqlite_strict=True)


def _text(name: str, *parts: Any, **rest: Any) -> Column[Any]:
    return Column(name, Words, *parts, nullable=False, **rest)


def _whole(name: str, *parts: Any, **rest: Any) -> Column[Any]:
    return Column(name, Big, *parts, nullable=False, **rest)


# The one row that changes. `head` is the latest invoice's seal: without it, a cut-off end would not show.
state = _table(
    "state",
    Column("id", Integer, CheckConstraint("id = 1"), primary_key=True, autoincrement=False),
    _whole("schema"),
    _whole("version"),
    _text("head"),
)

# Whatever was recorded at one time with its papers: a batch, or credit notes, deposit invoices, a tally.
runs = _table(
    "runs",
    # Counts them from 1.
    Column("id", Integer, primary_key=True, autoincrement=False),
    _text("label", unique=True),
    Column("date", Day, nullable=False),
    # Of a batch: when pressing may begin, zone-aware, ISO 8601. Else "".
    _text("start"),
    _text("currency"),
)

jobs = _table(
    "jobs",
    Column("job", Words, primary_key=True),
    _text("customer"),
    Column("sha256", Sha256, nullable=False),
    # The file, byte for byte.
    Column("file", LargeBinary, nullable=False),
    Column("run", ForeignKey(runs.c.id), nullable=False),
)

# Invoices, deposit invoices and credit notes, each in its series: all that says what a customer owes.
invoices = _table(
    "invoices",
    # Counts all of them from 1; each row's seal covers the row and the seal of the row before.
    Column("id", Integer, primary_key=True, autoincrement=False),
    _text("series"),
    _whole("year"),
    _whole("number", CheckConstraint("number > 0")),
    _text("printed", unique=True),
    # A deposit is asked for before the job is recorded: no reference.
    _text("job"),
    Column("run", ForeignKey(runs.c.id), nullable=False),
    Column("issued", Day, nullable=False),
    _whole("net"),
    _whole("tax"),
    _whole("total"),
    # The whole bill as canonical JSON.
    _text("bill"),
    # Of a credit note: the invoice that it corrects, and why.
    Column("corrects", ForeignKey("invoices.id")),
    Column("reason", Words),
    # 1 where a day before the series' last was allowed.
    Column("backdated", Integer, CheckConstraint("backdated = 1")),
    _text("previous"),
    _text("seal", unique=True),
    UniqueConstraint("series", "year", "number"),
)
# One invoice for a job, for ever.
_of_invoices = invoices.c.series == "invoice"
Index(
    "one_invoice_for_a_job",
    invoices.c.job,
    unique=True,
    sqlite_where=_of_invoices,
    postgresql_where=_of_invoices,
)

payments = _table(
    "payments",
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("invoice", ForeignKey(invoices.c.id), nullable=False),
    Column("paid", Day, nullable=False),
    # Below zero: paid back, or returned by the bank.
    _whole("amount", CheckConstraint("amount <> 0")),
    _text("note"),
)

# What the watched folder took in: `drops.py` says what the rows mean.
drops = _table(
    "drops",
    # Counts the drops from 1.
    Column("id", Integer, primary_key=True, autoincrement=False),
    _text("claim", unique=True),
    _text("job", index=True),
    _text("customer"),
    # "" for an order that was withdrawn.
    Column("sha256", Sha256, nullable=False),
    # The file, byte for byte.
    Column("file", LargeBinary, nullable=False),
    _text("name"),
    # Zone-aware, ISO 8601.
    _text("received"),
)

inbox = _table(
    "inbox",
    Column("id", Integer, CheckConstraint("id = 1"), primary_key=True, autoincrement=False),
    _text("owner"),
)

purchases = _table(
    "purchases",
    Column("id", Integer, primary_key=True, autoincrement=False),
    _whole("year"),
    _whole("number", CheckConstraint("number > 0")),
    _text("printed", unique=True),
    _text("supplier"),
    Column("run", ForeignKey(runs.c.id), nullable=False),
    UniqueConstraint("year", "number"),
    UniqueConstraint("run", "supplier"),
)

# Cartons with a code of their own (SSCC).
cartons = _table(
    "cartons",
    # The serial: counts from 1 for ever, so that no code is given twice.
    Column("id", Integer, primary_key=True, autoincrement=False),
    _text("sscc", unique=True),
    Column("job", ForeignKey(jobs.c.job), nullable=False),
    _whole("carton"),
    Column("run", ForeignKey(runs.c.id), nullable=False),
    UniqueConstraint("job", "carton"),
)

lots = _table(
    "lots",
    Column("id", Integer, primary_key=True, autoincrement=False),
    # Whose art it is: nobody else's orders use it up.
    _text("customer"),
    _text("artwork"),
    Column("sha256", Sha256, nullable=False),
    _whole("width"),
    _whole("height"),
    _text("transfer"),
    # What is left: the sum of the movements.
    _whole("copies", CheckConstraint("copies >= 0")),
    Column("use_by", Day, nullable=False),
    Column("run", ForeignKey(runs.c.id), nullable=False),
    # Where they lie.
    _text("place", server_default=""),
)

# The prints of a run: what a tally needs to know which are left over.
demands = _table(
    "demands",
    Column("run", ForeignKey(runs.c.id), primary_key=True),
    Column("demand", Words, primary_key=True),
    _text("customer"),
    _text("artwork"),
    Column("sha256", Sha256, nullable=False),
    _whole("width"),
    _whole("height"),
    _text("transfer"),
    # Pieces and spares; what was bought beyond is a lot already.
    _whole("copies"),
    Column("use_by", Day, nullable=False),
)

uses = _table(
    "uses",
    Column("job", ForeignKey(jobs.c.job), primary_key=True),
    # Both from 0, as in the job file.
    Column("line", Integer, primary_key=True, autoincrement=False),
    Column("print", Integer, primary_key=True, autoincrement=False),
    Column("size", Words, primary_key=True),
    Column("run", Integer, nullable=False),
    _text("demand"),
    _whole("pieces"),
    ForeignKeyConstraint(["run", "demand"], ["demands.run", "demands.demand"]),
)

tallies = _table(
    "tallies",
    # A job is counted once.
    Column("job", ForeignKey(jobs.c.job), primary_key=True),
    Column("run", ForeignKey(runs.c.id), nullable=False),
    # What was counted, as canonical JSON.
    _text("counts"),
)

movements = _table(
    "movements",
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("lot", ForeignKey(lots.c.id), nullable=False),
    Column("run", ForeignKey(runs.c.id), nullable=False),
    # Above zero: surplus put into stock; below: taken out.
    _whole("copies", CheckConstraint("copies <> 0")),
    # The demand of the run that left or took them.
    _text("demand"),
)

documents = _table(
    "documents",
    Column("run", ForeignKey(runs.c.id), primary_key=True),
    Column("path", Words, primary_key=True),
    # The order in which they were made.
    _whole("position"),
    _text("title"),
    _text("audience"),
    _text("job"),
    Column("sha256", Sha256, nullable=False),
    # zlib; kept after delivery, so that a lost paper can be restored byte for byte.
    Column("content", LargeBinary, nullable=False),
    _whole("delivered", CheckConstraint("delivered in (0, 1)")),
)
