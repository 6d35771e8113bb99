"""Each of the ten rules for a transfer, both ways."""

from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction
from typing import Any

import pytest
from attrs import evolve

from pipeline.model.measure import Length, Percent, Temperature, parse_temperature
from pipeline.model.order import Delivery, Order, SizeScale
from pipeline.model.prints import PrintRef
from pipeline.shop import Fibre, Pad, Platen, Pressure, Shop, Stretch, WorkingCalendar
from plugins.validate import fit_transfers
from tests.builders import (
    INCH,
    MONDAY,
    make_garment,
    make_line,
    make_order,
    make_press,
    make_print,
    make_shop,
    make_transfer,
)
from tests.validate.asking import objections, with_garment, with_print, with_transfer


def fabric(**shares: int) -> tuple[Fibre, ...]:
    """A fabric by its fibres in percent."""
    return tuple(Fibre(name=name, percent=Percent(Fraction(share, 100))) for name, share in shares.items())


def padded(shop: Shop) -> Shop:
    """The shop, with a pad under the left chest."""
    garment = shop.garment("tee")
    chest, back = garment.placements
    return evolve(
        shop,
        garments=(evolve(garment, placements=(evolve(chest, pad="pillow"), back)),),
        pads=(Pad(name="pillow"),),
    )


def dyed(limit: int = 150_000) -> Shop:
    """A shop with a dyed polyester tee and a limit for it in thousandths of a degree C."""
    shop = with_garment(dye_migrates=True, fabric=fabric(polyester=100))
    validate = evolve(shop.options.validate, dye_limit=Temperature(limit))
    return evolve(shop, options=evolve(shop.options, validate=validate))


def large_print(inches: int, **changes: Any) -> Order:
    """An order of one print of the back, so many inches wide and square."""
    return with_print(placement="back", width=Length(inches * INCH), **changes)


def wide_sheet(shop: Shop) -> Shop:
    """The shop, its sheet larger than its platen."""
    transfer = shop.transfers[0]
    sheet = evolve(transfer.sheets[0], width=Length(20 * INCH), height=Length(24 * INCH))
    return evolve(shop, transfers=(evolve(transfer, sheets=(sheet,)),))


CASES: list[tuple[str, Callable[[], tuple[Order, Shop]], str, Callable[[], tuple[Order, Shop]]]] = [
    (
        "E401",
        lambda: (make_order(), with_garment(fabric=fabric(cotton=90, nylon=10))),
        "made for cotton and polyester, not for nylon (10 % of the fabric)",
        lambda: (make_order(), with_garment(fabric=fabric(cotton=96, elastane=4))),
    ),
    (
        "E402",
        lambda: (make_order(), with_garment(heat_ceiling=Temperature(142_900))),
        "pressed at 289.4 °F (143 °C), the garment stands 289.2 °F (142.9 °C)",
        lambda: (make_order(), with_garment(heat_ceiling=Temperature(143_000))),
    ),
    (
        "E403",
        lambda: (make_order(), with_garment(stretch=Stretch.HIGH)),
        "its stretch is medium, the fabric's high",
        lambda: (make_order(), with_garment(stretch=Stretch.MEDIUM)),
    ),
    (
        "E404",
        lambda: (make_order(), padded(with_transfer(recipe_pad_allowed=False))),
        "may not be pressed over a pad, and `left-chest` needs the pad `pillow`",
        lambda: (make_order(), padded(make_shop())),
    ),
    (
        "E405",
        lambda: (make_order(), dyed(limit=140_000)),
        "pressed at 289.4 °F (143 °C), above 284 °F (140 °C) the dye of this polyester wanders into the print",
        lambda: (make_order(), dyed()),
    ),
    (
        "E406",
        lambda: (large_print(11), make_shop()),
        "the print is 11 × 11 in (279 × 279 mm), its sheets leave 10.5 × 16.5 in (267 × 419 mm) on `11x17`",
        lambda: (large_print(10), make_shop()),
    ),
    (
        "E407",
        lambda: (make_order(), make_shop(presses=(make_press(highest=Temperature(140_000)),))),
        "no press can be set to 289.4 °F (143 °C)",
        lambda: (make_order(), make_shop(presses=(make_press(highest=Temperature(143_000)),))),
    ),
    (
        "E407",
        lambda: (make_order(), make_shop(presses=(make_press(pressure_settings={Pressure.FIRM: "6"}),))),
        "no press that reaches its temperature has a setting for medium pressure",
        lambda: (make_order(), make_shop(presses=(make_press(pressure_settings={Pressure.MEDIUM: "4"}),))),
    ),
    (
        "E407",
        lambda: (make_order(), make_shop(presses=(make_press(platens=()),))),
        "no press that can press it takes the platen `16x20`",
        lambda: (make_order(), make_shop()),
    ),
    (
        "E408",
        lambda: (large_print(16), wide_sheet(make_shop())),
        "the print is 16 × 16 in (406 × 406 mm), the platens leave 15.5 × 19.5 in (394 × 495 mm) on `16x20`",
        lambda: (large_print(15), wide_sheet(make_shop())),
    ),
    (
        "E409",
        lambda: (with_print(transfer="foil"), make_shop()),
        "the order asks for `foil`",
        lambda: (with_print(transfer="full-colour"), make_shop()),
    ),
    (
        "E410",
        lambda: (make_order(due=date(2026, 12, 2)), make_shop()),
        "arrives on Wed 2026-12-02, the order must be ready by Tue 2026-12-01",
        lambda: (make_order(due=date(2026, 12, 3)), make_shop()),
    ),
]


