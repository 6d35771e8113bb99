"""What the floor counts: the invoice follows by a credit note, prints go to stock or come out of it, once."""

import re
import sqlite3
from datetime import date
from pathlib import Path

import pytest

from pipeline.books.counter import Counter
from pipeline.books.credit import CreditOrder, credit
from pipeline.books.tally import Tallied, tally
from pipeline.model.account import CreditedLine, CreditRequest
from pipeline.model.order import SizeCount
from pipeline.model.tally import SpoiledPrints, TalliedLine, TalliedOrder, Tally
from tests.host.folder import MONDAY
from tests.host.test_cli import Peelwright

WHEN = date(2026, 12, 8)


def shipped(job: str, pieces: int, spoiled: int = 0) -> TalliedOrder:
    """So many of the six tees of size M went out; so many prints beside them were spoiled."""
    prints = (SpoiledPrints(print=1, pieces=(SizeCount(size="M", count=spoiled),)),) if spoiled else ()
    line = TalliedLine(line=1, shipped=(SizeCount(size="M", count=pieces),), spoiled=prints)
    return TalliedOrder(job=job, lines=(line,))


def book(counter: Counter, *orders: TalliedOrder) -> Tallied:
    """Count these orders."""
    return tally(counter, Tally(orders=orders), WHEN)


def test_what_was_not_shipped_is_credited(counter: Counter) -> None:
    """Five of six at 9.00 went out: 9.00 and its 5.5 % come back (0.495, half up 0.50), the print is left over."""
    done = book(counter, shipped("H-101", 5), shipped("H-102", 6))
    (note,) = done.given.given
    assert (note.number, note.bill.total, note.issued) == ("C2026-001", 950, WHEN)
    assert note.corrects is not None
    assert note.corrects.number == "2026-0001"
    assert done.counted == ("H-101", "H-102")
    # Lots 1 and 2 are the run's surplus, one each.
    assert [(lot.lot, lot.copies) for lot in counter.ledger.stock(WHEN)] == [(1, 1), (2, 1), (3, 1)]
    assert counter.ledger.check() == ()


def test_spoiled_prints_come_out_of_stock(counter: Counter) -> None:
    """All six went out though one print was spoiled: the plain plan has no spares, so one came from the shelf."""
    assert book(counter, shipped("H-101", 6, spoiled=1)).given.given == ()
    assert [(lot.lot, lot.copies) for lot in counter.ledger.stock(WHEN)] == [(2, 1)]
    assert counter.ledger.check() == ()


def test_more_prints_than_there_were(counter: Counter) -> None:
    """Nothing is booked: no note, no count, no lot changed."""
    before = counter.ledger.stock(WHEN)
    with pytest.raises(Exception, match=r"E638.*1 more prints"):
        book(counter, shipped("H-101", 5, spoiled=4))
    assert counter.ledger.stock(WHEN) == before
    assert counter.ledger.item("2026-0001").credits == ()
    assert counter.ledger.counted(["H-101"]) == {}


def test_again(counter: Counter) -> None:
    """The same count does nothing; another is refused, and what differs is credited by hand."""
    book(counter, shipped("H-101", 5))
    done = book(counter, shipped("H-101", 5))
    assert (done.counted, done.before, done.given.given) == ((), ("H-101",), ())
    with pytest.raises(Exception, match="E636"):
        book(counter, shipped("H-101", 4), shipped("H-102", 6))
    assert counter.ledger.counted(["H-102"]) == {}
    assert len(counter.ledger.item("2026-0001").credits) == 1


def test_what_was_credited_before_is_not_credited_again(counter: Counter) -> None:
    """The customer was told on the telephone, and the office had credited it already."""
    request = CreditRequest(lines=(CreditedLine(number=1, pieces=1),))
    credit(counter, CreditOrder(number="2026-0001", request=request, date=WHEN, reason="One is missing"))
    (note,) = book(counter, shipped("H-101", 4)).given.given
    assert note.bill.lines[0].quantity == 1
    assert book(counter, shipped("H-102", 6)).given.given == ()


def test_nothing_was_shipped(counter: Counter) -> None:
    """All of the invoice is taken back, charges and all."""
    (note,) = book(counter, shipped("H-101", 0)).given.given
    assert note.bill.total == 5_697
    assert counter.ledger.item("2026-0001").open == 0


def test_an_order_that_is_left_out_went_out_whole(counter: Counter) -> None:
    """The usual case is the shortest."""
    done = book(counter, TalliedOrder(job="H-101"))
    assert (done.counted, done.given.given) == (("H-101",), ())
    assert len(counter.ledger.stock(WHEN)) == 2, "no spares were planned, none is left"


FILE = """\
date: 2026-12-08
orders:
  - job: H-101
    lines:
      - line: 1
        shipped: {M: 5}
"""


