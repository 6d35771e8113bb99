"""What a line costs: blanks, labour, set-up, packaging and overhead, worked out on paper."""

from datetime import timedelta
from fractions import Fraction

import pint
from hypothesis import given
from hypothesis import strategies as st

from pipeline.model.cost import CostKind
from pipeline.model.measure import Percent
from pipeline.model.money import Money
from pipeline.model.order import Blanks
from pipeline.model.press import PressTaskList
from pipeline.shop import GarmentSize, Packing, Rates, StandardTimes
from plugins.cost.labour import hours
from tests.builders import make_garment, make_line, make_order, make_shop
from tests.cost.cases import Week, make_week

UNITS: pint.UnitRegistry[Fraction] = pint.UnitRegistry(non_int_type=Fraction)


def costs_of(week: Week, line: int = 0) -> dict[CostKind, int]:
    """One line's parts."""
    return {part.kind: part.amount for part in week.costs().line("H-101", line).parts}


def test_every_part_of_a_line() -> None:
    """Six tees at $24.00 an hour: 28 s at the press and 40 s to finish are 68 s, $2.72 for six; set-up 10 min.

    One carton of $1.80, six bags of $0.05, and 10 % of 2.72 + 4.00 + 2.10 = $0.88 overhead.
    """
    shop = make_shop(
        rates=Rates(labour_per_hour=Fraction(2_400), overhead=Percent(Fraction(1, 10))),
        packing=Packing(carton_limit=15_000, carton_weight=500, carton_cost=Money(180), bag_cost=Money(5)),
    )
    assert costs_of(make_week(shop, (make_order(),))) == {
        CostKind.BLANKS: 1_500,
        CostKind.TRANSFERS: 3_600,
        CostKind.LABOUR: 272,
        CostKind.SET_UP: 400,
        CostKind.PACKAGING: 210,
        CostKind.OVERHEAD: 88,
    }


def test_blanks_cost_by_size_and_nothing_when_brought() -> None:
    """A larger size costs more; what the customer brings the shop does not buy."""
    sizes = (
        GarmentSize(name="M", cost=Money(250), weight=150),
        GarmentSize(name="L", cost=Money(310), weight=170),
    )
    shop = make_shop(garments=(make_garment(sizes=sizes),))
    ours = make_week(shop, (make_order(),))
    theirs = make_week(shop, (make_order(lines=(make_line(blanks=Blanks.CUSTOMER),)),))
    assert costs_of(ours)[CostKind.BLANKS] == 4 * 250 + 2 * 310
    assert costs_of(theirs)[CostKind.BLANKS] == 0


def test_a_mixed_carton_is_paid_by_the_pieces_in_it() -> None:
    """Two and four of six pieces: $0.60 and $1.20 of $1.80."""
    order = make_order(lines=(make_line({"M": 2}), make_line({"L": 4}, colour="navy")))
    week = make_week(make_shop(), (order,))
    assert [costs_of(week, line)[CostKind.PACKAGING] for line in (0, 1)] == [60, 120]


def test_a_line_without_prints_is_still_finished_and_packed() -> None:
    """Plain blanks cost no press time, but somebody folds and bags them: 6 x 40 s at $24.00 are $1.60."""
    week = make_week(make_shop(), (make_order(lines=(make_line(prints=()),)),))
    parts = costs_of(week)
    assert (parts[CostKind.LABOUR], parts[CostKind.SET_UP], parts[CostKind.TRANSFERS]) == (160, 0, 0)


def test_a_job_costing_example_from_a_textbook() -> None:
    """Direct material $1 170, direct labour $350 in 20 hours, overhead $8.50 x 90 + $10.00 x 20: $2 485.

    A textbook's job-order example with two overhead rates (the figures are published; which book is not known
    here). Ours has one rate, a share of labour: the same overhead is 965/350 of it.
    """
    size = GarmentSize(name="M", cost=Money(1_170), weight=100)
    shop = make_shop(
        garments=(make_garment(sizes=(size,)),),
        rates=Rates(labour_per_hour=Fraction(1_750), overhead=Percent(Fraction(965, 350))),
        packing=Packing(carton_limit=15_000, carton_weight=500, carton_cost=Money(0), carton_pieces=200),
        times=StandardTimes(finish=timedelta(minutes=12)),
    )
    order = make_order(lines=(make_line({"M": 100}, prints=()),))
    week = make_week(shop, (order,))
    assert week.tasks == PressTaskList(tasks=())
    cost = week.costs().line("H-101", 0)
    assert cost.part(CostKind.BLANKS) == 117_000
    assert cost.part(CostKind.LABOUR) == 35_000
    assert cost.part(CostKind.OVERHEAD) == 850 * 90 + 1_000 * 20 == 96_500
    assert cost.total == 248_500


@given(st.integers(0, 10**12))
def test_hours_are_exact(microseconds: int) -> None:
    """Checked against pint, computing with fractions."""
    expected = UNITS.Quantity(Fraction(microseconds), "microsecond").to("hour").magnitude
    assert hours(timedelta(microseconds=microseconds)) == expected


def test_a_tee_an_hour() -> None:
    """Load 10 s, pre-press 5, dwell 15, unload 8: 38 s a piece, 94.7 an hour (common practice, no source)."""
    assert round(1 / hours(timedelta(seconds=38)), 1) == Fraction(947, 10)
