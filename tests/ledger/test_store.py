"""The ledger: recorded once, whole, and never by two at a time; and what it says when it cannot."""

import sqlite3
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from attrs import evolve
from sqlalchemy import event
from sqlalchemy.exc import IntegrityError

from pipeline.canonical import digest
from pipeline.ledger import Ledger, LedgerBusy, LedgerMoved, LedgerUnwritable
from pipeline.ledger.database import Place
from pipeline.ledger.rows import SEALED
from pipeline.ledger.tables import invoices
from pipeline.model.money import Money
from pipeline.model.prints import StockUse
from pipeline.model.run import Run, RunKind
from pipeline.outbox import deliver_run, deliver_waiting
from pipeline.output import Papers
from pipeline.problems import StopRun
from pipeline.shop import Numbering
from tests.builders import MONDAY, make_document, make_shop
from tests.ledger.books import DOCUMENTS, file_of, filled, planned, record
from tests.ledger.databases import dump


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where the ledger lies."""
    return tmp_path / "ledger.sqlite"


def test_what_was_recorded_is_known(place: Place) -> None:
    """Number, day, run and file of each job; the next numbers; the stock that is left."""
    filled(place)
    with Ledger.open(place) as ledger:
        at = ledger.read(["H-201", "H-101", "H-999"], on=MONDAY)
        assert [(k.job, k.invoice, k.run, k.issued) for k in at.recorded] == [
            ("H-101", "2026-0001", "2026-W49", MONDAY),
            ("H-201", "2026-0003", "2026-W49-2", MONDAY),
        ]
        assert at.of("H-101") == at.recorded[0]
        assert at.of("H-999") is None
        assert at.recorded[0].sha256 == digest(ledger.file("H-101"))
        assert (at.version, at.next_invoice, at.next_purchase, at.last_issue) == (2, 4, 5, MONDAY)
        assert at.labels == {"2026-W49", "2026-W49-2"}
        assert [(lot.lot, lot.copies, lot.customer) for lot in at.stock] == [
            (1, 1, "harbour-bakery"),
            (2, 3, "harbour-bakery"),
        ]
        assert ledger.check() == ()


def test_many_jobs_at_once(place: Place) -> None:
    """More names than a database takes in one question."""
    filled(place)
    with Ledger.open(place) as ledger:
        names = [f"H-{number}" for number in range(100, 40_000)]
        assert [known.job for known in ledger.read(names, on=MONDAY).recorded] == ["H-101", "H-102", "H-201"]


def test_stock_is_good_until_its_last_day(place: Place) -> None:
    """A shelf life of 180 days from the day of the run: pressed on the last day, not a day later."""
    filled(place)
    last = MONDAY + timedelta(days=180)
    with Ledger.open(place) as ledger:
        assert {lot.use_by for lot in ledger.read([], on=last).stock} == {last}
        assert ledger.read([], on=last + timedelta(days=1)).stock == ()


def test_each_year_begins_at_one(place: Place) -> None:
    """In January the numbers begin anew, for invoices and purchases."""
    filled(place)
    with Ledger.open(place) as ledger:
        at = ledger.read([], on=MONDAY.replace(year=2027))
        assert (at.next_invoice, at.next_purchase) == (1, 1)
        run = planned(at, ["H-301"])
        record(ledger, run, at)
        assert [item.number for item in (*run.invoices, *run.purchases)] == [
            "2027-0001",
            "P2027-001",
            "P2027-002",
        ]
        assert ledger.check() == ()


def test_two_plan_at_the_same_time(place: Place) -> None:
    """The second to record is told that the ledger moved, and leaves no trace."""
    with Ledger.open(place) as one, Ledger.open(place) as two:
        at = one.read([], MONDAY)
        also = two.read([], MONDAY)
        record(one, planned(at), at)
        before = dump(place)
        with pytest.raises(LedgerMoved):
            record(two, planned(also, ["H-201"]), also)
        assert dump(place) == before


def test_delivery_is_not_a_move(place: Place, tmp_path: Path) -> None:
    """Another run's papers being delivered must not send a planner back to the start."""
    filled(place)
    with Ledger.open(place) as ledger:
        at = ledger.read([], MONDAY)
        assert deliver_waiting(ledger, tmp_path / "out") == ("2026-W49", "2026-W49-2")
        record(ledger, planned(at, ["H-301"]), at)


def test_papers_come_back_byte_for_byte(place: Place, tmp_path: Path) -> None:
    """Kept after delivery: a lost paper is restored, not made anew."""
    filled(place)
    out = tmp_path / "out"
    with Ledger.open(place) as ledger:
        assert ledger.undelivered() == ("2026-W49", "2026-W49-2")
        deliver_waiting(ledger, out)
        assert ledger.undelivered() == ()
        (out / "2026-W49" / "run.json").unlink()
        assert deliver_run(ledger, "2026-W49", out).written == ("run.json",)
        assert ledger.documents("2026-W49") == DOCUMENTS
        for unknown in (ledger.documents, ledger.mark_delivered, ledger.file):
            with pytest.raises(KeyError):
                unknown("2026-W50")


