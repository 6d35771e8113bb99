"""Pieces, prints, scales and prices."""

from fractions import Fraction

import pytest
from attrs import evolve

from pipeline.model.measure import Percent
from pipeline.model.money import Money
from pipeline.model.order import Blanks, SizeScale
from pipeline.shop import AgreedPrice, GarmentSize, ListPrice, PriceMethod, PriceRules
from tests.builders import make_customer, make_order, make_print, make_shop
from tests.validate.asking import ask, codes, only, with_garment, with_line, with_print


def shop_with_list(*steps: int):  # type: ignore[no-untyped-def]
    """A shop whose price list begins at these numbers of pieces."""
    prices = tuple(ListPrice(from_pieces=step, price=Fraction(650)) for step in steps)
    return make_shop(pricing=PriceRules(method=PriceMethod.PRICE_LIST, print_prices=prices))


def test_a_scale_for_a_size_that_is_not_ordered_is_told() -> None:
    """Usually a misspelt size, which would then be printed unscaled."""
    scale = (SizeScale(size="m", percent=Percent(Fraction(3, 4))),)
    problem = only(with_print(scale=scale))
    assert (problem.code, problem.hint) == ("W234", "did you mean `M`?")
    assert ask(with_print(scale=(evolve(scale[0], size="M"),))) == ()


def test_a_price_of_nothing_is_told() -> None:
    """Right for a replacement, an oversight otherwise."""
    assert [(p.code, p.is_error) for p in ask(with_line(price=Fraction(0)))] == [("W231", False)]


@pytest.mark.parametrize(("steps", "found"), [((1,), []), ((6,), []), ((7,), ["E231"]), ((), ["E231"])])
def test_a_line_by_list_needs_a_price_at_its_quantity(steps: tuple[int, ...], found: list[str]) -> None:
    """Six pieces: the list must begin at six or below, or the order cannot be billed."""
    assert codes(with_line(price=None), shop=shop_with_list(*steps)) == found


def test_a_price_agreed_with_the_customer_counts_from_its_quantity() -> None:
    """It stands in for the list only from its own number of pieces on and for its own garment."""
    for garment, start, found in (("tee", 6, []), ("tee", 7, ["E231"]), ("cap", 1, ["E231"])):
        agreed = AgreedPrice(garment=garment, from_pieces=start, price=Fraction(900))
        shop = evolve(shop_with_list(), customers=(make_customer(prices=(agreed,)),))
        assert codes(with_line(price=None), shop=shop) == found


@pytest.mark.parametrize("method", [PriceMethod.MARK_UP, PriceMethod.TARGET_MARGIN])
def test_prices_made_from_cost_need_no_list(method: PriceMethod) -> None:
    """Mark-up and margin know every quantity."""
    assert codes(with_line(price=None), shop=make_shop(pricing=PriceRules(method=method))) == []


def test_an_agreed_price_is_not_that_of_the_customers_own_garments() -> None:
    """It is agreed for a finished piece; where the customer brings the garment, the shop's own rule counts."""
    agreed = AgreedPrice(garment="tee", from_pieces=1, price=Fraction(900))
    customers = (make_customer(prices=(agreed,)),)
    own = with_line(price=None, blanks=Blanks.CUSTOMER)
    assert codes(own, shop=make_shop(customers=customers)) == ["W232"]
    assert codes(own, shop=evolve(shop_with_list(7), customers=customers)) == ["E231", "W232"]
    assert codes(with_line(price=None), shop=evolve(shop_with_list(7), customers=customers)) == []
    assert codes(with_line(blanks=Blanks.CUSTOMER), shop=make_shop(customers=customers)) == []


def test_a_blank_that_costs_nothing_is_told_once_unless_it_is_the_customers() -> None:
    """A forgotten cost spoils every margin; the customer's own garments have none."""
    free = with_garment(sizes=tuple(GarmentSize(name=size, cost=Money(0), weight=150) for size in ("M", "L")))
    problems = ask(make_order("A"), make_order("B"), shop=free)
    assert [(each.code, each.job) for each in problems] == [("W233", ""), ("W233", "")]
    assert codes(with_line(blanks=Blanks.CUSTOMER), shop=free) == []


def test_a_known_line_with_several_prints_is_fine() -> None:
    """Front and back on one piece is everyday work."""
    assert codes(with_line(prints=(make_print(), make_print(placement="back")))) == []
