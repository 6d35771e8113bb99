"""What must never be lost: jobs accepted, numbers given, stock of leftover prints, and papers to deliver.

The journey: `Ledger.read` gives a `Snapshot`; a run is planned on it; `number` gives it its numbers;
`Ledger.record` keeps all of it in one transaction, if nothing was recorded meanwhile; then the papers are
delivered and marked so. A number exists if and only if its invoice does.

    numbers.py    which numbers come next           snapshot.py   what is known at one moment
    admission.py  what may be recorded              bills.py      whether a bill adds up
    credits.py    what may be taken back            counts.py     what the floor counted
    acts.py       deposits, credits, payments       rows.py       all of it as rows, sealed
    reading.py    rows as values                    writing.py    a run into its tables
    tables.py     the schema                        upgrade.py    an older one brought up to date
    store.py      the ledger itself, on             accounts.py   its part about money, on
    opened.py     its transactions, on              database.py   what every database can do:
    sqlite.py     a file                            postgresql.py a server
    place.py      which of them a shop has          errors.py     busy, away, moved, unwritable
    audit.py      everything derived anew
    cartons.py    the codes of cartons
    drops.py      what the watched folder took in

Importing this package loads SQLAlchemy: import it where a ledger is opened, not where commands are parsed.
"""

from pipeline.ledger.acts import Act, next_numbers
from pipeline.ledger.cartons import carton_problems
from pipeline.ledger.counts import Counts, LineCount
from pipeline.ledger.credits import pieces_of
from pipeline.ledger.drops import Drop, Receipt
from pipeline.ledger.errors import LedgerAway, LedgerBusy, LedgerError, LedgerMoved, LedgerUnwritable
from pipeline.ledger.numbers import number, number_problems
from pipeline.ledger.snapshot import Recorded, Snapshot
from pipeline.ledger.store import Ledger

__all__ = [
    "Act",
    "Counts",
    "Drop",
    "Ledger",
    "LedgerAway",
    "LedgerBusy",
    "LedgerError",
    "LedgerMoved",
    "LedgerUnwritable",
    "LineCount",
    "Receipt",
    "Recorded",
    "Snapshot",
    "carton_problems",
    "next_numbers",
    "number",
    "number_problems",
    "pieces_of",
]
