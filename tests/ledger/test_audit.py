"""Whoever changes the ledger by other means is found out."""

import re
import sqlite3
from pathlib import Path

import pytest
from sqlalchemy.exc import IntegrityError

from pipeline.ledger import Ledger
from pipeline.problems import StopRun
from tests.ledger.books import filled, with_money
from tests.ledger.databases import change, needs_server, place_for

CHANGES = [
    ("UPDATE invoices SET total = total + 100 WHERE id = 2", {"E611", "E612"}),
    ("UPDATE invoices SET issued = '2026-11-29' WHERE id = 3", {"E611", "E613"}),
    ("UPDATE invoices SET printed = '2026-0099' WHERE id = 1", {"E611"}),
    ("UPDATE invoices SET number = 9 WHERE id = 3", {"E611", "E613"}),
    (
        "UPDATE invoices SET bill = replace(bill, '\"quantity\":6', '\"quantity\":7') WHERE id = 1",
        {"E611", "E612"},
    ),
    ("UPDATE invoices SET bill = replace(bill, 'harbour', 'Harbour') WHERE id = 1", {"E611"}),
    ("UPDATE invoices SET previous = seal WHERE id = 2", {"E611"}),
    ("DELETE FROM invoices WHERE id = 2", {"E606", "E611", "E612", "E613"}),
    ("DELETE FROM invoices WHERE id = 3; DELETE FROM jobs WHERE job = 'H-201'", {"E606", "E611"}),
    ("DELETE FROM purchases WHERE id = 1", {"E613"}),
    ("UPDATE jobs SET file = x'00' WHERE job = 'H-101'", {"E615"}),
    (
        "UPDATE jobs SET (file, sha256) = (SELECT file, sha256 FROM jobs WHERE job = 'H-102') WHERE job = 'H-101'",
        {"E611"},
    ),
    ("UPDATE invoices SET bill = '{}' WHERE id = 1", {"E611", "E612"}),
    ("UPDATE invoices SET bill = 'none' WHERE id = 4", {"E611", "E612"}),
    ("UPDATE invoices SET reason = 'none' WHERE id = 4", {"E611"}),
    ("UPDATE invoices SET corrects = 1 WHERE id = 4", {"E611"}),
    ("UPDATE invoices SET issued = '2026-11-01' WHERE id = 5", {"E611", "E613"}),
    ("UPDATE invoices SET issued = '2026-11-01', backdated = 1 WHERE id = 5", {"E611"}),
    ("UPDATE invoices SET number = 3 WHERE id = 5", {"E611", "E613"}),
    ("DELETE FROM invoices WHERE id = 5", {"E611"}),
    ("UPDATE payments SET amount = -1 WHERE id = 1", {"E612"}),
    ("UPDATE payments SET invoice = 4 WHERE id = 1", {"E612"}),
    ("UPDATE lots SET copies = copies + 1 WHERE id = 1", {"E614"}),
    ("DELETE FROM movements WHERE id = 1", {"E614"}),
    ("UPDATE documents SET content = x'789c03000000000100' WHERE path = 'run.json'", {"E615"}),
    ("UPDATE documents SET content = x'00' WHERE path = 'run.json'", {"E615"}),
    ("UPDATE runs SET id = 7 WHERE id = 2", {"E606"}),
]


@pytest.mark.parametrize(("statement", "codes"), CHANGES, ids=[statement[:40] for statement, _ in CHANGES])
def test_a_change_is_found(statement: str, codes: set[str], tmp_path: Path) -> None:
    """Each kind of change is found by the check that should find it, and by no other."""
    path = with_money(filled(tmp_path / "ledger.sqlite"))
    connection = sqlite3.connect(path)
    connection.executescript(statement)
    connection.commit()
    assert connection.total_changes
    connection.close()
    with Ledger.open(path) as ledger:
        assert {problem.code for problem in ledger.check()} == codes


@needs_server
@pytest.mark.parametrize(("statement", "codes"), CHANGES, ids=[statement[:40] for statement, _ in CHANGES])
def test_a_change_is_found_on_a_server(statement: str, codes: set[str], tmp_path: Path) -> None:
    """The same, but that the server itself keeps rows from losing what they refer to."""
    statement = re.sub(r"x('\w+')", r"decode(\1, 'hex')", statement)
    with place_for("postgresql", tmp_path) as place:
        with_money(filled(place))
        if "E606" in codes:
            with pytest.raises(IntegrityError):
                change(place, *statement.split(";"))
            codes = set()
        else:
            change(place, *statement.split(";"))
        with Ledger.open(place) as ledger:
            assert {problem.code for problem in ledger.check()} == codes


def test_a_damaged_page_is_found(tmp_path: Path) -> None:
    """Bytes that the disk lost: found by the database's own check, or said to be damaged."""
    path = filled(tmp_path / "ledger.sqlite")
    content = bytearray(path.read_bytes())
    content[4096:4196] = bytes(100)
    path.write_bytes(content)
    with pytest.raises(StopRun, match="E606"), Ledger.open(path) as ledger:
        raise StopRun(ledger.check())
