"""A ledger of the first version is brought up to date when it is opened; what was recorded stays as it was."""

import sqlite3
from pathlib import Path

import pytest

from pipeline.ledger import Ledger
from pipeline.ledger.tables import SCHEMA
from pipeline.model.account import Payment
from pipeline.model.money import Money
from tests.builders import MONDAY
from tests.ledger.books import DOCUMENTS, file_of, planned, record

# What `tests.ledger.books.filled` made with the tables of version 1.
OLD = Path(__file__).parent / "version_1.sql"


@pytest.fixture(name="path")
def _path(tmp_path: Path) -> Path:
    """A ledger of version 1: two runs, three invoices, leftover prints."""
    path = tmp_path / "ledger.sqlite"
    connection = sqlite3.connect(path)
    connection.executescript(OLD.read_text("utf-8"))
    connection.close()
    return path


def invoices(path: Path) -> list[tuple[object, ...]]:
    """What both versions keep of each invoice, seals with it."""
    connection = sqlite3.connect(path)
    try:
        return connection.execute(
            "SELECT id, series, year, number, printed, job, run, issued, net, tax, total, bill, previous, seal"
            " FROM invoices ORDER BY id"
        ).fetchall()
    finally:
        connection.close()


def test_what_was_recorded_stays(path: Path) -> None:
    """Invoices with their seals, jobs, stock and papers; the check is content, twice opened as well as once."""
    before = invoices(path)
    assert len(before) == 3
    for _ in range(2):
        with Ledger.open(path) as ledger:
            assert ledger.check() == ()
            assert ledger.file("H-102") == file_of("H-102")
            assert ledger.documents("2026-W49") == DOCUMENTS
            assert [(lot.lot, lot.copies, lot.place) for lot in ledger.stock(MONDAY)] == [(1, 1, ""), (2, 3, "")]
    assert invoices(path) == before
    connection = sqlite3.connect(path)
    assert connection.execute("SELECT schema FROM state").fetchone() == (SCHEMA,)
    assert not connection.execute("SELECT name FROM sqlite_master WHERE name = 'invoices_1'").fetchall()
    connection.close()


def test_it_goes_on(path: Path) -> None:
    """The next run gets the next number, old invoices are paid, and the chain of seals holds."""
    with Ledger.open(path) as ledger:
        at = ledger.read([], MONDAY)
        run = planned(at, ["H-301"])
        assert run.invoices[0].number == "2026-0004"
        record(ledger, run, at)
        item = ledger.pay("2026-0001", Payment(paid=MONDAY, amount=Money(100)), "USD")
        assert item.open == item.bill.total - 100
        assert ledger.check() == ()


def test_one_invoice_for_a_job_still(path: Path) -> None:
    """The rule survives: the database itself refuses a second."""
    with Ledger.open(path):
        pass
    connection = sqlite3.connect(path)
    with pytest.raises(sqlite3.IntegrityError, match=r"invoices\.job"):
        connection.execute(
            "INSERT INTO invoices"
            " (id, number, printed, seal, series, year, job, run, issued, net, tax, total, bill, previous)"
            " SELECT 9, 9, 'x', 'x', series, year, job, run, issued, net, tax, total, bill, previous"
            " FROM invoices WHERE id = 1"
        )
    connection.close()
