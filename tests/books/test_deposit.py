"""Deposits: asked for once, the order waits for them, and its invoice takes off what was paid."""

from pathlib import Path

import pytest

from pipeline.books.counter import open_counter
from pipeline.ledger import Ledger
from pipeline.model.account import VoucherKind
from pipeline.model.cost import Prepayment
from pipeline.run import run
from tests.host import folder
from tests.host.folder import MONDAY
from tests.host.test_cli import Peelwright

DAY = ("--date", "2026-11-30")


@pytest.fixture(autouse=True)
def _half(shop: Path) -> None:
    """The bakery pays half before work starts; a third order of six tees, 56.97 in all, waits in `next`."""
    file = shop / "customers" / "harbour-bakery.yaml"
    file.write_text(file.read_text("utf-8").rstrip() + "\ndeposit: 50%\n", "utf-8")
    folder.write(shop, "H-201", week="next")


def test_the_journey_of_a_deposit(shop: Path, peelwright: Peelwright) -> None:
    """Asked, held, paid, run: the invoice has the payment, and nothing is asked for twice."""
    assert peelwright("deposit", "next", *DAY) == 0
    # Half of 56.97 is 28.485, half up.
    assert "Deposit invoice D2026-001, 2026-11-30, H-201: 28.49 USD." in peelwright.out
    assert (shop / "out" / "deposit-next" / "d2026-001.txt").is_file()
    for command in ("check", "run"):
        assert peelwright(command, "next", *DAY) == 1
        assert "E635" in peelwright.err
    assert peelwright("ledger", "pay", "D2026-001", "--amount", "20", *DAY) == 0
    assert peelwright("run", "next", *DAY) == 1
    assert peelwright("ledger", "pay", "D2026-001", *DAY) == 0
    report = run(folder.request(shop, week="next"))
    assert report.run is not None
    bill = report.run.plan.bills.bill("H-201")
    assert bill.prepaid == (Prepayment(job="H-201", number="D2026-001", paid=MONDAY, amount=2_849),)
    assert bill.due == 5_697 - 2_849
    with Ledger.open(shop / "ledger.sqlite") as ledger:
        assert [(i.kind, i.open) for i in ledger.items() if i.bill.job == "H-201"] == [
            (VoucherKind.DEPOSIT, 0),
            (VoucherKind.INVOICE, 2_848),
        ]
        assert ledger.check() == ()


def test_asked_for_once(shop: Path, peelwright: Peelwright) -> None:
    """The same command again puts the paper right and gives no number."""
    assert peelwright("deposit", "next", *DAY) == 0
    paper = shop / "out" / "deposit-next" / "d2026-001.txt"
    paper.unlink()
    assert peelwright("deposit", "next", *DAY, "--format", "json") == 0
    assert peelwright.data["given"] == []
    assert [voucher["number"] for voucher in peelwright.data["known"]] == ["D2026-001"]
    assert paper.is_file()


def test_a_deposit_taken_back_lets_the_order_go_on(shop: Path, peelwright: Peelwright) -> None:
    """Credited whole, it is asked for no more; it may be asked for again, under a new number."""
    assert peelwright("deposit", "next", *DAY) == 0
    assert peelwright("ledger", "credit", "D2026-001", "--reason", "A good customer", *DAY) == 0
    assert peelwright("deposit", "next", *DAY) == 0
    assert "D2026-002" in peelwright.out
    assert peelwright("ledger", "credit", "D2026-002", "--reason", "A good customer", *DAY) == 0
    assert peelwright("run", "next", *DAY) == 0
    assert peelwright("ledger", "show", "--format", "json", *DAY) == 0
    assert [i["open"] for i in peelwright.data["items"] if i["job"] == "H-201"] == [0, 0, 5_697]


