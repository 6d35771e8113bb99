"""Files -> values: what arrives, where it stands, and what a user's mistake leads to."""

import json
import time
from datetime import date, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pytest

from pipeline.load import load_order, load_week, read_file
from pipeline.load_shop import load_shop
from pipeline.model.order import Blanks, Delivery
from pipeline.problems import Origin, Problem
from pipeline.source import MAX_BYTES
from tests.reading.shop_folder import change, make_folder

JOB = """\
job: H-1041
customer: harbour-bakery
customer_order: 4711
due: 2026-12-04
delivery: pick-up
lines:
  - garment: classic-tee
    colour: navy
    price: 11.2
    pieces: {S: 4, M: 10}
    prints:
      - artwork: art/chest.svg
        placement: left-chest
        width: 3.5in
        scale: {S: 75%}
  - garment: apron
    colour: black
    price: by-list
    blanks: customer
    pieces:
      one size: 20
    prints:
      - artwork: art/apron.png
        placement: front
        height: 90mm
        may_turn: false
discount: 2.5%
safety_signed: {by: R. Sandpiper, on: 2026-11-20}
notes: |
  Two
  lines
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A shop's folder that may be spoiled."""
    return make_folder(tmp_path)


def codes(problems: tuple[Problem, ...]) -> list[tuple[str, str, int]]:
    """Code, file and line of each problem."""
    return [(p.code, p.origin.file, p.origin.line) for p in problems]


def test_an_order_arrives_as_it_was_written() -> None:
    """Every kind of value once, with the units of the model."""
    loaded = load_order(JOB.encode(), "a.yaml", "USD")
    assert loaded.problems == ()
    assert loaded.sources == {"a.yaml": JOB}
    order = loaded.value
    assert order is not None
    assert (order.job, order.customer_order, order.delivery) == ("H-1041", "4711", Delivery.PICK_UP)
    assert (order.due, order.discount, order.notes) == (date(2026, 12, 4), Fraction(25, 1000), "Two\nlines\n")
    assert order.safety_signed is not None
    assert order.safety_signed.on == date(2026, 11, 20)
    first, second = order.lines
    assert [(item.size, item.count) for item in first.pieces] == [("S", 4), ("M", 10)]
    assert (first.price, second.price, second.blanks) == (Fraction(1120), None, Blanks.CUSTOMER)
    assert (first.prints[0].width, first.prints[0].height) == (88_900, None)
    assert (second.prints[0].height, second.prints[0].may_turn) == (90_000, False)
    assert [(s.size, s.percent) for s in first.prints[0].scale] == [("S", Fraction(3, 4))]


def test_every_value_knows_where_it_stands() -> None:
    """The stages point at fields and entries without having seen the file."""
    order = load_order(JOB.encode(), "a.yaml", "USD").value
    assert order is not None

    def at(line: int, column: int, length: int) -> Origin:
        return Origin(file="a.yaml", line=line, column=column, length=length)

    first, second = order.lines
    assert order.at("due") == at(4, 6, 10)
    assert first.origin == at(7, 5, 7)
    assert first.at("pieces.M") == at(10, 23, 2)
    assert first.pieces[1].origin == at(10, 20, 1)
    assert first.prints[0].at("width") == at(14, 16, 5)
    assert second.pieces[0].origin == at(21, 7, 8)
    assert second.at("notes") == second.origin


def test_the_identity_of_an_order_is_its_bytes() -> None:
    """SHA-256 of the file (the empty text's is published in FIPS 180-4 examples); a changed byte is another order."""
    orders = [load_order(text.encode(), "a.yaml", "USD").value for text in (JOB, JOB, JOB + "# seen\n")]
    hashes = [order.sha256 for order in orders if order is not None]
    assert hashes[0] == hashes[1] != hashes[2]
    assert [len(text) for text in hashes] == [64, 64, 64]


def test_warnings_name_the_order_that_they_concern() -> None:
    """A warning of the reader is shown with its order, which is known once it was built."""
    loaded = load_order(JOB.replace("colour: navy", "colour: off").encode(), "a.yaml", "USD")
    assert [(p.code, p.job) for p in loaded.problems] == [("W101", "H-1041")]