def test_an_old_backup_is_noticed(place: Place) -> None:
    """Papers of a run, or with an invoice, that the ledger does not know."""
    filled(place)
    papers = [
        Papers(folder="2026-W49", label="2026-W49", invoices=("2026-0001", "2026-0002")),
        Papers(folder="2026-W50", label="2026-W50", invoices=("2026-0004",)),
        Papers(folder="other", label="2026-W49", invoices=("2026-0009",)),
    ]
    with Ledger.open(place) as ledger:
        found = ledger.unknown(papers)
    assert [(problem.code, problem.origin.file) for problem in found] == [("E603", "2026-W50"), ("E603", "other")]
    assert "run 2026-W50, invoice 2026-0004" in found[0].message
    assert found[1].message == "`other` holds invoice 2026-0009, which the ledger does not know"


@pytest.mark.parametrize("code", ["E602", "E604", "E607", "E608", "E610", "E620", "E621"])
def test_what_must_not_be_recorded(code: str, place: Place) -> None:
    """Each is refused with its code, before or within the transaction, and nothing is recorded."""
    filled(place)
    before = dump(place)
    with Ledger.open(place) as ledger:
        on = MONDAY - timedelta(days=1) if code == "E602" else MONDAY
        numbering = Numbering(invoice="{number}") if code == "E604" else Numbering()
        at = ledger.read([], on=on)
        run = planned(at, ["H-301"], make_shop(numbering=numbering))
        documents = list(DOCUMENTS)
        if code == "E607":
            # As if the shop now wrote its fourth number as it wrote its third.
            at = evolve(at, next_invoice=3)
            run = planned(at, ["H-301"])
        if code == "E608":
            use = StockUse(lot=1, demand="P01", copies=2)
            run = evolve(run, plan=evolve(run.plan, prints=evolve(run.plan.prints, stock_uses=(use,))))
        if code == "E610":
            bill = evolve(run.plan.bills.bills[0], total=Money(1))
            run = evolve(run, plan=evolve(run.plan, bills=evolve(run.plan.bills, bills=(bill,))))
        if code == "E620":
            documents.append(make_document("../invoice.pdf"))
        if code == "E621":
            documents.append(make_document("RUN.json"))
        with pytest.raises(StopRun) as refused:
            record(ledger, run, at, documents)
    assert [problem.code for problem in refused.value.problems] == [code]
    assert dump(place) == before


def as_quote(run: Run) -> Run:
    """The run as a quote."""
    return evolve(run, kind=RunKind.QUOTE)


def with_other_numbers(run: Run) -> Run:
    """The run with a number left out."""
    return evolve(run, invoices=(evolve(run.invoices[0], number="2026-0009"), *run.invoices[1:]))


def with_a_label_taken(run: Run) -> Run:
    """The run under the label of an earlier one."""
    return evolve(run, label="2026-w49")


def with_another_file(run: Run) -> Run:
    """The run of a job whose file was read otherwise."""
    orders = tuple(evolve(order, sha256="0" * 64) for order in run.orders)
    return evolve(run, plan=evolve(run.plan, orders=orders))


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (as_quote, "a quote"),
        (with_other_numbers, "not those that come next"),
        (with_a_label_taken, "a run 2026-w49 already"),
        (with_another_file, "not the one that was read"),
    ],
)
def test_a_caller_at_fault(spoil: Callable[[Run], Run], words: str, place: Place) -> None:
    """What no user can bring about is a ValueError, and still nothing is recorded."""
    filled(place)
    before = dump(place)
    with Ledger.open(place) as ledger:
        at = ledger.read([], MONDAY)
        with pytest.raises(ValueError, match=words):
            record(ledger, spoil(planned(at, ["H-301"])), at)
        known = ledger.read(["H-101"], MONDAY)
        with pytest.raises(ValueError, match="recorded already"):
            record(ledger, planned(known, ["H-101"]), known)
    assert dump(place) == before


def test_busy(path: Path) -> None:
    """Another program keeps the lock: after a while we say so, and do not wait for ever."""
    filled(path)
    with Ledger.open(path, patience=0.05) as ledger:
        at = ledger.read([], MONDAY)
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        try:
            with pytest.raises(LedgerBusy, match=r"ledger\.sqlite"):
                record(ledger, planned(at, ["H-301"]), at)
        finally:
            other.close()
        record(ledger, planned(at, ["H-301"]), at)


