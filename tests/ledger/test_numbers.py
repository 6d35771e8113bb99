"""Numbers: gapless by calendar year, in the order of the jobs; and when none may be given."""

from datetime import date, timedelta

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from pipeline.ledger import Snapshot, number, number_problems
from pipeline.model.order import Blanks
from pipeline.shop import Numbering
from tests.builders import MONDAY, make_garment, make_line, make_order, make_shop, make_transfer
from tests.plans import make_plan, make_run

# ISO 8601 weeks at the turn of years (the standard's rule: week 1 holds the year's first Thursday; these days
# as in the table of the standard's week dates, retyped): the week's year is not the day's.
TURNS = [
    (date(2005, 1, 1), (2004, 53)),
    (date(2007, 12, 31), (2008, 1)),
    (date(2010, 1, 3), (2009, 53)),
    (date(2024, 12, 30), (2025, 1)),
    (date(2027, 1, 1), (2026, 53)),
]


@pytest.mark.parametrize(("day", "week"), TURNS)
def test_the_year_is_the_days_not_the_weeks(day: date, week: tuple[int, int]) -> None:
    """An invoice issued on 1 January belongs to the new year's series, whatever its week is called."""
    assert day.isocalendar()[:2] == week
    run = number(make_run(date=day), Snapshot(on=day))
    assert run.invoices[0].number == f"{day.year}-0001"
    assert week[0] != day.year


@given(st.integers(1, 12_000), st.permutations(["H-101", "H-102", "H-103"]))
def test_in_the_order_of_the_jobs(first: int, jobs: list[str]) -> None:
    """The next numbers, one each, as the jobs stand."""
    run = number(make_run([make_order(job) for job in jobs]), Snapshot(on=MONDAY, next_invoice=first))
    assert [item.name for item in run.invoices] == jobs
    assert [item.number for item in run.invoices] == [f"2026-{first + at:04}" for at in range(3)]


def test_one_purchase_for_each_supplier() -> None:
    """Transfers' suppliers first, then blanks'; who sells both gets one; a customer's own blanks are not bought."""
    shop = make_shop(
        transfers=(make_transfer(supplier="dock-supply"),),
        garments=(
            make_garment(supplier="mill-lane-blanks"),
            make_garment("cap", supplier="dock-supply"),
            make_garment("bag", supplier="sail-loft"),
        ),
    )
    order = make_order(
        lines=(make_line(), make_line(garment="cap"), make_line(garment="bag", blanks=Blanks.CUSTOMER))
    )
    run = number(make_run([order], shop), Snapshot(on=MONDAY, next_purchase=7))
    assert [(item.name, item.number) for item in run.purchases] == [
        ("dock-supply", "P2026-007"),
        ("mill-lane-blanks", "P2026-008"),
    ]


def test_nothing_bought_needs_no_number() -> None:
    """All prints from stock and the customer's own blanks: no purchase."""
    shop = make_shop()
    order = make_order(lines=(make_line(blanks=Blanks.CUSTOMER),))
    plan = make_plan(shop, [order])
    bought = evolve(plan.sheets.orders[0], sheets=0)
    run = make_run(shop=shop, plan=evolve(plan, sheets=evolve(plan.sheets, orders=(bought,))))
    assert number(run, Snapshot(on=MONDAY)).purchases == ()


def test_the_day_must_be_the_snapshots() -> None:
    """The year's next number was read for that day."""
    with pytest.raises(ValueError, match="2026-11-30"):
        number(make_run(), Snapshot(on=MONDAY + timedelta(days=40)))


@pytest.mark.parametrize(
    "template",
    [
        "{number:04}",
        "{year}",
        "2026-{number}",
        "{year}-{serial}",
        "{year}-{number",
        "{year}-{number:z}",
        "{0}",
        "{year.x}",
    ],
)
def test_a_template_must_tell_numbers_apart(template: str) -> None:
    """Without the year, number 1 would come again in January; a template that fails must not fail later."""
    (problem,) = number_problems(Numbering(invoice=template), MONDAY, None)
    assert problem.code == "E604"
    assert template in problem.message
    assert number_problems(Numbering(purchase=template), MONDAY, None)[0].code == "E604"


@pytest.mark.parametrize("template", ["{year}-{number:04}", "{number}/{year}", "GPW{year}{number:05}"])
def test_usual_templates_are_good(template: str) -> None:
    """Shops number as they like."""
    assert number_problems(Numbering(invoice=template), MONDAY, MONDAY) == ()


def test_no_day_before_the_last() -> None:
    """Numbers follow the days; the same day again is good."""
    assert number_problems(Numbering(), MONDAY, MONDAY) == ()
    (problem,) = number_problems(Numbering(), MONDAY - timedelta(days=1), MONDAY)
    assert problem.code == "E602"
    assert "2026-11-30" in problem.hint


@given(st.lists(st.sampled_from(["w", "W", "w-2", "W-2", "w-3", "x"])))
def test_a_free_label(labels: list[str]) -> None:
    """Never one that is taken, capitals apart: the folder of papers must be a new one everywhere."""
    label = Snapshot(on=MONDAY, labels=frozenset(labels)).free_label("w")
    assert label.casefold() not in {taken.casefold() for taken in labels}
    assert label in ("w", "w-2", "w-3", "w-4")
