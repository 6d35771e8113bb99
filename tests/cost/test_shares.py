"""Sharing the purchase of transfers: cases that can be worked out on paper."""

from fractions import Fraction

import pytest
from attrs import evolve

from pipeline.model.cost import OrderShare, SheetShare
from pipeline.model.measure import Length
from pipeline.model.money import Money
from pipeline.model.order import Order
from pipeline.model.prints import PrintList
from pipeline.model.sheet import OrderAlone, SheetPlan, TransferOrder
from pipeline.shop import SharingRule
from plugins.cost.shares import Shares, share_purchase
from tests.builders import INCH, make_line, make_order, make_print, make_shop, make_transfer
from tests.cost.cases import gang, sharing
from tests.plans import make_demands

#: 6 prints of 3 x 3 in for the bakery, 60 of 2 x 2 in for the school.
SMALL = make_order("H-1", lines=(make_line({"M": 6}),))
LARGE = make_order(
    "H-2", customer="sailing-school", lines=(make_line({"M": 60}, prints=(make_print(width=Length(2 * INCH)),)),)
)
BOTH = (SMALL, LARGE)


def shared(
    rule: SharingRule, alone: dict[str, int], orders: tuple[Order, ...] = BOTH, paid: int = 4_000
) -> Shares:
    """All prints of the orders on one layout that cost `paid`."""
    shop = make_shop(options=sharing(rule))
    prints = make_demands(orders)
    names = [demand.id for demand in prints.demands]
    return share_purchase(orders, shop, prints, gang(shop, prints, [(names, 1, paid)], alone))


def amounts(shares: Shares) -> list[int]:
    """What each order pays."""
    return [order.shared for order in shares.orders]


def test_stand_alone_gives_everyone_the_same_percentage_off() -> None:
    """$40 together, $18 and $42 alone: both pay two thirds of alone."""
    result = shared(SharingRule.STAND_ALONE, {"H-1": 1_800, "H-2": 4_200})
    assert result.orders == (
        OrderShare(job="H-1", shared=Money(1_200), alone=Money(1_800)),
        OrderShare(job="H-2", shared=Money(2_800), alone=Money(4_200)),
    )
    assert [order.saving for order in result.orders] == [600, 1_400]
    assert result.notes == ()


@pytest.mark.parametrize("jobs", [("H-1", "H-2"), ("H-2", "H-1")])
def test_the_odd_cent_does_not_go_by_the_sequence(jobs: tuple[str, str]) -> None:
    """Two equal orders share $0.05: the first by name pays three cents, whichever was read first."""
    orders = tuple(make_order(job) for job in jobs)
    result = shared(SharingRule.STAND_ALONE, {"H-1": 10, "H-2": 10}, orders, 5)
    assert {order.job: order.shared for order in result.orders} == {"H-1": 3, "H-2": 2}


def test_per_print_counts_prints() -> None:
    """6 and 60 of 66 prints: $3.64 and $36.36."""
    assert amounts(shared(SharingRule.PER_PRINT, {"H-1": 1_800, "H-2": 4_200})) == [364, 3_636]


def test_by_area_counts_area() -> None:
    """6 x 9 = 54 and 60 x 4 = 240 of 294 square inches: $7.35 and $32.65."""
    assert amounts(shared(SharingRule.BY_AREA, {"H-1": 1_800, "H-2": 4_200})) == [735, 3_265]


@pytest.mark.parametrize("rule", [SharingRule.PER_PRINT, SharingRule.BY_AREA])
def test_nobody_pays_more_than_alone(rule: SharingRule) -> None:
    """Price steps favour the large order alone: at $30 alone it pays $30, the small one takes over the rest."""
    result = shared(rule, {"H-1": 1_800, "H-2": 3_000})
    assert amounts(result) == [1_000, 3_000]
    assert result.notes == ()


def test_the_rest_falls_to_the_others_in_proportion() -> None:
    """Three orders of 10, 20 and 70 prints share $100; the third is held at $40, so $60 go 1 : 2."""
    orders = tuple(
        make_order(f"H-{number}", lines=(make_line({"M": count}),))
        for number, count in enumerate((10, 20, 70), 1)
    )
    alone = {"H-1": 9_000, "H-2": 9_000, "H-3": 4_000}
    assert amounts(shared(SharingRule.PER_PRINT, alone, orders, 10_000)) == [2_000, 4_000, 4_000]