@pytest.mark.parametrize(
    ("old", "new", "code", "line"),
    [
        ("due: 2026-12-04", "due: 2026-02-30", "E206", 4),
        ("due: 2026-12-04", "due: 4.12.2026", "E206", 4),
        ("price: 11.2\n", "price: 11.20000\n", "E206", 9),
        ("        height: 90mm\n", "", "E202", 23),
        ("S: 4", "S: 4.5", "E204", 10),
        ("delivery: pick-up", "delivery: on", "E205", 5),
        ("customer: harbour-bakery", "customer: Harbour Bakery", "E206", 2),
        ("garment: classic-tee", "garment: &g classic-tee", "E106", 7),
    ],
)
def test_a_mistake_is_one_problem_at_its_line(old: str, new: str, code: str, line: int) -> None:
    """One fault in an otherwise good order gives one problem, and no order."""
    assert old in JOB
    loaded = load_order(JOB.replace(old, new, 1).encode(), "a.yaml", "USD")
    assert codes(loaded.problems) == [(code, "a.yaml", line)]
    assert loaded.value is None


def test_every_line_of_an_order_may_be_lost() -> None:
    """A file cut or edited anywhere gives an order or problems with a place, never an exception."""
    lines = JOB.splitlines(keepends=True)
    for index in range(len(lines)):
        loaded = load_order("".join(lines[:index] + lines[index + 1 :]).encode(), "a.yaml", "USD")
        assert (loaded.value is None) == any(p.is_error for p in loaded.problems)
        assert all(p.origin.file == "a.yaml" and p.hint for p in loaded.problems)


def test_a_shop_arrives_whole(shop: Path) -> None:
    """The examples of the schemas make a shop that works; things are called by their files' names."""
    loaded = load_shop(shop)
    assert loaded.problems == ()
    assert loaded.value is not None
    assert loaded.value.root == shop
    assert loaded.value.press("press-a").highest == 210_000
    assert loaded.value.garment("classic-tee").placements[0].across == 101_600
    assert loaded.value.transfer("full-colour").recipe.dwell == timedelta(seconds=15)
    assert loaded.value.rates.labour_per_hour == 2_400
    assert set(loaded.sources) >= {"shop.yaml", "garments/classic-tee.yaml"}


