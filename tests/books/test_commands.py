"""`peelwright ledger ...` and `deposit` as a shell sees them."""

import json
import sqlite3
from collections.abc import Sequence
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from pipeline.ledger import Ledger
from tests.host import folder
from tests.host.test_cli import Peelwright
from tests.output.test_record import SCHEMA

LATER = ("--date", "2026-12-08")
WHY = ("--reason", "One was torn")


def test_show_check_and_backup(shop: Path, peelwright: Peelwright, tmp_path: Path) -> None:
    """What there is; that it is in order; a copy that is in order too, and is never written over."""
    assert peelwright("ledger", "show", *LATER) == 0
    # Six at 9.00, 5.5 %: 54.00 + 2.97.
    assert "2026-0001  2026-11-30  H-101  harbour-bakery  56.97 USD" in peelwright.out
    assert "Open in all: 113.94 USD" in peelwright.out
    assert "1 " in peelwright.out.partition("Leftover prints")[2]
    assert peelwright("ledger", "check") == 0
    assert "in order: 2 invoices" in peelwright.out
    copy = tmp_path / "copy.sqlite"
    assert peelwright("ledger", "backup", copy) == 0
    with Ledger.open(copy, create=False) as ledger:
        assert len(ledger.items()) == 2
    before = copy.read_bytes()
    assert peelwright("ledger", "backup", copy) == 2
    assert "never overwrites" in peelwright.err
    assert copy.read_bytes() == before
    assert peelwright("ledger", "backup", tmp_path / "none" / "copy.sqlite") == 74


def test_half_a_backup_is_taken_away(shop: Path, peelwright: Peelwright, tmp_path: Path) -> None:
    """The disk is full in the middle of it: said so, and no file is left that could be taken for a backup."""
    resource = pytest.importorskip("resource")
    _, most = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (8_192, most))
    try:
        code = peelwright("ledger", "backup", tmp_path / "copy.sqlite")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    assert code == 74
    assert "copy.sqlite" in peelwright.err
    assert not (tmp_path / "copy.sqlite").exists()


def test_check_names_what_is_wrong(shop: Path, peelwright: Peelwright) -> None:
    """Somebody changed an amount by other means."""
    connection = sqlite3.connect(shop / "ledger.sqlite")
    connection.execute("UPDATE invoices SET total = total + 1 WHERE id = 1")
    connection.commit()
    connection.close()
    assert peelwright("ledger", "check") == 2
    assert "E611" in peelwright.err
    assert "E612" in peelwright.err


def test_credit(shop: Path, peelwright: Peelwright) -> None:
    """A number of its own, a paper, a record; the same once more is the same, until it is said to be another."""
    command = ("ledger", "credit", "2026-0001", "--line", "1=2", *WHY, *LATER)
    assert peelwright(*command) == 0
    # 2 x 9.00 = 18.00, 5.5 % = 0.99.
    assert "Credit note C2026-001 on 2026-0001, 2026-12-08, H-101: 18.99 USD." in peelwright.out
    paper = shop / "out" / "credit-2026-12-08" / "c2026-001.txt"
    assert paper.read_text() == "C2026-001 1899\n"
    paper.unlink()
    assert peelwright(*command, "--format", "json") == 0
    assert [note["number"] for note in peelwright.data["known"]] == ["C2026-001"]
    assert peelwright.data["restored"] == [str(paper.relative_to(shop))]
    assert peelwright(*command, "--again", "--format", "json") == 0
    assert [(n["number"], n["corrects"]) for n in peelwright.data["given"]] == [("C2026-002", "2026-0001")]
    assert peelwright("ledger", "credit", "2026-0001", *WHY, *LATER, "--format", "json") == 0
    assert peelwright.data["given"][0]["total"] == 5_697 - 2 * 1_899
    assert peelwright("ledger", "check") == 0
    assert peelwright("ledger", "show", "--format", "json", *LATER) == 0
    assert [item["open"] for item in peelwright.data["items"]] == [0, 5_697]


def test_the_rest_of_a_line_is_another_credit(shop: Path, peelwright: Peelwright) -> None:
    """Two pieces of six, then the line, for the same reason on the same day: it is not taken for the same again."""
    rest = ("ledger", "credit", "2026-0001", "--line", "1", *WHY, *LATER, "--format", "json")
    assert peelwright("ledger", "credit", "2026-0001", "--line", "1=2", *WHY, *LATER) == 0
    assert peelwright(*rest) == 0
    assert [note["net"] for note in peelwright.data["given"]] == [4 * 900]
    assert peelwright(*rest) == 0
    assert [note["net"] for note in peelwright.data["known"]] == [4 * 900]


@pytest.mark.parametrize(
    "arguments",
    [
        ("place", "99999999999999999999", "drawer 4"),
        ("place", "1", "drawer\udcff"),
        ("pay", "2026-0001", "--note", "bank\udcff"),
        ("credit", "2026-0001", "--reason", "torn\x1b[2J"),
    ],
)
def test_what_is_no_lot_and_no_words(arguments: Sequence[str], shop: Path, peelwright: Peelwright) -> None:
    """Told as a fault of the command line, not of the program."""
    assert peelwright("ledger", *arguments) == 2
    assert "internal" not in peelwright.err


