"""One order at the door: taken in, taken again, replaced, refused; and what its sender is told."""

import json

import pytest

from pipeline.ledger import Ledger
from pipeline.model.run import RunKind
from pipeline.request import LEDGER_FILE, Request
from pipeline.run import run
from tests.host.folder import ORDER, write
from tests.host.folder import request as of_week
from tests.watch.house import House


def test_an_order_is_checked_priced_and_acknowledged(house: House) -> None:
    """Its file goes to done, the ledger has its bytes, its sender finds a price; no number was given."""
    watcher = house.watcher()
    content = house.drop("H-101").read_bytes()
    house.settle(watcher)
    assert house.names("inbox") == house.names("work") == house.names("rejected") == []
    (done,) = (house.layout.done / "2026-11-30").iterdir()
    assert done.read_bytes() == content
    with house.ledger() as ledger:
        (drop,) = ledger.waiting()
    assert (drop.job, drop.customer, drop.file) == ("H-101", "harbour-bakery", content)
    assert house.root / drop.name == done
    told = (house.layout.received / "H-101.txt").read_text("utf-8")
    # Six tees at an agreed 9.00.
    assert "quote     54.00 USD net" in told
    assert "due       2026-12-18" in told
    assert house.invoices() == {}


def test_the_same_file_again(house: House) -> None:
    """It does nothing, whatever it is called; the acknowledgement stays as it was."""
    watcher = house.watcher()
    house.drop("H-101")
    house.settle(watcher)
    told = (house.layout.received / "H-101.txt").read_bytes()
    house.drop("H-101", name="copy.yaml")
    house.settle(watcher)
    assert house.events("received", "again") == ["received H-101", "again H-101"]
    assert house.waiting() == ["H-101"]
    assert (house.layout.received / "H-101.txt").read_bytes() == told
    assert house.names("done") == ["copy.yaml", "h-101.yaml"]


def test_an_edit_takes_the_place_of_the_earlier_file(house: House) -> None:
    """Until the week is closed. The price follows, and the closing takes the new one."""
    watcher = house.watcher()
    house.drop("H-101", pieces=6)
    house.settle(watcher)
    house.drop("H-101", pieces=8)
    house.settle(watcher)
    assert house.events("received", "replaced") == ["received H-101", "replaced H-101"]
    assert "72.00 USD net" in (house.layout.received / "H-101.txt").read_text("utf-8")
    close(house)
    (paper,) = house.layout.out.glob("2026-*/orders/h-101.txt")
    assert paper.read_text("utf-8") == "2026-0001 H-101 8\n"


def close(house: House) -> None:
    """Close the week by hand."""
    run(Request(kind=RunKind.RUN, shop=house.root, gathered=(), now=house.clock.now()))


def test_another_customers_job_id(house: House) -> None:
    """It is not taken for an edit: an order would be lost."""
    watcher = house.watcher()
    house.drop("H-101")
    house.settle(watcher)
    other = ORDER.format(job="H-101", pieces=6).replace("harbour-bakery", "sailing-school")
    house.drop("H-101", text=other)
    house.settle(watcher)
    assert errors(house) == [("inbox/h-101.yaml", ["E641"])]
    with house.ledger() as ledger:
        assert [drop.customer for drop in ledger.waiting()] == ["harbour-bakery"]


def errors(house: House) -> list[tuple[str, list[str]]]:
    """Name and codes of each rejected file, by name."""
    found = [json.loads(path.read_bytes()) for path in house.layout.rejected.rglob("*.error.json")]
    codes = {e["file"]: [p["code"] for p in e["problems"] if p["severity"] == "error"] for e in found}
    return sorted(codes.items())


def test_an_invoiced_order_again(house: House) -> None:
    """Unchanged: nothing new, and a lost paper is put back. Changed: refused with number and difference."""
    watcher = house.watcher()
    house.drop("H-101")
    house.settle(watcher)
    close(house)
    (paper,) = house.layout.out.glob("2026-*/orders/h-101.txt")
    paper.unlink()
    house.drop("H-101")
    house.settle(watcher)
    assert paper.read_text("utf-8") == "2026-0001 H-101 6\n"
    house.drop("H-101", pieces=7)
    house.settle(watcher)
    assert house.events("invoiced", "rejected") == ["invoiced H-101", "rejected H-101"]
    (reasons,) = house.layout.rejected.rglob("*.error.txt")
    assert "H-101 was invoiced as 2026-0001 on 2026-11-30" in reasons.read_text("utf-8")
    assert "lines[1].pieces.M: 6 -> 7" in reasons.read_text("utf-8")


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (ORDER.format(job="H-101", pieces=6).replace("tee", "teh"), "E222"),
        (ORDER.format(job="H-101", pieces=6).replace("gull", "gulp"), "E301"),
        (ORDER.format(job="H-101", pieces=6).replace("2026-12-18", "2026-11-01"), "E421"),
        ("job: [", "E105"),
        ("", "E112"),
        ("#" * 2_000_000, "E102"),
    ],
)
def test_a_faulty_order_is_rejected_at_once(house: House, text: str, code: str) -> None:
    """With the reasons beside it, for people and for programs; the next order is taken in."""
    watcher = house.watcher()
    path = house.drop("H-101")
    path.write_text(text, "utf-8")
    house.drop("H-102")
    house.settle(watcher)
    assert errors(house) == [("inbox/h-101.yaml", [code])]
    assert house.names("rejected") == ["h-101.yaml", "h-101.yaml.error.json", "h-101.yaml.error.txt"]
    (words,) = house.layout.rejected.rglob("*.error.txt")
    assert words.read_text("utf-8").startswith(f"error[{code}]: ")
    assert house.waiting() == ["H-102"]


def test_a_run_beside_the_folder(house: House) -> None:
    """`run` of an order that waits records it, and it waits no more; of another version it is held."""
    watcher = house.watcher()
    house.drop("H-101")
    house.drop("H-102")
    house.settle(watcher)
    write(house.root, "H-101")
    write(house.root, "H-102", pieces=9)
    report = run(of_week(house.root))
    assert [problem.code for problem in report.problems] == ["E640"]
    assert house.invoices() == {"H-101": "2026-0001"}
    assert house.waiting() == ["H-102"]


def test_the_ledgers_of_shops_that_do_not_watch(house: House) -> None:
    """A run needs no inbox, and leaves none."""
    write(house.root, "H-101")
    run(of_week(house.root))
    assert not house.layout.inbox.exists()
    with Ledger.open(house.root / LEDGER_FILE) as ledger:
        assert ledger.waiting() == ()


def test_what_was_left_over_tells_nothing_of_what_counts(house: House) -> None:
    """A watcher kept an order and was killed; its claim is resumed after a newer file of the job was taken in."""
    watcher = house.watcher()
    house.drop("H-101", pieces=6)
    house.settle(watcher)
    with house.ledger() as ledger:
        (first,) = ledger.waiting()
    house.drop("H-101", pieces=8)
    house.settle(watcher)
    acknowledged = (house.layout.received / "H-101.txt").read_bytes()
    claim = house.layout.work / first.claim.rpartition("-")[0]
    claim.mkdir()
    (claim / "h-101.yaml").write_bytes(first.file)
    house.settle(watcher)
    assert house.events("again") == ["again H-101"]
    assert (house.layout.received / "H-101.txt").read_bytes() == acknowledged
    with house.ledger() as ledger:
        assert [drop.sha256 for drop in ledger.waiting()] != [first.sha256]
