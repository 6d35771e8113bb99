"""Hints name what the shop has."""

import pytest
from attrs import evolve

from pipeline.examples import Examples
from pipeline.load import load_order
from tests.builders import make_garment, make_shop

JOB = """\
job: H-1
customer: harbour-bakery
due: 2026-12-04
delivery: ship
lines:
  - garment: cap
    colour: white
    pieces: {M: 4}
    prints:
      - {artwork: art/gull.svg, placement: left-chest, width: 3in}
"""


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
    (problem,) = load_order(JOB.replace(old, new).encode(), "a.yaml", "USD", Examples(shop).at).problems
    assert words in problem.hint
