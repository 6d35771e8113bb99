"""Prints that are too large, or lie where another lies."""

from fractions import Fraction
from typing import Any

import pytest
from attrs import evolve

from pipeline.model.measure import Length, Percent, parse_length
from pipeline.model.money import Money
from pipeline.model.order import Order, Signature, SizeScale
from pipeline.problems import Origin
from pipeline.shop import GarmentSize, Shop, Units
from tests.builders import INCH, MONDAY, make_artwork, make_garment, make_line, make_order, make_print, make_shop
from tests.validate.asking import ask, codes, only, with_garment, with_print

SIZES = (
    GarmentSize(name="YS", cost=Money(200), weight=90, child=True),
    GarmentSize(name="M", cost=Money(250), weight=150),
)


def back(**changes: Any) -> Order:
    """A print on the back."""
    return with_print(placement="back", **changes)


def roomy(sheet: int = 30, platen: int = 30, placement: int = 30) -> Shop:
    """A shop whose sheet, platen and back placement have these widths and heights in inches, all usable."""
    shop = make_shop()
    transfer, garment = shop.transfers[0], shop.garments[0]
    sheets = (
        evolve(transfer.sheets[0], width=Length(sheet * INCH), height=Length(sheet * INCH), margin=Length(0)),
    )
    own = evolve(shop.platens[0], width=Length(platen * INCH), height=Length(platen * INCH), edge=Length(0))
    chest, rear = garment.placements
    rear = evolve(rear, max_width=Length(placement * INCH), max_height=Length(placement * INCH))
    return evolve(
        shop,
        transfers=(evolve(transfer, sheets=sheets),),
        platens=(own,),
        garments=(evolve(garment, placements=(chest, rear)),),
    )


@pytest.mark.parametrize(
    ("limits", "code"),
    [({"placement": 12}, "E413"), ({"platen": 12}, "E414"), ({"sheet": 12}, "E415")],
)
def test_too_large_for_one_of_the_three(limits: dict[str, int], code: str) -> None:
    """Each limit is told with its own code, just above it and not at it."""
    shop = roomy(**limits)
    problem = only(back(width=parse_length("12.1in")), shop=shop)
    assert problem.code == code
    assert problem.hint == "print it at most `width: 12in`"
    assert problem.label == "there is room for 12 × 12 in (305 × 305 mm)"
    assert codes(back(width=parse_length("12in")), shop=shop) == []


def test_a_print_of_no_size_is_refused() -> None:
    """`0in`, or a scale of 0 %: the finest transfer of the shop prints lines of 0.5 mm."""
    assert codes(with_print(width=Length(0))) == ["E419"]
    assert codes(with_print(width=Length(499))) == ["E419"]
    assert codes(with_print(width=Length(500))) == []
    nothing = (SizeScale(size="L", percent=Percent(Fraction(0))),)
    assert codes(with_print(scale=nothing)) == ["E419"]


def test_the_size_that_is_offered_keeps_to_every_limit() -> None:
    """Too large for all three is told once, with the size that leads to no further round."""
    problem = only(back(width=Length(20 * INCH)), shop=roomy(sheet=11, platen=12, placement=13))
    assert (problem.code, problem.hint) == ("E413", "print it at most `width: 11in`")
    assert codes(back(width=Length(11 * INCH)), shop=roomy(sheet=11, platen=12, placement=13)) == []


def test_the_platens_edge_stays_free() -> None:
    """Print width <= platen width - 0.5 in (common practice, no source): 15.5 in on a 16 in platen."""
    shop = roomy()
    platen = evolve(
        shop.platens[0], width=Length(16 * INCH), height=Length(20 * INCH), edge=parse_length("0.25in")
    )
    shop = evolve(shop, platens=(platen,))
    assert codes(back(width=parse_length("15.5in")), shop=shop) == []
    assert codes(back(width=parse_length("15.6in")), shop=shop) == ["E414"]


def test_a_print_given_by_its_height_is_limited_by_its_height() -> None:
    """The hint uses the word that the order uses, and the caret stands there."""
    place = Origin(file="a.yaml", line=9, column=15, length=4)
    tall = make_print(
        placement="back", width=None, height=Length(20 * INCH), marks={"height": place},
        art=make_artwork(aspect=Fraction(1, 2)),
    )  # fmt: skip
    problem = only(make_order(lines=(make_line(prints=(tall,)),)), shop=roomy(placement=12))
    assert (problem.origin, problem.hint) == (place, "print it at most `height: 12in`")