def test_a_limit_reached_by_what_others_leave_holds_too() -> None:
    """The second order reaches its limit only after the third did: $30 of $100 remain for the first."""
    orders = tuple(
        make_order(f"H-{number}", lines=(make_line({"M": count}),))
        for number, count in enumerate((10, 20, 70), 1)
    )
    alone = {"H-1": 9_000, "H-2": 3_000, "H-3": 4_000}
    assert amounts(shared(SharingRule.PER_PRINT, alone, orders, 10_000)) == [3_000, 3_000, 4_000]


@pytest.mark.parametrize("rule", SharingRule)
def test_where_sharing_is_dearer_it_says_so(rule: SharingRule) -> None:
    """$40 together, $10 and $20 alone: each pays a third more than alone, and a warning names both sums."""
    result = shared(rule, {"H-1": 1_000, "H-2": 2_000})
    assert amounts(result) == [1_333, 2_667]
    (note,) = result.notes
    assert note.code == "W801"
    assert not note.is_error
    assert note.message == (
        "the transfers for H-1, H-2 cost 40.00 USD together and 30.00 USD apart, so each pays more than alone"
    )


def test_an_order_that_does_not_share_pays_its_own_sheets() -> None:
    """It gave up the saving; the others must not lose theirs to it, nor it gain by them."""
    apart = make_order("H-3", customer="sailing-school", share_sheets=False, lines=(make_line({"M": 10}),))
    orders = (*BOTH, apart)
    shop = make_shop(options=sharing(SharingRule.STAND_ALONE))
    prints = make_demands(orders)
    prints = PrintList(demands=(*prints.demands[:2], evolve(prints.demands[2], alone=True)))
    plan = gang(
        shop,
        prints,
        [(["P01", "P02"], 1, 4_000), (["P03"], 1, 1_500)],
        {"H-1": 1_800, "H-2": 4_200, "H-3": 1_500},
    )
    assert amounts(share_purchase(orders, shop, prints, plan)) == [1_200, 2_800, 1_500]


def test_prints_from_stock_cost_nothing_new() -> None:
    """They were paid for by the batch that bought them; the others pay for the sheets of this one."""
    shop = make_shop(options=sharing(SharingRule.PER_PRINT))
    prints = make_demands(BOTH)
    prints = PrintList(demands=(evolve(prints.demands[0], from_stock=6), prints.demands[1]))
    plan = gang(shop, prints, [(["P02"], 1, 4_000)], {"H-1": 0, "H-2": 4_200})
    result = share_purchase(BOTH, shop, prints, plan)
    assert amounts(result) == [0, 4_000]
    assert result.shares[0] == SheetShare(job="H-1", line=0, demand="P01", amount=Money(0), spares=Money(0))


def test_surplus_belongs_to_the_batch_that_bought_it() -> None:
    """Twice the sheets at twice the price: the same prints are needed, so all shares double."""
    shop = make_shop(options=sharing(SharingRule.BY_AREA))
    prints = make_demands(BOTH)
    alone = {"H-1": 9_000, "H-2": 9_000}
    once = share_purchase(BOTH, shop, prints, gang(shop, prints, [(["P01", "P02"], 1, 2_940)], alone))
    twice = share_purchase(BOTH, shop, prints, gang(shop, prints, [(["P01", "P02"], 2, 2_940)], alone))
    assert amounts(once) == [540, 2_400]
    assert amounts(twice) == [1_080, 4_800]


def test_spares_are_shown_within_the_share() -> None:
    """12 pieces and 3 spares for $15: $3 of it pay for spares."""
    orders = (make_order("H-1", lines=(make_line({"M": 12}),)),)
    shop = make_shop()
    prints = make_demands(orders)
    prints = PrintList(demands=(evolve(prints.demands[0], spares=3),))
    result = share_purchase(orders, shop, prints, gang(shop, prints, [(["P01"], 1, 1_500)], {"H-1": 1_500}))
    assert result.shares == (SheetShare(job="H-1", line=0, demand="P01", amount=Money(1_500), spares=Money(300)),)


