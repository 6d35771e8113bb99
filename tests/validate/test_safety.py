"""Garments that are stopped, and children's wear that waits for a signature."""

from datetime import date
from fractions import Fraction

import pytest

from pipeline.model.measure import Percent
from pipeline.model.money import Money
from pipeline.model.order import Signature
from pipeline.shop import Fibre, GarmentSize, Hazard, Shop
from tests.builders import MONDAY, make_line, make_order
from tests.validate.asking import ask, codes, only, with_garment, with_transfer

SIZES = (
    GarmentSize(name="YS", cost=Money(200), weight=90, child=True),
    GarmentSize(name="YM", cost=Money(200), weight=100, child=True),
    GarmentSize(name="M", cost=Money(250), weight=150),
    GarmentSize(name="L", cost=Money(250), weight=150),
)
CHILDREN = make_order(lines=(make_line({"YS": 3, "YM": 2}),))
SIGNED = make_order(lines=CHILDREN.lines, safety_signed=Signature(by="R. Quill", on=MONDAY))


def of(*fibres: str) -> tuple[Fibre, ...]:
    """Equal parts of these fibres."""
    return tuple(Fibre(name=fibre, percent=Percent(Fraction(1, len(fibres)))) for fibre in fibres)


def test_childrens_wear_waits_for_a_signature() -> None:
    """The textile exemption from the lead limit does not cover transfers (16 CFR 1500.91(d)(7), published)."""
    problem = only(CHILDREN, shop=with_garment(sizes=SIZES))
    assert problem.code == "E505"
    assert problem.message == "children's wear (`tee` in `YS` and 1 more) waits until someone has signed for it"
    assert "16 CFR 1303, 1307, 1500.91(d)(7)" in problem.hint
    assert "safety_signed: {by: NAME, on: 2026-11-30}" in problem.hint


def test_signed_childrens_wear_goes_on() -> None:
    """The signature is what it waits for."""
    assert codes(SIGNED, shop=with_garment(sizes=SIZES)) == []


def test_a_garment_that_also_comes_for_children_is_not_held_for_grown_ups() -> None:
    """What counts is what is ordered."""
    assert codes(make_order(), shop=with_garment(sizes=SIZES)) == []


def test_a_signature_on_a_day_to_come_is_refused() -> None:
    """Nobody has checked anything yet."""
    early = Signature(by="R. Quill", on=date(2026, 12, 1))
    assert codes(make_order(safety_signed=early)) == ["E506"]


def test_childrens_sleepwear_is_stopped_even_when_signed() -> None:
    """16 CFR 1615 and 1616 (published) cover sleepwear up to size 14; a signature does not help against fire."""
    shop = with_garment(sizes=SIZES, hazards=(Hazard.SLEEPWEAR,))
    assert codes(SIGNED, shop=shop) == ["E501"]
    assert [(p.code, p.is_error) for p in ask(make_order(), shop=shop)] == [("W501", False)]


@pytest.mark.parametrize(
    ("shop", "code"),
    [
        (with_garment(hazards=(Hazard.PROTECTIVE,)), "E502"),
        (with_garment(fabric=of("polypropylene")), "E503"),
        (with_garment(fabric=of("cotton", "olefin")), "E503"),
        (with_garment(hazards=(Hazard.COATED,)), "E504"),
        (with_garment(fabric=of("polyester", "pvc")), "E504"),
        (with_garment(fabric=of("polyvinyl-chloride")), "E504"),
    ],
)
def test_what_is_not_pressed_is_said_once(shop: Shop, code: str) -> None:
    """A stop is told alone: that no transfer suits it either would only hide it."""
    assert codes(make_order(), shop=shop) == [code]


def test_polypropylene_is_taken_where_the_shop_has_a_transfer_for_it() -> None:
    """It is refused by default; naming the fibre in a transfer is how a shop says that it has tested it."""
    shop = with_transfer(with_garment(fabric=of("polypropylene")), fabrics=("polypropylene",))
    assert codes(make_order(), shop=shop) == []


def test_pvc_is_never_taken() -> None:
    """Heated PVC gives off hydrogen chloride: no transfer makes that safe (common practice, no source)."""
    shop = with_transfer(with_garment(fabric=of("pvc")), fabrics=("pvc",))
    assert codes(make_order(), shop=shop) == ["E504"]
