"""A transfer for each print, and the one that the order names."""

from datetime import timedelta

from attrs import evolve

from pipeline.model.measure import Temperature
from pipeline.model.prints import TransferFits
from pipeline.shop import Recipe, Shop, Stretch
from plugins.validate import check_orders
from tests.builders import MONDAY, make_garment, make_order, make_shop, make_transfer
from tests.validate.asking import codes, only, with_print


def recipe(celsius: int) -> Recipe:
    """The usual recipe at another temperature."""
    return evolve(make_transfer().recipe, temperature=Temperature(celsius * 1000))


COOL, HOT, WOOL = (
    make_transfer("cool", recipe=recipe(130)),
    make_transfer("hot", recipe=recipe(180)),
    make_transfer("wool-only", fabrics=("wool",), recipe=recipe(180)),
)


def delicate(*transfers: object) -> Shop:
    """A shop with these transfers and a tee that stands 150 C."""
    return make_shop(transfers=transfers, garments=(make_garment(heat_ceiling=Temperature(150_000)),))


def test_one_that_suits_is_enough() -> None:
    """The cheapest that fits is chosen later, among those that do."""
    assert codes(make_order(), shop=delicate(HOT, COOL)) == []


def test_when_none_suits_every_objection_is_listed_once() -> None:
    """The reader sees at a glance what stands in the way of which transfer."""
    problem = only(make_order(), shop=delicate(HOT, WOOL))
    assert problem.code == "E411"
    assert problem.message == "no transfer of the shop suits this print on `tee` at `left-chest`"
    assert problem.hint == (
        "`hot` and `wool-only`: pressed at 356 °F (180 °C), the garment stands 302 °F (150 °C) [E402]; "
        "`wool-only`: made for wool, not for cotton (100 % of the fabric) [E401]"
    )


def test_a_named_transfer_that_does_not_suit_comes_with_those_that_do() -> None:
    """The customer's wish is not overruled in silence."""
    problem = only(with_print(transfer="hot"), shop=delicate(HOT, COOL, WOOL))
    assert problem.code == "E412"
    assert problem.message == (
        "`hot` does not suit this print: pressed at 356 °F (180 °C), the garment stands 302 °F (150 °C) [E402]"
    )
    assert problem.hint == "write `cool` or `cheapest`"
    assert codes(with_print(transfer="cool"), shop=delicate(HOT, COOL, WOOL)) == []


def test_a_named_transfer_where_none_suits() -> None:
    """Then naming another would only lead to the next refusal."""
    problem = only(with_print(transfer="hot"), shop=delicate(HOT, WOOL))
    assert problem.code == "E412"
    assert problem.hint.startswith("nor does another: `wool-only`: made for wool")


def test_the_choice_of_a_shop_plugin_counts() -> None:
    """`fit_transfers` may be replaced: what it says is what is checked."""
    problems = check_orders(orders=(make_order(),), shop=make_shop(), fits=TransferFits(fits=()), date=MONDAY)
    assert [problem.code for problem in problems] == ["E411"]


def test_an_unknown_transfer_is_told_as_a_name_alone() -> None:
    """That everything else is not the one asked for is no news."""
    assert codes(with_print(transfer="foil"), shop=delicate(HOT, COOL)) == ["E226"]


def test_late_and_unsuitable_are_two_problems() -> None:
    """Mending the date would not help the fabric."""
    shop = evolve(delicate(HOT), garments=(make_garment(stretch=Stretch.HIGH, lead_days=5),))
    soon = make_order(due=MONDAY + timedelta(days=2))
    assert codes(soon, shop=shop) == ["E411", "E423"]
