"""One round tells all: orders that cannot be read whole are held against every rule that does not need the rest."""

from pathlib import Path

import pytest

from pipeline.problems import Problem, StopRun
from pipeline.run import check, run
from tests.host.folder import add_plugin, request, write


def told(problems: tuple[Problem, ...]) -> list[tuple[str, int]]:
    """Code and line."""
    return [(problem.code, problem.origin.line) for problem in problems]


def spoil(path: Path, *changes: tuple[str, str]) -> None:
    """Replace texts of a file."""
    text = path.read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, "utf-8")


def test_names_are_looked_up_though_the_shape_is_wrong(shop: Path) -> None:
    """Of whatever can be read; a field that cannot is not blamed for more."""
    path = shop / "week/h-101.yaml"
    spoil(path, ("harbour-bakery", "nobody"), ("2026-12-18", "soon"), ("garment: tee", "garment: tea"))
    spoil(path, ("gull.svg", "none.svg"), ("width: 3in", "width: 3"))
    assert told(check(request(shop)).problems) == [
        ("E221", 2),
        ("E206", 3),
        ("E222", 6),
        ("E301", 11),
        ("E204", 13),
    ]


def test_a_garment_that_cannot_be_read_has_any_colour(shop: Path) -> None:
    """What depends on it waits."""
    spoil(shop / "week/h-101.yaml", ("garment: tee", "garment: [tee]"), ("colour: white", "colour: puce"))
    assert told(check(request(shop)).problems) == [("E204", 6)]


def test_a_fault_of_one_line_hides_none_of_another(shop: Path) -> None:
    """Lines are looked at one by one."""
    path = shop / "week/h-101.yaml"
    line = path.read_text("utf-8").partition("lines:\n")[2].replace("white", "puce")
    path.write_text(path.read_text("utf-8").replace("pieces: {M: 6}", "pieces: many") + line, "utf-8")
    assert told(check(request(shop)).problems) == [("E204", 8), ("E223", 15)]


def test_a_job_id_is_compared_with_that_of_a_faulty_order(shop: Path) -> None:
    """Else one of the two would be invoiced before anybody knew of the other; the third goes on."""
    write(shop, "H-103")
    spoil(shop / "week/h-102.yaml", ("H-102", "H-101"), ("pick-up", "by boat"))
    report = run(request(shop))
    assert told(report.problems) == [("E227", 1), ("E227", 1), ("E205", 4)]
    assert report.held == ("H-101", "week/h-102.yaml")
    assert [order.job for order in report.orders] == ["H-103"]


def test_a_plugin_of_the_shop_is_asked_about_both_readings(shop: Path) -> None:
    """What it says of both holds; what it says of one only depends on the value that cannot be read."""
    add_plugin(
        shop,
        "from pipeline.problems import Problem\n"
        "@hookimpl\n"
        "def check_orders(orders):\n"
        "    for order in orders:\n"
        "        if order.quantity < 12:\n"
        "            yield Problem(code='E900', message='few', origin=order.at('lines'), job=order.job)\n"
        "        yield Problem(code='E901', message='never', origin=order.at('delivery'), job=order.job)\n",
    )
    spoil(shop / "week/h-101.yaml", ("{M: 6}", "{M: six}"))
    found = [(p.code, p.origin.file) for p in check(request(shop)).problems]
    assert ("E901", "week/h-101.yaml") in found
    assert ("E900", "week/h-101.yaml") not in found
    assert ("E900", "week/h-102.yaml") in found


def test_the_shop_the_week_and_the_orders_in_one_round(shop: Path) -> None:
    """Whoever mends the shop's file should not find the orders wrong next."""
    spoil(shop / "shop.yaml", ("currency: USD", "currency: dollars"))
    (shop / "week/week.yaml").write_text("date: monday\n", "utf-8")
    spoil(shop / "week/h-101.yaml", ("2026-12-18", "soon"), ("gull.svg", "none.svg"))
    with pytest.raises(StopRun) as stop:
        check(request(shop))
    found = [(p.code, p.origin.file) for p in stop.value.problems]
    orders = [("E206", "week/h-101.yaml"), ("E301", "week/h-101.yaml")]
    assert found == [("E206", "shop.yaml"), *orders, ("E206", "week/week.yaml")]
    assert set(stop.value.sources) >= {"shop.yaml", "week/h-101.yaml", "week/week.yaml"}