@pytest.mark.parametrize(("code", "bad", "sentence", "good"), CASES)
def test_each_rule_both_ways(
    code: str,
    bad: Callable[[], tuple[Order, Shop]],
    sentence: str,
    good: Callable[[], tuple[Order, Shop]],
) -> None:
    """One thing is wrong and exactly that is said, in numbers; just within the limit nothing is."""
    assert [(each.code, each.message) for each in objections(*bad())] == [(code, sentence)]
    assert objections(*good()) == ()


def test_a_print_may_be_turned_on_the_sheet_unless_the_order_forbids_it() -> None:
    """12 x 9 in lies on an 11 x 17 in sheet only when turned."""
    changes = {"placement": "back", "width": Length(12 * INCH), "height": Length(9 * INCH)}
    assert objections(with_print(**changes), make_shop()) == ()
    (objection,) = objections(with_print(**changes, may_turn=False), make_shop())
    assert objection.code == "E406"
    assert "may not be turned" in objection.message


def test_the_press_and_the_platen_must_go_together() -> None:
    """A hot press without the platen and a cool one with it do not make one that can press."""
    hot = make_press("hot", platens=())
    cool = make_press("cool", highest=Temperature(120_000))
    (objection,) = objections(make_order(), make_shop(presses=(hot, cool)))
    assert objection.code == "E407"


def test_a_press_that_cannot_go_so_low_is_no_help() -> None:
    """The lowest setting counts like the highest: 143 C is reached from exactly there, and not from above."""
    lowest = make_press(lowest=Temperature(143_000))
    above = make_press(lowest=Temperature(143_001))
    assert objections(make_order(), make_shop(presses=(lowest,))) == ()
    assert [each.code for each in objections(make_order(), make_shop(presses=(above,)))] == ["E407"]


def test_a_larger_platen_of_the_placement_counts() -> None:
    """The preferred platen may be too small, as long as another one for the placement is not."""
    shop = wide_sheet(make_shop())
    small = Platen(name="6x6", width=Length(6 * INCH), height=Length(6 * INCH))
    garment = shop.garment("tee")
    placements = tuple(evolve(each, platens=("6x6", "16x20")) for each in garment.placements)
    shop = evolve(
        shop,
        platens=(small, *shop.platens),
        presses=(make_press(platens=("6x6", "16x20")),),
        garments=(evolve(garment, placements=placements),),
    )
    assert objections(large_print(15), shop) == ()


