"""Hints name what the shop has."""

import pytest
from attrs import evolve

from pipeline.examples import Examples
from pipeline.load import load_order
from pipeline.stand_ins import NAMES
from tests.builders import make_garment, make_shop
from tests.reading.test_stand_ins import JOB

LINE = JOB.replace("garment: tee", "garment: cap")


@pytest.mark.parametrize(
    ("old", "new", "hint"),
    [
        ("customer: harbour-bakery\n", "", "add a line `customer: {customer}`"),
        ("customer: harbour-bakery", "customer: Harbour Bakery", "; for example: {customer}"),
        ("garment: cap\n    ", "", "add a line `garment: {garment}`"),
        ("    colour: white\n", "", "add a line `colour: olive`"),
        ("garment: cap\n    colour: white\n", "garment: hat\n", "add a line `colour: {colour}`"),
    ],
)
def test_hints_name_what_the_shop_has(old: str, new: str, hint: str) -> None:
    """Of the line's garment where that is known; the schema's examples are another shop's."""
    shop = make_shop()
    shop = evolve(shop, garments=(*shop.garments, make_garment(name="cap", colours=("olive", "black"))))
    first = shop.garments[0]
    words = hint.format(customer=shop.customers[0].name, garment=first.name, colour=first.colours[0])
    (problem,) = load_order(LINE.replace(old, new).encode(), "a.yaml", "USD", Examples(shop).at).problems
    assert words in problem.hint


def test_hints_name_no_stand_in() -> None:
    """Where the shop's own garments cannot be read there is none to name, and the schema's example has to do."""
    for name in NAMES:
        shop = evolve(make_shop(), garments=(make_garment(name=name),))
        told = load_order(LINE.replace("garment: cap\n    ", "").encode(), "a.yaml", "USD", Examples(shop).at)
        (problem,) = told.problems
        assert problem.hint.startswith("add a line `garment: ")
        assert f"garment: {name}`" not in problem.hint
