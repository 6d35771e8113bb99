"""Days that cannot be kept, and certificates that no longer count."""

from datetime import date, timedelta

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from pipeline.model.order import Blanks, Delivery
from pipeline.problems import Origin
from pipeline.shop import Exemption, TaxRegime, TaxRules, WorkingCalendar
from tests.builders import MONDAY, make_customer, make_garment, make_line, make_order, make_shop, make_transfer
from tests.validate.asking import ask, codes, only


def test_a_due_date_in_the_past_is_told_alone() -> None:
    """A mistyped year; everything that follows from it would be noise."""
    problem = only(make_order(due=date(2025, 12, 11)))
    assert problem.code == "E421"
    assert problem.message == "due on Thu 2025-12-11, and today is Mon 2026-11-30"


def test_the_first_of_all_days_is_a_date_like_another() -> None:
    """Counting back from it must not fall off the calendar."""
    assert codes(make_order(due=date.min)) == ["E421"]


def test_due_on_a_day_off_is_only_told() -> None:
    """The carrier may deliver on a Saturday, but the shop counts on the Friday before."""
    problem = only(make_order(due=date(2026, 12, 12)))
    assert (problem.code, problem.is_error) == ("W422", False)
    assert problem.message == (
        "the shop does not work on Sat 2026-12-12: the order counts as due on Fri 2026-12-11"
    )


def test_due_on_a_holiday_is_told_too() -> None:
    """Christmas Day 2026 is a Friday, on which the shop would otherwise work."""
    calendar = WorkingCalendar(shifts=make_shop().calendar.shifts, holidays=(date(2026, 12, 25),))
    assert codes(make_order(due=date(2026, 12, 25)), shop=make_shop(calendar=calendar)) == ["W422"]


def test_before_blanks_can_arrive() -> None:
    """Monday + 4 working days = Friday; one on the way: due on Monday the 7th at the earliest."""
    shop = make_shop(garments=(make_garment(lead_days=4),))
    problem = only(make_order(due=date(2026, 12, 4)), shop=shop)
    assert problem.code == "E423"
    assert problem.label == "`tee` blanks on Fri 2026-12-04 at the earliest"
    assert problem.hint == "the first day that can be kept is Mon 2026-12-07: write `due: 2026-12-07`"
    assert codes(make_order(due=date(2026, 12, 7)), shop=shop) == []


def test_the_customers_own_blanks_are_not_waited_for() -> None:
    """They are brought along."""
    shop = make_shop(garments=(make_garment(lead_days=4),))
    order = make_order(due=date(2026, 12, 4), lines=(make_line(blanks=Blanks.CUSTOMER),))
    assert codes(order, shop=shop) == []


def test_before_the_soonest_transfer_can_arrive() -> None:
    """Only the soonest that suits counts; the slow one is no news."""
    transfers = (make_transfer("slow", lead_days=9), make_transfer("quick", lead_days=3))
    shop = make_shop(transfers=transfers, garments=(make_garment(lead_days=0),))
    problem = only(make_order(due=date(2026, 12, 3)), shop=shop)
    assert problem.label == "the transfer `quick` on Thu 2026-12-03 at the earliest"
    assert codes(make_order(due=date(2026, 12, 3), delivery=Delivery.PICK_UP), shop=shop) == []


@given(
    lead=st.integers(0, 15),
    blanks=st.integers(0, 15),
    transit=st.integers(0, 5),
    due=st.integers(0, 40),
    today=st.dates(date(2026, 1, 1), date(2026, 12, 31)),
)
def test_the_day_that_is_offered_can_be_kept(lead: int, blanks: int, transit: int, due: int, today: date) -> None:
    """Whoever writes the offered date is done: no second round."""
    shop = make_shop(
        transfers=(make_transfer(lead_days=lead),),
        garments=(make_garment(lead_days=blanks),),
        customers=(make_customer(transit_days=transit),),
    )
    order = make_order(due=today + timedelta(days=due))
    late = [problem for problem in ask(order, shop=shop, today=today) if problem.code == "E423"]
    for problem in late:
        offered = date.fromisoformat(problem.hint.split("`due: ")[1].rstrip("`"))
        assert offered > order.due
        assert codes(evolve(order, due=offered), shop=shop, today=today) == []
        before = [
            each.code for each in ask(evolve(order, due=offered - timedelta(days=1)), shop=shop, today=today)
        ]
        assert "E423" in before or "W422" in before


EXPIRES = Origin(file="customers/harbour-bakery.yaml", line=12, column=12, length=10)


@pytest.mark.parametrize(
    ("expires", "found"),
    [
        (MONDAY - timedelta(days=1), ["E424"]),
        (MONDAY, ["W424"]),
        (MONDAY + timedelta(days=10), ["W424"]),
        (MONDAY + timedelta(days=11), []),
    ],
)
def test_a_certificate_must_count_on_the_invoice(expires: date, found: list[str]) -> None:
    """The invoice bears today's date; the goods are in hands eleven days later."""
    exemption = Exemption(certificate="EX-7", expires=expires, reason="resale", marks={"expires": EXPIRES})
    shop = make_shop(customers=(make_customer(exemption=exemption),))
    problems = ask(make_order(), shop=shop)
    assert [problem.code for problem in problems] == found
    assert all(problem.origin == EXPIRES and problem.job == "H-101" for problem in problems)


def test_without_taxes_no_certificate_is_needed() -> None:
    """A shop that charges no tax exempts nobody."""
    exemption = Exemption(certificate="EX-7", expires=date(2020, 1, 1), reason="resale")
    shop = make_shop(tax=TaxRules(regime=TaxRegime.NONE), customers=(make_customer(exemption=exemption),))
    assert codes(make_order(), shop=shop) == []