def test_the_largest_size_decides() -> None:
    """120 % on one size makes the print too large for the sheet, unless no piece of that size is ordered."""
    grown = SizeScale(size="L", percent=Percent(Fraction(120, 100)))
    print_ = make_print(placement="back", width=Length(10 * INCH), scale=(grown,))
    ordered = make_order(lines=(make_line({"M": 4, "L": 2}, prints=(print_,)),))
    not_ordered = make_order(lines=(make_line({"M": 4}, prints=(print_,)),))
    assert [each.code for each in objections(ordered, make_shop())] == ["E406"]
    assert objections(not_ordered, make_shop()) == ()


def test_what_is_not_known_gets_no_entry() -> None:
    """An unknown garment or placement, or artwork that could not be read, is told elsewhere."""
    orders = (
        make_order("A", lines=(make_line(garment="cape"),)),
        make_order("B", lines=(make_line(prints=(make_print(placement="knee"),)),)),
        make_order("C", lines=(make_line(prints=(make_print(art=None),)),)),
        make_order("D", lines=(make_line(prints=(make_print(width=Length(0)),)),)),
        make_order("E", lines=(make_line(prints=(make_print(height=Length(0)),)),)),
    )
    assert fit_transfers(orders=orders, shop=make_shop(), date=MONDAY).fits == ()


def test_every_transfer_is_held_against_every_print_in_order() -> None:
    """The later stages rely on the files' order and then the shop's."""
    shop = make_shop(transfers=(make_transfer("one"), make_transfer("two")))
    two = make_line(prints=(make_print(), make_print(placement="back")))
    fits = fit_transfers(orders=(make_order("B"), make_order("A", lines=(two,))), shop=shop, date=MONDAY).fits
    expected = [("B", 0, name) for name in ("one", "two")]
    expected += [("A", index, name) for index in (0, 1) for name in ("one", "two")]
    assert [(fit.ref.job, fit.ref.print, fit.transfer) for fit in fits] == expected
    assert fits[0].ref == PrintRef(job="B", line=0, print=0)


def test_a_holiday_makes_a_transfer_late() -> None:
    """Two working days from Monday are Wednesday, but Thursday when Tuesday is a holiday."""
    calendar = make_shop().calendar
    closed = WorkingCalendar(shifts=calendar.shifts, holidays=(MONDAY + timedelta(days=1),))
    order = make_order(due=MONDAY + timedelta(days=2), delivery=Delivery.PICK_UP)
    assert objections(order, make_shop()) == ()
    assert [each.code for each in objections(order, make_shop(calendar=closed))] == ["E410"]


@pytest.mark.parametrize(("dots", "celsius", "fits"), [(1, 110, False), (2, 150, True), (3, 200, True)])
def test_the_dots_of_a_care_label(dots: int, celsius: int, fits: bool) -> None:
    """Ironing dots mean 110, 150 and 200 C at most (as care-label guides quote ISO 3758; secondary, from memory).

    A 290 F recipe (143 C: the trade's check value for a cold-peel full-colour transfer, common practice, no
    source) needs two dots.
    """
    shop = with_transfer(
        with_garment(heat_ceiling=Temperature(celsius * 1000)), recipe_temperature=parse_temperature("290F")
    )
    assert (objections(make_order(), shop) == ()) is fits, f"{dots} dots"


@pytest.mark.parametrize(
    ("family", "temperature", "garment", "suits"),
    [
        ("hot split", "350F", make_garment(), True),
        ("hot split", "350F", make_garment(dye_migrates=True, heat_ceiling=Temperature(149_000)), False),
        ("low temperature", "275F", make_garment(dye_migrates=True, heat_ceiling=Temperature(149_000)), True),
        ("sublimation", "390F", make_garment(heat_ceiling=Temperature(165_000)), False),
        ("low temperature", "265F", make_garment(heat_ceiling=Temperature(120_000)), False),
    ],
)
def test_families_on_fabrics_as_the_trade_does_it(
    family: str, temperature: str, garment: Any, suits: bool
) -> None:
    """Recipe temperatures and fabric ceilings of the trade agree with the rules (common practice, no source)."""
    shop = evolve(with_transfer(recipe_temperature=parse_temperature(temperature)), garments=(garment,))
    assert (objections(make_order(), shop) == ()) is suits, family