@pytest.mark.parametrize(
    ("file", "old", "new", "code", "words"),
    [
        ("shop.yaml", '"America/New_York"', '"America/New_Yrok"', "E203", "unknown time zone"),
        (
            "shop.yaml",
            '"regime": "none"',
            '"regime": "vat"',
            "E211",
            "no tax rate is named for goods and freight",
        ),
        ("shop.yaml", '"regime": "none"', '"regime": "none", "goods": "standart"', "E203", "unknown tax rate"),
        ("shop.yaml", '"method": "mark-up"', '"method": "price-list"', "E211", "price list"),
        ("shop.yaml", '"end": "17:00"', '"end": "07:00"', "E211", "ends before it begins"),
        ("shop.yaml", '"height": "20in"', '"height": "0.4in"', "E211", "leaves nothing of the platen"),
        ("shop.yaml", '"percent": "5%"', '"percent": "100%"', "E211", "spoil"),
        (
            "shop.yaml",
            '"regime": "none"',
            '"regime": "none", "rates": [{"name": "zero", "title": "0 %", "percent": "0%"}]',
            "E211",
            "needs its `reason`",
        ),
        ("shop.yaml", '"mark_up": "50%"', '"target_margin": "100%"', "E211", "margin of 100 %"),
        (
            "shop.yaml",
            '"percent": "5%"',
            '"percent": "5%"}, {"from": 1, "percent": "3%"',
            "E211",
            "`from: 1` does not come after `from: 1`",
        ),
        (
            "shop.yaml",
            '"end": "17:00"',
            '"end": "17:00", "breaks": [{"start": "07:30", "end": "08:30"}]',
            "E211",
            "does not lie within its shift",
        ),
        ("presses/press-a.yaml", '"8C"', '"8C", "platen_on": "16x21"', "E203", "unknown platen of this press"),
        ("shop.yaml", '"carton_cost": "1.80"', '"carton_cost": "1.805"', "E206", "more decimals than USD has"),
        ("presses/press-a.yaml", '"16x20"', '"16x21"', "E203", "unknown platen `16x21`"),
        ("presses/press-a.yaml", '"200F"', '"420F"', "E211", "`lowest` is not below `highest`"),
        ("presses/press-a.yaml", '"8C"', '"0C"', "E211", "heats and cools"),
        (
            "presses/press-a.yaml",
            '"8C"',
            '"8C", "shifts": [{"days": ["sun"], "start": "08:00", "end": "12:00"}]',
            "E211",
            "nobody is ever there when press-a is warm",
        ),
        (
            "presses/press-a.yaml",
            '"8C"',
            '"8C", "shifts": [{"days": ["mon"], "start": "08:00", "end": "08:15"}]',
            "E211",
            "nobody is ever there when press-a is warm",
        ),
        ("garments/classic-tee.yaml", '"100%"', '"90%"', "E211", "add up to 90 %"),
        ("garments/classic-tee.yaml", '"16x20"', '"16x2"', "E203", "unknown platen `16x2`"),
        ("garments/classic-tee.yaml", '"across"', '"pad": "thin", "across"', "E203", "unknown pad `thin`"),
        ("transfers/full-colour.yaml", '"margin": "0.25in"', '"margin": "6in"', "E211", "nothing of the sheet"),
        ("transfers/full-colour.yaml", '"margin": "6mm"', '"margin": "11in"', "E211", "nothing of the roll"),
        ("transfers/full-colour.yaml", '"longest": "200in"', '"longest": "200.5in"', "E211", "number of steps"),
        ("transfers/full-colour.yaml", '"step": "1in"', '"step": "0in"', "E211", "number of steps"),
        ("transfers/full-colour.yaml", '"roll-22"', '"11.5x18"', "E210", "two of the sheet or roll"),
        (
            "transfers/full-colour.yaml",
            '"from": "60in"',
            '"from": "6in"',
            "E211",
            "`from: 6 in (152 mm)` does not come after `from: 12 in (305 mm)`",
        ),
        (
            "customers/harbour-bakery.yaml",
            '"title"',
            '"prices": [{"garment": "clasic-tee", "from": 1, "price": 9}], "title"',
            "E203",
            "unknown garment `clasic-tee`",
        ),
    ],
)
def test_files_of_a_shop_are_held_against_each_other(
    shop: Path, file: str, old: str, new: str, code: str, words: str
) -> None:
    """Each contradiction is one problem in the file where it stands, with what to write."""
    change(shop, file, old, new)
    loaded = load_shop(shop)
    assert [(p.code, p.origin.file) for p in loaded.problems] == [(code, file)]
    assert words in loaded.problems[0].message
    assert loaded.problems[0].hint
    assert loaded.problems[0].origin.line
    assert loaded.value is None


def test_a_transfer_is_sold_somehow(shop: Path) -> None:
    """Without sheets and rolls nothing could be bought of it; either alone will do."""
    file = shop / "transfers/full-colour.yaml"
    whole = json.loads(file.read_text("utf-8"))
    for left_out, codes in (({"sheets"}, []), ({"rolls"}, []), ({"sheets", "rolls"}, ["E211"])):
        file.write_text(json.dumps({key: value for key, value in whole.items() if key not in left_out}), "utf-8")
        assert [problem.code for problem in load_shop(shop).problems] == codes


def test_a_platen_lies_on_one_press_at_a_time(shop: Path) -> None:
    """The one 16x20 cannot be on two presses when the week begins; the later of the two is wrong."""
    change(shop, "presses/press-a.yaml", '"8C"', '"8C", "platen_on": "16x20"')
    (shop / "presses/press-b.yaml").write_bytes((shop / "presses/press-a.yaml").read_bytes())
    loaded = load_shop(shop)
    (problem,) = loaded.problems
    assert (problem.code, problem.origin.file) == ("E211", "presses/press-b.yaml")
    assert "on 2 presses when the week begins, there are 1" in problem.message