def test_in_part_paid_and_the_rest_taken_back(shop: Path, peelwright: Peelwright) -> None:
    """What was paid is taken off, and no more."""
    assert peelwright("deposit", "next", *DAY) == 0
    assert peelwright("ledger", "pay", "D2026-001", "--amount", "20", *DAY) == 0
    assert peelwright("ledger", "credit", "D2026-001", "--amount", "8.49", "--reason", "Enough", *DAY) == 0
    assert peelwright("run", "next", *DAY) == 0
    assert peelwright("ledger", "show", "--format", "json", *DAY) == 0
    assert [i["open"] for i in peelwright.data["items"] if i["job"] == "H-201"] == [0, 3_697]
    assert peelwright("ledger", "show", *DAY) == 0
    (line,) = [line for line in peelwright.out.splitlines() if "2026-0003" in line]
    # The deposit is taken off; it was paid once, on its own line.
    assert line.split()[4:] == ["56.97", "USD", "20.00", "USD", "0.00", "USD", "36.97", "USD", "2026-12-30"]


def test_paid_and_then_taken_back_in_part(shop: Path, peelwright: Peelwright) -> None:
    """28.49 came in, 8.49 of the deposit are credited: 20.00 are taken off, 8.49 are owed back, and all adds up."""
    assert peelwright("deposit", "next", *DAY) == 0
    assert peelwright("ledger", "pay", "D2026-001", *DAY) == 0
    assert peelwright("ledger", "credit", "D2026-001", "--amount", "8.49", "--reason", "Enough", *DAY) == 0
    assert peelwright("run", "next", *DAY) == 0
    assert peelwright("ledger", "show", "--format", "json", *DAY) == 0
    assert [i["open"] for i in peelwright.data["items"] if i["job"] == "H-201"] == [-849, 3_697]
    assert sum((-849, 3_697)) == 5_697 - 2_849
    assert peelwright("ledger", "pay", "D2026-001", "--amount", "-8.49", *DAY) == 0
    assert "nothing is open" in peelwright.out


def test_a_deposit_that_was_taken_off_stays(shop: Path, peelwright: Peelwright) -> None:
    """After the order's invoice it is that one that is credited, or the money would come back twice."""
    assert peelwright("deposit", "next", *DAY) == 0
    assert peelwright("ledger", "pay", "D2026-001", *DAY) == 0
    assert peelwright("run", "next", *DAY) == 0
    assert peelwright("ledger", "credit", "D2026-001", "--reason", "x", *DAY) == 2
    assert "E633" in peelwright.err
    assert "credit 2026-0003" in peelwright.err


def test_orders_without_a_deposit(shop: Path, peelwright: Peelwright) -> None:
    """Orders of a customer who pays none, and those that are invoiced, are passed over."""
    file = shop / "customers" / "harbour-bakery.yaml"
    file.write_text(file.read_text("utf-8").replace("deposit: 50%", "deposit: 0%"), "utf-8")
    assert peelwright("deposit", "next", *DAY) == 0
    assert "No order asks for a deposit." in peelwright.out
    assert peelwright("deposit", "week", *DAY) == 0
    assert "No order asks for a deposit." in peelwright.out


def test_a_plan_on_an_old_payment_is_made_anew(shop: Path, peelwright: Peelwright) -> None:
    """A payment is recorded while a run is planned: the ledger has moved, so the invoice will know of it."""
    assert peelwright("deposit", "next", *DAY) == 0
    with open_counter(shop) as counter:
        before = counter.ledger.read(["H-201"], MONDAY)
        assert peelwright("ledger", "pay", "D2026-001", *DAY) == 0
        after = counter.ledger.read(["H-201"], MONDAY)
    assert after.version > before.version
    assert (before.prepaid(), [paid.amount for paid in after.prepaid()]) == ((), [2_849])


def test_a_deposit_is_paid_back_with_its_invoice(shop: Path, peelwright: Peelwright) -> None:
    """The invoice that took the deposit off is taken back: what came in before it is owed back, and can be paid."""
    assert peelwright("deposit", "next", *DAY) == 0
    assert peelwright("ledger", "pay", "D2026-001", *DAY) == 0
    assert peelwright("run", "next", *DAY) == 0
    assert peelwright("ledger", "credit", "2026-0003", "--reason", "All spoiled", *DAY) == 0
    assert peelwright("ledger", "pay", "2026-0003", "--amount", "-28.50", *DAY) == 2
    assert "28.49 USD was paid" in peelwright.err
    assert peelwright("ledger", "pay", "2026-0003", *DAY) == 0
    assert "2026-0003: -28.49 USD on 2026-11-30 recorded; nothing is open." in peelwright.out
    assert peelwright("ledger", "check") == 0
