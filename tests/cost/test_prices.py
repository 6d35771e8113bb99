"""Where a price comes from, and the charges beside it, worked out on paper."""

from fractions import Fraction
from typing import Any

import pytest
from attrs import evolve

from pipeline.model.cost import Charge, ChargeKind, LinePrice, PriceBasis
from pipeline.model.measure import Length, Percent
from pipeline.model.money import Money
from pipeline.model.order import Blanks, Delivery, SizeScale
from pipeline.shop import AgreedPrice, ListPrice, Packing, PriceMethod, PriceRules, Shop
from plugins.cost.prices import list_price
from tests.builders import INCH, make_customer, make_line, make_order, make_print, make_shop
from tests.cost.cases import make_week

STEPS = (ListPrice(from_pieces=12, price=Fraction(500)), ListPrice(from_pieces=48, price=Fraction(425)))


def shop_by(method: PriceMethod = PriceMethod.PRICE_LIST, customer: Any = None, **rules: Any) -> Shop:
    """A shop with these price rules, and the bakery as given."""
    given = {"print_prices": STEPS, **rules}
    return make_shop(
        pricing=PriceRules(method=method, **given),
        customers=(customer or make_customer(), make_customer("sailing-school")),
    )


def price_of(shop: Shop, **line: Any) -> LinePrice:
    """The price of one line without a price of its own, unless one is given."""
    order = make_order(lines=(make_line(**{"price": None, **line}),))
    return make_week(shop, (order,)).prices().line("H-101", 0)


def charges_of(shop: Shop, **order: Any) -> list[tuple[ChargeKind, str, int]]:
    """The charges of an order of six tees at $12.00: $72.00."""
    charges = make_week(shop, (make_order(**order),)).prices().charges
    return [(charge.kind, charge.label, charge.amount) for charge in charges]


def agreeing(*prices: tuple[int, int]) -> Shop:
    """The bakery has agreed prices for the tee: (from, price)."""
    agreed = tuple(
        AgreedPrice(garment="tee", from_pieces=count, price=Fraction(price)) for count, price in prices
    )
    other = AgreedPrice(garment="apron", from_pieces=1, price=Fraction(1))
    return shop_by(customer=make_customer(prices=(other, *agreed)))


def test_the_price_in_the_order_comes_first() -> None:
    """It was agreed last, so it beats what is agreed in general."""
    price = price_of(agreeing((1, 900)), price=Fraction(1_120))
    assert (price.unit_price, price.basis) == (Fraction(1_120), PriceBasis.AGREED_ORDER)


@pytest.mark.parametrize(("pieces", "expected"), [(11, None), (12, 900), (47, 900), (48, 800), (500, 800)])
def test_the_agreed_price_of_the_quantity_reached(pieces: int, expected: int | None) -> None:
    """From 12 on $9.00, from 48 on $8.00, whatever the sequence in the file; below 12 the shop's rule."""
    price = price_of(agreeing((48, 800), (12, 900)), pieces={"M": pieces})
    if expected is None:
        assert price.basis is PriceBasis.PRICE_LIST
    else:
        assert (price.unit_price, price.basis) == (Fraction(expected), PriceBasis.AGREED_CUSTOMER)


def test_an_agreed_price_is_for_a_finished_piece() -> None:
    """Whoever brings the blanks must not pay for ours: the shop's rule holds."""
    assert price_of(agreeing((1, 900)), blanks=Blanks.CUSTOMER).basis is PriceBasis.PRICE_LIST


@pytest.mark.parametrize(("pieces", "expected"), [(1, 500), (12, 500), (47, 500), (48, 425), (1_000, 425)])
def test_the_list_is_for_all_units(pieces: int, expected: int) -> None:
    """All pieces cost what the quantity reached says; below the first step, the first step's price."""
    assert list_price(pieces, shop_by()) == expected


def test_a_price_list_is_blanks_and_prints() -> None:
    """Blanks at $2.50 and 40 % are $3.50, two prints at $4.25 are $8.50: $12.00."""
    prints = (make_print(), make_print(placement="back"))
    price = price_of(shop_by(blanks_mark_up=Percent(Fraction(2, 5))), pieces={"M": 48}, prints=prints)
    assert (price.unit_price, price.basis) == (Fraction(1_200), PriceBasis.PRICE_LIST)


def test_own_blanks_are_not_charged_for() -> None:
    """What is left is the print."""
    assert price_of(shop_by(), pieces={"M": 12}, blanks=Blanks.CUSTOMER).unit_price == 500


def test_plain_garments_need_no_price_list() -> None:
    """A line without prints is priced by its blanks alone."""
    assert price_of(shop_by(print_prices=()), prints=()).unit_price == 250


def test_a_missing_price_list_says_what_to_write() -> None:
    """A shop that prices by list without one would otherwise give prints away."""
    with pytest.raises(ValueError, match="print_prices"):
        price_of(shop_by(print_prices=()))


def test_mark_up_is_not_margin() -> None:
    """A mark-up of 50 % is a margin of a third; 40 % margin is cost x 1.6667 (arithmetic)."""
    marked = price_of(shop_by(PriceMethod.MARK_UP, mark_up=Percent(Fraction(1, 2))))
    cost = make_week(shop_by(), (make_order(),)).costs().line("H-101", 0).total
    assert marked.unit_price == Fraction(cost, 6) * Fraction(3, 2)
    assert (marked.unit_price * 6 - cost) / (marked.unit_price * 6) == Fraction(1, 3)
    aimed = price_of(shop_by(PriceMethod.TARGET_MARGIN, target_margin=Percent(Fraction(2, 5))))
    assert aimed.basis is PriceBasis.TARGET_MARGIN
    assert round(aimed.unit_price * 6 / cost, 4) == Fraction(16_667, 10_000)