def test_two_things_of_one_name_are_found_across_files(shop: Path) -> None:
    """`name:` in a file can collide with another file's name; the message says where the first stands."""
    text = (shop / "garments/classic-tee.yaml").read_text("utf-8")
    (shop / "garments/other.yaml").write_text(text.replace("{", '{"name": "classic-tee",', 1), "utf-8")
    (problem,) = load_shop(shop).problems
    assert (problem.code, problem.origin.file, problem.origin.line) == ("E210", "garments/other.yaml", 1)


def test_all_that_is_wrong_with_a_shop_is_told_at_once(shop: Path) -> None:
    """Every file is read although another is wrong; what may be named in one that cannot be read is not missed."""
    change(shop, "shop.yaml", '"phone"', '"fone"')
    change(shop, "presses/press-a.yaml", '"16x20"', '"nowhere"')
    (shop / "garments/classic-tee.yaml").write_text("title: [", "utf-8")
    (shop / "garments/Old Tee.yaml").write_text("title: x\n", "utf-8")
    (shop / "customers/harbour-bakery.yaml").unlink()
    (shop / "customers/~backup.yaml").write_text("nonsense: [", "utf-8")
    found = [(p.code, p.origin.file) for p in load_shop(shop).problems]
    expected = [
        ("E105", "garments/classic-tee.yaml"),
        ("E203", "presses/press-a.yaml"),
        ("E202", "shop.yaml"),
        ("E201", "shop.yaml"),
    ]
    assert [problem for problem in found if problem[1] != "garments/Old Tee.yaml"] == expected
    assert len(found) > len(expected)


def test_a_file_name_that_cannot_be_a_name(shop: Path) -> None:
    """Spaces and capitals in a file's name are mended by renaming it or by a line `name`."""
    (shop / "presses/press-a.yaml").rename(shop / "presses/Press A.yaml")
    (problem,) = load_shop(shop).problems
    assert (problem.code, problem.origin.file) == ("E206", "presses/Press A.yaml")
    change(shop, "presses/Press A.yaml", "{", '{"name": "press-a",')
    assert load_shop(shop).problems == ()


def test_a_shop_without_its_file(tmp_path: Path) -> None:
    """An empty folder is told what it lacks."""
    assert codes(load_shop(tmp_path).problems)[0] == ("E101", "shop.yaml", 0)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    """Missing, a folder, too large: a problem, and never more than the limit in memory."""
    (tmp_path / "large.yaml").write_bytes(b"#" * (MAX_BYTES + 500))
    assert read_file(tmp_path / "none.yaml", "none.yaml").problems[0].code == "E101"
    assert read_file(tmp_path, "folder").problems[0].code == "E101"
    large = read_file(tmp_path / "large.yaml", "large.yaml").value
    assert large is not None
    assert len(large) == MAX_BYTES + 1
    assert codes(load_order(large, "large.yaml", "USD").problems) == [("E102", "large.yaml", 0)]


def test_a_week_is_read() -> None:
    """Its start is local time; the shop's zone comes to it later."""
    week = load_week(b"date: 2026-11-30\nstart: 2026-11-30 08:00\n", "week.yaml").value
    assert week is not None
    assert week.start == datetime.fromisoformat("2026-11-30 08:00")
    assert week.at("start").line == 2
    assert load_week(b"date: 2026-11-30\n", "week.yaml").ok
    assert codes(load_week(b"date: 2026-11-31\n", "week.yaml").problems) == [("E206", "week.yaml", 1)]


def test_loading_grows_no_faster_than_the_work() -> None:
    """A thousand job files in a second or two: measured on a hundred, ten times what a quiet machine takes."""
    load_order(JOB.encode(), "a.yaml", "USD")
    begin = time.process_time()
    for _ in range(100):
        load_order(JOB.encode(), "a.yaml", "USD")
    assert time.process_time() - begin < 2