def test_a_customer_whose_file_is_gone(shop: Path, peelwright: Peelwright) -> None:
    """Their papers need the address: told, and not a fault of a plugin."""
    (shop / "customers" / "harbour-bakery.yaml").unlink()
    (shop / "tally.yaml").write_text(
        "orders:\n  - job: H-101\n    lines: [{line: 1, shipped: {M: 5}}]\n", "utf-8"
    )
    for command in (("statement",), ("credit", "2026-0001", *WHY), ("tally", "tally.yaml")):
        assert peelwright("ledger", *command, *LATER) == 2
        assert "error[E203]: there is no customer `harbour-bakery` any more" in peelwright.err


def test_the_record_of_vouchers_keeps_to_its_schema(shop: Path, peelwright: Peelwright) -> None:
    """Other programs read it; its bill is as that of run.json."""
    assert peelwright("ledger", "credit", "2026-0001", "--amount", "10", *WHY, *LATER) == 0
    record = json.loads((shop / "out" / "credit-2026-12-08" / "vouchers.json").read_bytes())
    schema = json.loads((Path(__file__).parents[2] / "schemas" / "vouchers.schema.json").read_text("utf-8"))
    assert [error.message for error in Draft202012Validator(schema).iter_errors(record)] == []
    of_run = SCHEMA["properties"]["orders"]["items"]["properties"]["bill"]
    assert schema["properties"]["vouchers"]["items"]["properties"]["bill"] == of_run
    assert record["vouchers"][0]["corrects"] == {
        "number": "2026-0001",
        "issued": "2026-11-30",
        "reason": "One was torn",
    }


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (("credit", "2026-0009", *WHY), "E631", "ledger show"),
        (("credit", "2026-0001", "--line", "2", *WHY), "E632", "lines are 1 to 1"),
        (("credit", "2026-0001", "--line", "1=7", *WHY), "E632", "6 of 6 are left"),
        (("credit", "2026-0001", "--line", "1=0", *WHY), "E632", "6 of 6 are left"),
        (("credit", "2026-0001", "--line", "1", "--line", "1", *WHY), "E632", "once"),
        (("credit", "2026-0001", "--amount", "54.01", *WHY), "E632", "up to 54.00 USD"),
        (("credit", "2026-0001", "--amount", "-1", *WHY), "E632", "up to 54.00 USD"),
        (("credit", "2026-0001", "--amount", "1.234", *WHY), "E700", "decimals of USD"),
        (("credit", "2026-0001", "--amount", "NaN", *WHY), "E700", "no amount"),
        (("credit", "2026-0001", "--amount", "1e999999", *WHY), "E700", "no amount"),
        (("credit", "2026-0001", *WHY, "--date", "2026-11-29"), "E632", "later day"),
        (("pay", "2026-0001", "--amount", "56.98"), "E634", "56.97 USD is open"),
        (("pay", "2026-0001", "--amount", "-0.01"), "E634", "0.00 USD was paid"),
        (("pay", "2026-0001", "--amount", "0"), "E634", "nothing"),
        (("place", "9", "drawer 4"), "E639", "no lot 9"),
        (("statement", "harbor-bakery"), "E203", "harbour-bakery"),
    ],
)
def test_what_cannot_be(
    arguments: Sequence[str], code: str, words: str, shop: Path, peelwright: Peelwright
) -> None:
    """Said with its code and what to do, and nothing is recorded."""
    before = (shop / "ledger.sqlite").read_bytes()
    dated = () if "--date" in arguments or arguments[0] == "place" else LATER
    assert peelwright("ledger", *arguments, *dated) == 2
    assert f"error[{code}]" in peelwright.err
    assert words in peelwright.err
    assert (shop / "ledger.sqlite").read_bytes() == before


def test_a_day_before_the_last_credit(shop: Path, peelwright: Peelwright) -> None:
    """Refused, unless it is allowed; then the check knows that it was."""
    assert peelwright("ledger", "credit", "2026-0001", "--line", "1=1", *WHY, *LATER) == 0
    earlier = ("ledger", "credit", "2026-0002", "--line", "1=1", *WHY, "--date", "2026-12-01")
    assert peelwright(*earlier) == 2
    assert "E602" in peelwright.err
    assert "--allow-earlier-date" in peelwright.err
    assert peelwright(*earlier, "--allow-earlier-date") == 0
    assert peelwright("ledger", "check") == 0


def test_an_earlier_run(shop: Path, peelwright: Peelwright) -> None:
    """The same for the invoices of a run; credit notes are a series of their own."""
    assert peelwright("ledger", "credit", "2026-0001", "--line", "1=1", *WHY, *LATER) == 0
    folder.write(shop, "H-201", week="next")
    assert peelwright("run", "next", "--date", "2026-11-29") == 2
    assert "E602" in peelwright.err
    assert peelwright("run", "next", "--date", "2026-11-29", "--allow-earlier-date") == 0
    assert peelwright("ledger", "check") == 0
    folder.write(shop, "H-301", week="last")
    assert peelwright("run", "last", "--date", "2026-11-30") == 0, (
        "between the two: no day of the series is later"
    )


