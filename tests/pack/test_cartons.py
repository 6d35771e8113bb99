"""Cartons: hand-sized cases and what must hold for every order."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.model.money import Money
from pipeline.model.order import Blanks, Order
from pipeline.model.packing import Carton, PackingPlan
from pipeline.shop import GarmentSize, Packing, Shop
from plugins.pack import pack_orders
from tests.builders import make_garment, make_line, make_order, make_shop
from tests.referee_packing import faults_of_packing


def shop_with(limit: int = 10_000, pieces: int = 72, weights: tuple[int, ...] = (150,) * 4) -> Shop:
    """A shop whose tees weigh so many grams in S, M, L and XL; a carton weighs 500 g."""
    sizes = tuple(
        GarmentSize(name=name, cost=Money(250), weight=weight)
        for name, weight in zip(("S", "M", "L", "XL"), weights, strict=True)
    )
    packing = Packing(carton_limit=limit, carton_weight=500, carton_cost=Money(180), carton_pieces=pieces)
    return make_shop(garments=(make_garment(sizes=sizes),), packing=packing)


def contents(carton: Carton) -> list[tuple[int, str, int]]:
    """What lies in a carton, short."""
    return [(item.line, item.size, item.count) for item in carton.contents]


def test_a_small_order_is_one_carton() -> None:
    """Six tees of 150 g and a 500 g carton: 1 400 g."""
    plan = pack_orders((make_order(),), make_shop())
    assert [contents(carton) for carton in plan.cartons] == [[(0, "M", 4), (0, "L", 2)]]
    assert plan.cartons[0].weight == 1_400


def test_full_cartons_hold_one_size_and_the_rest_is_mixed() -> None:
    """At 10 to a carton, 23 M and 12 L are M M L and one mixed carton of 3 M and 2 L, in the order's order."""
    order = make_order(lines=(make_line({"M": 23, "L": 12}),))
    plan = pack_orders((order,), shop_with(pieces=10))
    assert [contents(carton) for carton in plan.cartons] == [
        [(0, "M", 10)],
        [(0, "M", 10)],
        [(0, "M", 3), (0, "L", 2)],
        [(0, "L", 10)],
    ]


def test_a_size_that_does_not_fill_a_carton_is_not_divided() -> None:
    """Three sizes of 6 at 10 to a carton stay whole in three cartons, though two would hold all 18."""
    order = make_order(lines=(make_line({"S": 6, "M": 6, "L": 6}),))
    plan = pack_orders((order,), shop_with(pieces=10))
    assert [contents(carton) for carton in plan.cartons] == [[(0, "S", 6)], [(0, "M", 6)], [(0, "L", 6)]]


def test_the_heaviest_leftovers_come_first() -> None:
    """At 10 to a carton, 3, 4, 6 and 7 are two full cartons; packed as they stand they would need three."""
    order = make_order(lines=(make_line({"S": 3, "M": 4, "L": 6, "XL": 7}),))
    plan = pack_orders((order,), shop_with(pieces=10))
    assert [contents(carton) for carton in plan.cartons] == [
        [(0, "S", 3), (0, "XL", 7)],
        [(0, "M", 4), (0, "L", 6)],
    ]


def test_leftovers_go_where_least_stays_free() -> None:
    """At 13 to a carton, the single XL fills up the carton of 12, and the carton of 8 keeps its room."""
    order = make_order(lines=(make_line({"S": 8, "M": 6, "L": 6, "XL": 1}),))
    plan = pack_orders((order,), shop_with(pieces=13))
    assert [contents(carton) for carton in plan.cartons] == [
        [(0, "S", 8)],
        [(0, "M", 6), (0, "L", 6), (0, "XL", 1)],
    ]


def test_the_weight_limit_counts_the_carton() -> None:
    """A 2 000 g limit and a 500 g carton leave 1 500 g: exactly ten tees of 150 g, not eleven."""
    ten = make_order(lines=(make_line({"M": 10}),))
    eleven = make_order(lines=(make_line({"M": 11}),))
    assert len(pack_orders((ten,), shop_with(limit=2_000)).cartons) == 1
    assert len(pack_orders((eleven,), shop_with(limit=2_000)).cartons) == 2


def test_a_piece_over_the_limit_travels_alone() -> None:
    """Nothing can be left behind: the heavy piece gets a carton of its own, and nothing is put on top."""
    order = make_order(lines=(make_line({"S": 1, "XL": 2}),))
    plan = pack_orders((order,), shop_with(limit=2_000, weights=(150, 150, 150, 5_000)))
    assert [contents(carton) for carton in plan.cartons] == [[(0, "S", 1)], [(0, "XL", 1)], [(0, "XL", 1)]]