def test_the_command(shop: Path, peelwright: Peelwright) -> None:
    """A file, its note, and the same again."""
    (shop / "tally.yaml").write_text(FILE, "utf-8")
    assert peelwright("ledger", "tally", "tally.yaml") == 0
    assert "Counted: H-101." in peelwright.out
    assert "Credit note C2026-001 on 2026-0001, 2026-12-08, H-101: 9.50 USD." in peelwright.out
    assert (shop / "out" / "tally-2026-12-08" / "c2026-001.txt").is_file()
    assert peelwright("ledger", "tally", "tally.yaml") == 0
    assert peelwright.out == "Counted before, unchanged: H-101.\n"
    assert peelwright("ledger", "tally", "tally.yaml", "--format", "json") == 0
    assert peelwright.data["counted_before"] == ["H-101"]


@pytest.mark.parametrize(
    ("before", "after", "code", "place", "words"),
    [
        ("H-101", "H-999", "E637", "3:10", "no invoice of a job `H-999`"),
        ("line: 1", "line: 2", "E637", "5:15", "its lines are 1 to 1"),
        ("{M: 5}", "{M: 7}", "E637", "6:19", "7 pieces of M were shipped, 6 were ordered"),
        ("{M: 5}", "{XL: 5}", "E637", "6:19", "no XL was ordered"),
        ("{M: 5}", "{M: -1}", "E207", "6:22", "too small"),
        ("shipped", "spoiled: [{print: 2, pieces: {M: 1}}]\n        shipped", "E637", "6:27", "no print 2"),
        ("shipped", "shiped", "E201", "6:9", "did you mean `shipped`"),
        ("orders:\n", "orders:\n  - job: H-101\n", "E637", "4:10", "counted twice"),
        ("  - job", "  - {job: H-102, lines: [{line: 1}, {line: 1}]}\n  - job", "E637", "3:44", "counted twice"),
    ],
)
def test_what_does_not_fit(
    before: str, after: str, code: str, place: str, words: str, shop: Path, peelwright: Peelwright
) -> None:
    """Said at its place in the file, and nothing is booked."""
    ledger = (shop / "ledger.sqlite").read_bytes()
    (shop / "tally.yaml").write_text(FILE.replace(before, after, 1), "utf-8")
    assert peelwright("ledger", "tally", "tally.yaml") == 2
    assert f"error[{code}]" in peelwright.err
    assert f"tally.yaml:{place}" in peelwright.err
    assert words in peelwright.err
    assert (shop / "ledger.sqlite").read_bytes() == ledger


def test_all_in_one_round(shop: Path, peelwright: Peelwright) -> None:
    """A count that cannot be read does not hide what else does not fit."""
    wrong = FILE.replace("{M: 5}", "{M: -1, XXL: 1}").replace("orders:", "orders:\n  - {job: H-999, lines: []}")
    (shop / "tally.yaml").write_text(wrong, "utf-8")
    assert peelwright("ledger", "tally", "tally.yaml") == 2
    assert re.findall(r"error\[(E\d+)\]", peelwright.err) == ["E637", "E207", "E207", "E637"]


def test_a_file_that_is_not_there(shop: Path, peelwright: Peelwright) -> None:
    """Named; no traceback."""
    assert peelwright("ledger", "tally", "none.yaml") == 2
    assert "E101" in peelwright.err


def test_prints_shared_by_two_orders_wait_for_both(shop: Path, peelwright: Peelwright) -> None:
    """What is left over of a demand is known when the last order that shares it is counted."""
    # The plain plan never shares; so the ledger's rows are made to, as a real plan's would be.
    connection = sqlite3.connect(shop / "ledger.sqlite")
    connection.execute("UPDATE uses SET demand = 'P01'")
    connection.execute("UPDATE demands SET copies = 14 WHERE demand = 'P01'")
    connection.commit()
    connection.close()
    for job, lots in (("H-101", 2), ("H-102", 3)):
        (shop / "tally.yaml").write_text(f"orders: [{{job: {job}}}]\n", "utf-8")
        assert peelwright("ledger", "tally", "tally.yaml", "--date", str(MONDAY)) == 0
        assert peelwright("ledger", "show", "--format", "json", "--date", str(MONDAY)) == 0
        assert len(peelwright.data["stock"]) == lots
    assert peelwright.data["stock"][-1]["copies"] == 14 - 12


def test_a_count_before_its_invoice(counter: Counter) -> None:
    """A credit note is never of a day before its invoice, whoever asks for it."""
    with pytest.raises(Exception, match=r"E637.*2026-0001 was issued on 2026-11-30, after 2026-11-29"):
        tally(counter, Tally(orders=(shipped("H-101", 5),)), date(2026, 11, 29))
    assert counter.ledger.counted(["H-101"]) == {}