def test_pay(shop: Path, peelwright: Peelwright) -> None:
    """In part, the rest, and back again; the same twice counts once."""
    part = ("ledger", "pay", "2026-0001", "--amount", "20", "--note", "bank 17", *LATER)
    for word in ("recorded", "recorded before"):
        assert peelwright(*part) == 0
        assert "36.97 USD is open" in peelwright.out
        assert word in peelwright.out
    assert peelwright(*part, "--again") == 0
    assert peelwright("ledger", "pay", "2026-0001", *LATER) == 0
    assert "nothing is open" in peelwright.out
    assert peelwright("ledger", "pay", "2026-0001", *LATER) == 0
    assert "nothing is open, and nothing was recorded" in peelwright.out
    assert peelwright("ledger", "pay", "2026-0001", "--amount", "-56.97", "--note", "returned", *LATER) == 0
    assert "56.97 USD is open" in peelwright.out
    assert peelwright("ledger", "check") == 0


def test_pay_the_rest(shop: Path, peelwright: Peelwright) -> None:
    """What is open is by chance what was paid that day already: it is recorded, not taken for the same again."""
    for amount in ("20", "16.97"):
        assert peelwright("ledger", "pay", "2026-0001", "--amount", amount, *LATER) == 0
    assert "20.00 USD is open" in peelwright.out
    assert peelwright("ledger", "pay", "2026-0001", *LATER) == 0
    assert "20.00 USD on 2026-12-08 recorded; nothing is open" in peelwright.out


def test_an_empty_file_is_no_backup(tmp_path: Path, peelwright: Peelwright) -> None:
    """A copy that failed is not taken for a ledger in order."""
    shop = folder.make_shop(tmp_path / "new")
    empty = tmp_path / "copy.sqlite"
    empty.touch()
    assert peelwright("ledger", "restore", empty, "--shop", shop) == 2
    assert "error[E606]" in peelwright.err
    assert "holds nothing" in peelwright.err
    assert empty.read_bytes() == b""


def test_without_a_ledger(tmp_path: Path, peelwright: Peelwright) -> None:
    """Nothing was ever run: said so, and no ledger is made."""
    shop = folder.make_shop(tmp_path / "new")
    assert peelwright("ledger", "show", "--shop", shop) == 2
    assert "E630" in peelwright.err
    assert not (shop / "ledger.sqlite").exists()


def test_another_currency(shop: Path, peelwright: Peelwright) -> None:
    """Amounts of two currencies would be added up; at the line to change, and the ledger is as it was."""
    ledger = (shop / "ledger.sqlite").read_bytes()
    file = shop / "shop.yaml"
    file.write_text(file.read_text("utf-8").replace("currency: USD", "currency: EUR"), "utf-8")
    for command in (("ledger", "show"), ("ledger", "pay", "2026-0001"), ("run", "week")):
        assert peelwright(*command) == 2
        assert "error[E618]: the ledger's amounts are in USD, and the shop's currency is EUR" in peelwright.err
        assert "shop.yaml:" in peelwright.err
    assert (shop / "ledger.sqlite").read_bytes() == ledger


def test_an_old_ledger_put_back(shop: Path, peelwright: Peelwright) -> None:
    """A credit note's folder knows more than the ledger: refused, or its number would be given twice."""
    old = (shop / "ledger.sqlite").read_bytes()
    assert peelwright("ledger", "credit", "2026-0001", *WHY, *LATER) == 0
    (shop / "ledger.sqlite").write_bytes(old)
    for command in (("ledger", "credit", "2026-0002", *WHY, *LATER), ("run", "week", *LATER)):
        assert peelwright(*command) == 2
        assert "E603" in peelwright.err
        assert "C2026-001" in peelwright.err


def test_place_and_statement(shop: Path, peelwright: Peelwright) -> None:
    """Where leftovers lie; what a customer owes at the end of a day."""
    assert peelwright("ledger", "place", "1", "drawer 4") == 0
    assert peelwright("ledger", "show", *LATER) == 0
    assert "drawer 4" in peelwright.out
    assert peelwright("ledger", "pay", "2026-0001", *LATER) == 0
    assert peelwright("ledger", "statement", "--date", "2026-12-07") == 0
    assert "harbour-bakery: 2 items, 113.94 USD" in peelwright.out
    assert peelwright("ledger", "statement", "harbour-bakery", *LATER) == 0
    assert "1 item, 56.97 USD" in peelwright.out
    assert (shop / "out" / "statements-2026-12-08" / "harbour-bakery.txt").read_text() == "2026-12-08 5697\n"
    assert peelwright("ledger", "statement", "--date", "2026-11-29") == 0
    assert peelwright.out == "Nothing is open.\n"
