"""What stands in for a value that cannot be read, and what may be said beside it."""

from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from pipeline.load import load_order
from pipeline.load_shop import load_shop
from pipeline.source import Source, parse
from pipeline.stand_ins import stand_in, with_stand_ins
from tests.architecture.test_schemas import EVERY, NAMES
from tests.reading.shop_folder import change, make_folder

JOB = """\
job: H-1
customer: harbour-bakery
due: 2026-12-04
delivery: ship
lines:
  - garment: tee
    colour: white
    pieces: {M: 4}
    prints:
      - {artwork: art/gull.svg, placement: left-chest, width: 3in}
"""


def test_the_extremes_of_every_value_are_valid_and_two() -> None:
    """A stand-in is what somebody could have written, and two names never are the same."""
    for name, path, rule in EVERY:
        if rule.get("type") in ("object", "array"):
            continue
        least, most = stand_in(rule, most=False), stand_in(rule, most=True)
        assert Draft202012Validator(rule).is_valid(least), (name, path)
        assert Draft202012Validator(rule).is_valid(most), (name, path)
        assert least != most, (name, path)


@pytest.mark.parametrize("name", [*NAMES, "intake"])
@pytest.mark.parametrize("most", [False, True])
def test_of_nothing_a_whole_file_is_made(name: str, most: bool) -> None:
    """What is required, and what that requires in turn."""
    nothing = Source(file="", text="", data=None, positions={})
    assert with_stand_ins(nothing, name, most).data is not None


@pytest.mark.parametrize(
    ("old", "new", "least", "most"),
    [
        ("due: 2026-12-04", "due: soon", "2000-01-01", "2099-12-31"),
        ("due: 2026-12-04\n", "", "2000-01-01", "2099-12-31"),
        ("due: 2026-12-04", "duo: 2026-12-04", "2000-01-01", "2099-12-31"),
        ("due: 2026-12-04", "due: &a 2026-12-04", "2000-01-01", "2099-12-31"),
        ("job: H-1", "job: H-1\ndue: 2026-12-03", "2000-01-01", "2099-12-31"),
    ],
    ids=["ill written", "missing", "misspelt", "anchored", "twice"],
)
def test_the_rest_stays_as_it_was_written(old: str, new: str, least: str, most: str) -> None:
    """Whatever is wrong with one field, the others are looked at as they are."""
    source = parse(JOB.replace(old, new).encode(), "a.yaml").value
    good = parse(JOB.encode(), "a.yaml").value
    assert source is not None
    assert good is not None
    for of_most, day in ((False, least), (True, most)):
        assert with_stand_ins(source, "job", of_most).data == {**good.data, "due": day}


@pytest.mark.parametrize(
    ("old", "new", "places"),
    [
        ("width: 3in", "with: 3in", {"width"}),
        ("colour: white", "price: much\n    colour: white", {"price"}),
        ("colour: white", "<<: {colour: white}", {"colour", "notes", "price", "blanks"}),
    ],
)
def test_what_a_key_may_have_meant_is_open(old: str, new: str, places: set[str]) -> None:
    """The key that is likely meant is there in one reading only, unless it must be; a merge may bring in anything."""
    source = parse(JOB.replace(old, new).encode(), "a.yaml").value
    assert source is not None
    assert places <= {place[-1] for place in with_stand_ins(source, "job", most=True).unreadable}


def test_an_amount_with_too_many_decimals_hides_nothing() -> None:
    """It is found later than the shape, and told with it."""
    text = JOB.replace("colour: white", "price: 1.205\n    colour: white").replace("ship", "fly")
    loaded = load_order(text.replace("price: 1.205", "price: 1.20555").encode(), "a.yaml", "USD")
    assert [(p.code, p.origin.line) for p in loaded.problems] == [("E205", 4), ("E206", 7)]
    assert loaded.value is None
    assert loaded.readings is not None
    assert loaded.readings.least.customer == "harbour-bakery"


def test_files_of_a_shop_do_not_hide_each_other(tmp_path: Path) -> None:
    """A platen that is ill written does not stop the check of what else names platens, nor is it missed itself."""
    shop = make_folder(tmp_path)
    change(shop, "shop.yaml", '"currency": "USD"', '"currency": "dollars"')
    change(shop, "presses/press-a.yaml", '"16x20"', '"nowhere"')
    change(shop, "customers/harbour-bakery.yaml", "{", '{"tax": "no-tax",')
    assert [(p.code, p.origin.file) for p in load_shop(shop).problems] == [
        ("E203", "customers/harbour-bakery.yaml"),
        ("E203", "presses/press-a.yaml"),
        ("E206", "shop.yaml"),
    ]