def test_disk_full(path: Path) -> None:
    """The file may not grow: nothing of the run is recorded, and it succeeds when there is room again."""
    filled(path)
    before = dump(path)
    big = [make_document("big.bin", bytes(str(list(range(90_000))), "ascii"))]
    with Ledger.open(path) as ledger:

        @event.listens_for(ledger._database.engine, "connect")
        def no_room(connection: sqlite3.Connection, _: object) -> None:
            pages = connection.execute("PRAGMA page_count").fetchone()[0]
            connection.execute(f"PRAGMA max_page_count = {pages + 2}")

        at = ledger.read([], MONDAY)
        with pytest.raises(LedgerUnwritable, match="full"):
            record(ledger, planned(at, ["H-301"]), at, big)
        assert dump(path) == before
        event.remove(ledger._database.engine, "connect", no_room)
        record(ledger, planned(at, ["H-301"]), at, big)
        assert ledger.check() == ()


def test_no_folder(tmp_path: Path) -> None:
    """A ledger is not made in a folder that does not exist: most likely the path is wrong."""
    with pytest.raises(LedgerUnwritable), Ledger.open(tmp_path / "none" / "ledger.sqlite"):
        pass


def test_a_later_programs_ledger(path: Path) -> None:
    """Not touched: who knows what stands in it."""
    filled(path)
    connection = sqlite3.connect(path)
    connection.execute("UPDATE state SET schema = 99")
    connection.commit()
    connection.close()
    with pytest.raises(StopRun, match=r"E605.*99"), Ledger.open(path):
        pass


def test_not_a_ledger(path: Path, tmp_path: Path) -> None:
    """A text file and another program's database are named, and left as they are."""
    path.write_bytes(b"Dear diary, " * 100)
    other = tmp_path / "other.sqlite"
    connection = sqlite3.connect(other)
    connection.execute("CREATE TABLE recipes (name TEXT)")
    connection.close()
    for file in (path, other):
        before = file.read_bytes()
        with pytest.raises(StopRun, match="E606"), Ledger.open(file):
            pass
        assert file.read_bytes() == before


def test_a_quote_makes_no_file(path: Path) -> None:
    """Without `create` nothing is left behind; where there is a ledger, it is read."""
    with Ledger.open(path, create=False) as ledger:
        assert ledger.read(["H-101"], MONDAY).version == 0
        assert ledger.check() == ()
    assert not path.exists()
    filled(path)
    with Ledger.open(path, create=False) as ledger:
        assert ledger.read(["H-101"], MONDAY).version == 2


def test_how_the_database_is_set(path: Path) -> None:
    """A number must outlive a power cut, and a column keep its type (values as in SQLite's documentation)."""
    with Ledger.open(path) as ledger, ledger._transaction() as connection:
        setting = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        }
        strict = connection.exec_driver_sql(
            "SELECT min(strict), count(*) FROM pragma_table_list WHERE schema = 'main' AND name NOT LIKE 'sqlite_%'"
        ).one()
    assert setting == {"journal_mode": "truncate", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 10_000}
    assert tuple(strict) == (1, 15)


def test_the_seal_covers_every_column() -> None:
    """A column that the seal leaves out could be changed unseen; `run` follows from the job."""
    assert set(SEALED) == {column.name for column in invoices.columns} - {"seal", "run"}


def test_a_job_has_one_invoice_for_ever(place: Place) -> None:
    """Even a caller who did not ask about a job cannot give it a second number: the database refuses."""
    filled(place)
    before = dump(place)
    with Ledger.open(place) as ledger:
        at = ledger.read([], MONDAY)
        with pytest.raises(IntegrityError):
            record(ledger, planned(at, ["H-301", "H-101"]), at)
    assert dump(place) == before


def test_anothers_prints_are_not_used(place: Place) -> None:
    """A lot belongs to the customer whose art it is, and to that picture."""
    filled(place)
    with Ledger.open(place) as ledger:
        at = ledger.read([], MONDAY)
        run = planned(at, ["H-301"], stock_uses=[StockUse(lot=1, demand="P01", copies=1)])
        (demand,) = run.plan.prints.demands
        for spoilt in (
            evolve(demand, customer="sailing-school"),
            evolve(demand, artwork=evolve(demand.artwork, sha256="c" * 64)),
        ):
            prints = evolve(run.plan.prints, demands=(spoilt,))
            with pytest.raises(StopRun, match=r"E608.*another"):
                record(ledger, evolve(run, plan=evolve(run.plan, prints=prints)), at)
        record(ledger, run, at)


def test_files_are_kept(place: Place) -> None:
    """The job's bytes, to tell later what had been ordered."""
    filled(place)
    with Ledger.open(place) as ledger:
        assert ledger.file("H-102") == file_of("H-102")