def test_a_unit_price_has_four_decimals_at_most() -> None:
    """What the customer multiplies must give what the line says: 1250 / 6 cents is $2.0833."""
    price = price_of(shop_by(), pieces={"S": 1, "M": 2}, price=Fraction(1_250, 6))
    assert price.unit_price == Fraction(20_833, 100)


def test_a_currency_without_decimals_keeps_four_too() -> None:
    """A yen has no minor unit: 1250/6 yen stay 208.3333."""
    price = price_of(evolve(shop_by(), currency="JPY"), price=Fraction(1_250, 6))
    assert price.unit_price == Fraction(2_083_333, 10_000)


def test_an_order_may_have_no_charges() -> None:
    """Picked up, in time, of usual size: nothing to add."""
    assert charges_of(shop_by(rush=Percent(Fraction(1, 2))), delivery=Delivery.PICK_UP) == []


def test_rush_is_a_share_of_the_goods() -> None:
    """25 % of $72.00."""
    expected = [(ChargeKind.RUSH, "Rush 25%", 1_800)]
    assert charges_of(shop_by(rush=Percent(Fraction(1, 4))), rush=True) == expected


def test_discounts_of_order_and_customer_do_not_compound() -> None:
    """10 % and 5 % of $72.00 are $7.20 and $3.60, each of the whole."""
    shop = shop_by(customer=make_customer(discount=Percent(Fraction(1, 20))))
    assert charges_of(shop, discount=Percent(Fraction(1, 10))) == [
        (ChargeKind.DISCOUNT, "Discount 10%", -720),
        (ChargeKind.DISCOUNT, "Discount 5%", -360),
    ]


def test_discounts_never_take_more_than_the_goods() -> None:
    """Two of 75 % give the goods for nothing, not money back."""
    three_quarters = Percent(Fraction(3, 4))
    shop = shop_by(customer=make_customer(discount=three_quarters))
    assert [amount for _, _, amount in charges_of(shop, discount=three_quarters)] == [-5_400, -1_800]


def test_the_minimum_looks_at_goods_rush_and_discount_but_not_at_freight() -> None:
    """72.00 + 18.00 - 7.20 = 82.80: $17.20 are missing from $100, and freight comes on top."""
    shop = shop_by(rush=Percent(Fraction(1, 4)), minimum_order=Money(10_000), freight_per_order=Money(900))
    assert charges_of(shop, rush=True, discount=Percent(Fraction(1, 10))) == [
        (ChargeKind.RUSH, "Rush 25%", 1_800),
        (ChargeKind.DISCOUNT, "Discount 10%", -720),
        (ChargeKind.MINIMUM, "Up to the minimum order of $100.00", 1_720),
        (ChargeKind.FREIGHT, "Freight, 1 carton", 900),
    ]


def test_freight_goes_by_order_and_carton_and_has_its_own_rate() -> None:
    """Three cartons at $3.00 and $9.00 for the order; who picks up pays none."""
    shop = evolve(
        shop_by(freight_per_order=Money(900), freight_per_carton=Money(300)),
        packing=Packing(carton_limit=15_000, carton_weight=500, carton_cost=Money(0), carton_pieces=2),
    )
    (charge,) = make_week(shop, (make_order(),)).prices().charges
    assert charge == Charge(
        job="H-101", kind=ChargeKind.FREIGHT, label="Freight, 3 cartons", amount=Money(1_800), tax="goods"
    )
    assert charges_of(shop, delivery=Delivery.PICK_UP) == []


def oversize(**line: Any) -> list[tuple[ChargeKind, str, int]]:
    """Charges where more than 10 x 10 in costs $1.00 a piece."""
    shop = shop_by(
        oversize_from_width=Length(10 * INCH),
        oversize_from_height=Length(10 * INCH),
        oversize_per_piece=Money(100),
    )
    return charges_of(shop, lines=(make_line(**{"price": None, **line}),))


@pytest.mark.parametrize(("inches", "pieces"), [(10, 0), (11, 6)])
def test_oversize_begins_above_the_area(inches: int, pieces: int) -> None:
    """Exactly the limit is not above it; a wide and low print may be wider than it."""
    print_ = make_print(width=Length(inches * INCH), height=Length(10 * INCH))
    expected = [(ChargeKind.OVERSIZE, "Oversize prints", 100 * pieces)] if pieces else []
    assert oversize(prints=(print_,)) == expected
    low = make_print(width=Length(20 * INCH), height=Length(5 * INCH))
    assert oversize(prints=(low,)) == []


def test_oversize_counts_the_size_that_is_printed() -> None:
    """A print of 11 in is oversize on the four M, and at 75 % not on the two L."""
    scaled = make_print(width=Length(11 * INCH), scale=(SizeScale(size="L", percent=Percent(Fraction(3, 4))),))
    assert oversize(prints=(scaled,)) == [(ChargeKind.OVERSIZE, "Oversize prints", 400)]


def test_an_agreed_price_has_no_extra() -> None:
    """What is agreed for the piece is the whole price of the piece."""
    assert oversize(prints=(make_print(width=Length(12 * INCH)),), price=Fraction(1_500)) == []