def test_the_customers_own_blanks_weigh_the_same() -> None:
    """A carrier weighs what is in the carton, not who paid for it."""
    ours = pack_orders((make_order(),), make_shop())
    theirs = pack_orders((make_order(lines=(make_line(blanks=Blanks.CUSTOMER),)),), make_shop())
    assert ours == theirs


def test_no_carton_holds_two_orders() -> None:
    """Two orders of one customer may go to two places: each is numbered from 1."""
    plan = pack_orders((make_order("H-1"), make_order("H-2")), make_shop())
    assert [(carton.job, carton.number) for carton in plan.cartons] == [("H-1", 1), ("H-2", 1)]


def test_an_ideal_lift_stays_under_the_ceiling() -> None:
    """51 lb is NIOSH's ceiling for an ideal lift (94-110, from memory): 23 133 g at 453.59237 g a pound."""
    limit = 51 * 45_359_237 // 100_000
    assert limit == 23_133
    order = make_order(lines=(make_line({"M": 500}),))
    plan = pack_orders((order,), shop_with(limit=limit, pieces=500))
    assert max(carton.weight for carton in plan.cartons) <= 23_133
    assert [carton.pieces for carton in plan.cartons] == [150, 150, 150, 50]


counts = st.dictionaries(st.sampled_from(("S", "M", "L", "XL")), st.integers(1, 200), min_size=1)
order_values = st.lists(st.lists(counts, min_size=1, max_size=3), min_size=1, max_size=3)
shops = st.builds(
    shop_with,
    limit=st.integers(600, 20_000),
    pieces=st.integers(1, 100),
    weights=st.tuples(*[st.integers(1, 3_000)] * 4),
)


def make_orders(values: list[list[dict[str, int]]]) -> tuple[Order, ...]:
    """Orders from drawn pieces."""
    return tuple(
        make_order(f"H-{number}", lines=tuple(make_line(pieces) for pieces in lines))
        for number, lines in enumerate(values)
    )


@given(order_values, shops)
def test_every_piece_is_packed_and_no_limit_passed(values: list[list[dict[str, int]]], shop: Shop) -> None:
    """The referee counts and weighs for itself."""
    orders = make_orders(values)
    assert faults_of_packing(orders, shop, pack_orders(orders, shop)) == []


@given(order_values, shops)
def test_no_two_cartons_with_leftovers_could_be_one(values: list[list[dict[str, int]]], shop: Shop) -> None:
    """A carton costs money and freight: of the started ones, no two fit together."""
    for order in make_orders(values):
        limit, most = shop.packing.carton_limit + shop.packing.carton_weight, shop.packing.carton_pieces
        started = [c for c in pack_orders((order,), shop).cartons if not _filled(c, order, shop)]
        for i, one in enumerate(started):
            for other in started[i + 1 :]:
                assert one.weight + other.weight > limit or one.pieces + other.pieces > most


def _filled(carton: Carton, order: Order, shop: Shop) -> bool:
    """One more piece of its only size would pass a limit, or there is more than one carton of that size."""
    if len(carton.contents) > 1:
        return False
    item = carton.contents[0]
    piece = (carton.weight - shop.packing.carton_weight) // item.count
    return carton.pieces == shop.packing.carton_pieces or carton.weight + piece > shop.packing.carton_limit


@given(order_values, shops)
def test_each_order_is_packed_as_if_it_were_the_only_one(values: list[list[dict[str, int]]], shop: Shop) -> None:
    """The sequence in which job files are read must not change a carton."""
    orders = make_orders(values)
    together = pack_orders(orders, shop)
    for order in orders:
        assert together.of(order.job) == pack_orders((order,), shop).cartons


def test_the_referee_sees_what_is_wrong() -> None:
    """A referee that never objects proves nothing: a lost piece and a wrong weight are both told."""
    order, shop = make_order(), make_shop()
    carton = pack_orders((order,), shop).cartons[0]
    lost = Carton(job=order.job, number=1, contents=carton.contents[:1], weight=carton.weight)
    faults = faults_of_packing((order,), shop, PackingPlan(cartons=(lost,)))
    assert any("ordered" in fault for fault in faults)
    assert any("weighs" in fault for fault in faults)


def test_an_unknown_size_is_a_fault_of_the_caller() -> None:
    """Such an order is held at the door; here it must not be packed as if it weighed nothing."""
    order = make_order(lines=(make_line({"XXL": 1}),))
    with pytest.raises(KeyError, match="XXL"):
        pack_orders((order,), make_shop())