def test_a_shop_that_thinks_in_millimetres_reads_millimetres() -> None:
    """Hints can be typed in as they are."""
    shop = evolve(roomy(placement=12), units=Units.MILLIMETRE)
    problem = only(back(width=Length(20 * INCH)), shop=shop)
    assert problem.hint == "print it at most `width: 304mm`"
    assert problem.label == "there is room for 305 × 305 mm (12 × 12 in)"


def both(scale: str = "", **changes: Any) -> Order:
    """A child's and a grown-up's tee with one print, signed for; `scale` in percent for the child's."""
    scales = (SizeScale(size="YS", percent=Percent(Fraction(int(scale), 100))),) if scale else ()
    line = make_line({"YS": 1, "M": 1}, prints=(make_print(scale=scales, **changes),))
    return make_order(lines=(line,), safety_signed=Signature(by="R. Quill", on=MONDAY))


def test_one_size_for_youth_and_adult_is_told() -> None:
    """Youth prints are about 75 % of the adults' (common practice, no source)."""
    problem = only(both(), shop=with_garment(sizes=SIZES))
    assert (problem.code, problem.is_error) == ("W416", False)
    assert problem.message == "one print size serves youth and adult: 3 in (76 mm) wide on `YS` too"
    assert "`scale: {YS: 75%}`" in problem.hint
    assert codes(both("75"), shop=with_garment(sizes=SIZES)) == []


def test_a_shop_may_print_children_as_large_as_grown_ups() -> None:
    """With a youth scale of 100 % nothing is advised."""
    shop = with_garment(sizes=SIZES)
    validate = evolve(shop.options.validate, youth_scale=Percent(Fraction(1)))
    assert codes(both(), shop=evolve(shop, options=evolve(shop.options, validate=validate))) == []


def test_a_print_for_children_alone_is_held_against_the_placement() -> None:
    """75 % of a 5 in placement are 3.75 in: 4 in are large for a child, 3.75 in are not."""
    shop = with_garment(sizes=SIZES)
    signed = Signature(by="R. Quill", on=MONDAY)

    def order(width: str) -> Order:
        line = make_line({"YS": 1}, prints=(make_print(width=parse_length(width)),))
        return make_order(lines=(line,), safety_signed=signed)

    assert codes(order("4in"), shop=shop) == ["W416"]
    assert codes(order("3.75in"), shop=shop) == []


def test_the_same_picture_twice_on_one_placement_is_an_error() -> None:
    """It would be pressed twice on the same spot; a copied line is the usual cause."""
    twice = make_order(lines=(make_line(prints=(make_print(), make_print())),))
    assert codes(twice) == ["E417"]


def test_the_same_picture_on_two_lines_or_placements_is_fine() -> None:
    """Front and back may show the same mark, and two colours of a garment always do."""
    front_and_back = make_line(prints=(make_print(), make_print(placement="back")))
    assert codes(make_order(lines=(front_and_back, make_line(colour="navy")))) == []


def test_prints_that_lie_over_each_other_are_told() -> None:
    """Two pictures on the left chest lie over each other by the smaller one's size."""
    large, small = make_print(), make_print("art/star.svg", width=Length(INCH))
    problem = only(make_order(lines=(make_line(prints=(large, small)),)))
    assert (problem.code, problem.is_error) == ("W418", False)
    assert "over each other by 1 × 1 in (25 × 25 mm)" in problem.message


@pytest.mark.parametrize(
    ("place", "inches", "found"),
    [
        ("across", 4, ["W418"]),
        ("across", 6, ["W418"]),
        ("across", 7, []),
        ("across", -4, []),
        ("down", 9, ["W418"]),
        ("down", 10, []),
    ],
)
def test_neighbours_are_measured_from_one_anchor(place: str, inches: int, found: list[str]) -> None:
    """Two 3 in prints, the first 7 in down and 4 in across: 3 in further they touch, 2 in further they overlap."""
    garment = make_garment()
    chest, rear = garment.placements
    pocket = evolve(chest, name="pocket", **{place: Length(inches * INCH)})
    shop = make_shop(garments=(evolve(garment, placements=(chest, rear, pocket)),))
    prints = (make_print(), make_print("art/star.svg", placement="pocket"))
    assert codes(make_order(lines=(make_line(prints=prints),)), shop=shop) == found


def test_the_other_side_of_a_garment_is_not_in_the_way() -> None:
    """Front and back never lie over each other, though both are measured from the collar."""
    garment = make_garment()
    chest, rear = garment.placements
    front = evolve(rear, name="front", view=chest.view)
    shop = make_shop(garments=(evolve(garment, placements=(front, rear)),))
    prints = (make_print(placement="front"), make_print("art/star.svg", placement="back"))
    assert ask(make_order(lines=(make_line(prints=prints),)), shop=shop) == ()