def test_one_demand_may_serve_several_orders() -> None:
    """The same mark on two orders of one customer is bought once; each pays for its pieces."""
    orders = (make_order("H-1", lines=(make_line({"M": 10}),)), make_order("H-2", lines=(make_line({"L": 30}),)))
    shop = make_shop(options=sharing(SharingRule.PER_PRINT))
    first, second = make_demands(orders).demands
    prints = PrintList(demands=(evolve(first, uses=(*first.uses, *second.uses)),))
    plan = gang(shop, prints, [(["P01"], 40, 100)], {"H-1": 2_000, "H-2": 4_000})
    result = share_purchase(orders, shop, prints, plan)
    assert [(share.job, share.demand, share.amount) for share in result.shares] == [
        ("H-1", "P01", 1_000),
        ("H-2", "P01", 3_000),
    ]


def two_transfers(rule: SharingRule) -> tuple[Shares, SheetPlan]:
    """The small order on one transfer for $20 and $5 order charge, the large one on another for $30."""
    shop = make_shop(
        transfers=(make_transfer(order_charge=Money(500)), make_transfer("low-heat")), options=sharing(rule)
    )
    prints = make_demands(BOTH)
    plan = gang(shop, prints, [(["P01"], 1, 2_000), (["P02"], 1, 3_000)], {"H-1": 3_000, "H-2": 4_000})
    one, other = plan.layouts
    plan = evolve(
        plan,
        layouts=(one, evolve(other, transfer="low-heat")),
        orders=(
            TransferOrder(
                transfer="full-colour", layouts=("S1",), sheets=1, order_charge=Money(500), cost=Money(2_500)
            ),
            TransferOrder(
                transfer="low-heat", layouts=("S2",), sheets=1, order_charge=Money(0), cost=Money(3_000)
            ),
        ),
        chosen=(("P01", "full-colour"), ("P02", "low-heat")),
    )
    return share_purchase(BOTH, shop, prints, plan), plan


def test_a_transfer_is_paid_by_those_who_use_it() -> None:
    """Per print and by area, each transfer is a pot of its own with its order charge."""
    for rule in (SharingRule.PER_PRINT, SharingRule.BY_AREA):
        result, _ = two_transfers(rule)
        assert amounts(result) == [2_500, 3_000]


def test_stand_alone_shares_the_saving_over_all_transfers() -> None:
    """$55 of $70 alone: which transfer the search chose for whom changes nobody's percentage."""
    result, plan = two_transfers(SharingRule.STAND_ALONE)
    assert sum(amounts(result)) == plan.cost
    assert amounts(result) == [2_357, 3_143]
    assert [round(Fraction(o.shared, o.alone), 3) for o in result.orders] == [Fraction(786, 1000)] * 2


def test_an_order_without_a_known_cost_alone_is_a_fault_of_the_plan() -> None:
    """The limit cannot be kept without it, so the stage does not guess."""
    with pytest.raises(KeyError, match="H-2"):
        shared(SharingRule.PER_PRINT, {"H-1": 1_800})


def test_free_transfers_cost_nobody_anything() -> None:
    """A sheet for nothing, alone or together, divides into nothing."""
    assert amounts(shared(SharingRule.STAND_ALONE, {"H-1": 0, "H-2": 0}, paid=0)) == [0, 0]


def test_paid_together_though_free_alone() -> None:
    """Alone nothing, together $40: shared by the rule, and told."""
    result = shared(SharingRule.PER_PRINT, {"H-1": 0, "H-2": 0})
    assert amounts(result) == [364, 3_636]
    assert len(result.notes) == 1


def test_a_batch_without_prints_has_no_shares() -> None:
    """Plain blanks are sold too."""
    orders = (make_order(lines=(make_line(prints=()),)),)
    shop = make_shop()
    plan = evolve(
        gang(shop, PrintList(demands=()), [], {}),
        orders=(),
        alone=(OrderAlone(job="H-101", cost=Money(0)),),
    )
    result = share_purchase(orders, shop, PrintList(demands=()), plan)
    assert result.shares == ()
    assert amounts(result) == [0]
