"""Codes of cartons: valid by the GS1 General Specifications, and never given twice."""

import sqlite3
from datetime import date, timedelta
from pathlib import Path

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from pipeline.ledger import Ledger, Snapshot, carton_problems, number
from pipeline.ledger.cartons import capacity, check_digit, sscc
from pipeline.shop import Shop
from tests.builders import MONDAY, make_order, make_shop
from tests.ledger.books import planned, record
from tests.plans import make_run

PREFIX = "9999999"
PREFIXES = st.text("0123456789", min_size=4, max_size=12)


def coded_shop(prefix: str = PREFIX) -> Shop:
    """A shop that has a company prefix."""
    shop = make_shop()
    return evolve(shop, packing=evolve(shop.packing, gs1_prefix=prefix))


@pytest.mark.parametrize(
    ("digits", "expected"),
    [
        # The worked examples of GS1's guide to check digits, for an SSCC and a GTIN-13 (retyped from memory).
        ("37610425002123456", 9),
        ("629104150021", 3),
        # By hand: 3 x (1 + 3) + 2 = 14, and 6 make 20.
        ("123", 6),
        ("0", 0),
    ],
)
def test_the_check_digit(digits: str, expected: int) -> None:
    """The published algorithm on published numbers."""
    assert check_digit(digits) == expected


@given(st.text("0123456789", min_size=17, max_size=17), st.integers(0, 16), st.integers(1, 9))
def test_one_wrong_digit_is_noticed(digits: str, place: int, by: int) -> None:
    """What the check digit is for: 3 and 1 share no factor with 10."""
    wrong = f"{digits[:place]}{(int(digits[place]) + by) % 10}{digits[place + 1 :]}"
    assert check_digit(wrong) != check_digit(digits)


@given(PREFIXES, st.data())
def test_every_serial_has_a_code_of_its_own(prefix: str, data: st.DataObject) -> None:
    """18 digits with the prefix in its place; whoever knows the prefix reads the serial back."""
    serial = data.draw(st.integers(0, capacity(prefix) - 1))
    code = sscc(prefix, serial)
    assert len(code) == 18
    assert code[1 : 1 + len(prefix)] == prefix
    assert int(code[0] + code[1 + len(prefix) : 17]) == serial


@given(PREFIXES)
def test_codes_come_to_an_end(prefix: str) -> None:
    """One more than there are would be another one's code, or one too long."""
    sscc(prefix, capacity(prefix) - 1)
    with pytest.raises(ValueError, match="leaves room"):
        sscc(prefix, capacity(prefix))


def test_the_next_codes_in_the_order_of_the_cartons() -> None:
    """From the ledger's next serial; a shop without a prefix has none."""
    orders = [make_order("H-101"), make_order("H-102")]
    at = Snapshot(on=MONDAY, next_carton=41)
    run = number(make_run(orders, coded_shop()), at)
    assert [(code.job, code.carton, code.sscc) for code in run.cartons] == [
        ("H-101", 1, sscc(PREFIX, 41)),
        ("H-102", 1, sscc(PREFIX, 42)),
    ]
    assert run.sscc("H-102", 1) == sscc(PREFIX, 42)
    assert number(make_run(orders), at).cartons == ()


def test_no_code_is_given_twice(tmp_path: Path) -> None:
    """Not in the next run, not in the next year, not after a change of prefix, not by the run that came too late."""
    with Ledger.open(tmp_path / "ledger.sqlite") as ledger:
        given: list[str] = []
        for at_day, prefix, jobs in (
            (MONDAY, PREFIX, ("H-101", "H-102")),
            (date(2027, 1, 4), PREFIX, ("H-201",)),
            (date(2027, 1, 5), "8888888", ("H-301", "H-302")),
            (date(2027, 1, 6), PREFIX, ("H-401",)),
        ):
            at = ledger.read([], at_day)
            run = planned(at, jobs, coded_shop(prefix))
            record(ledger, run, at)
            given += [code.sscc for code in run.cartons]
        assert len(given) == len(set(given)) == 6
        assert ledger.read([], date(2027, 1, 7)).next_carton == 7
        assert ledger.check() == ()


def test_a_ledger_from_before_there_were_codes(tmp_path: Path) -> None:
    """It gets the table that it lacks, and loses nothing."""
    path = tmp_path / "ledger.sqlite"
    with Ledger.open(path) as ledger:
        at = ledger.read([], MONDAY)
        record(ledger, planned(at), at)
    connection = sqlite3.connect(path)
    connection.executescript("DROP TABLE cartons; UPDATE state SET schema = 3")
    connection.commit()
    connection.close()
    with Ledger.open(path) as ledger:
        at = ledger.read(["H-101"], MONDAY + timedelta(days=1))
        assert at.of("H-101") is not None
        record(ledger, planned(at, ["H-201"], coded_shop()), at)
        assert ledger.read([], MONDAY + timedelta(days=1)).next_carton == 2


def test_a_prefix_that_is_used_up_stops_the_run() -> None:
    """A label with a code that another carton has is worse than none: the shop is told what to do."""
    shop = coded_shop("999999999999")
    run = make_run([make_order("H-101"), make_order("H-102")], shop)
    last = capacity("999999999999")
    assert last == 100_000
    assert carton_problems(run, Snapshot(on=MONDAY, next_carton=last - 2)) == ()
    (problem,) = carton_problems(run, Snapshot(on=MONDAY, next_carton=last - 1))
    assert problem.code == "E619"
    assert carton_problems(make_run([make_order("H-101")]), Snapshot(on=MONDAY, next_carton=last)) == ()


@pytest.mark.parametrize(
    "statement",
    ["DELETE FROM cartons WHERE id = 1", "UPDATE cartons SET sscc = replace(sscc, '9999', '9998') WHERE id = 2"],
)
def test_a_changed_code_is_found(statement: str, tmp_path: Path) -> None:
    """A gap might be a code that is given again."""
    path = tmp_path / "ledger.sqlite"
    with Ledger.open(path) as ledger:
        at = ledger.read([], MONDAY)
        record(ledger, planned(at, shop=coded_shop()), at)
    connection = sqlite3.connect(path)
    connection.executescript(statement)
    connection.commit()
    connection.close()
    with Ledger.open(path) as ledger:
        assert {problem.code for problem in ledger.check()} == {"E613"}
