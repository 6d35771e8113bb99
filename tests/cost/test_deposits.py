"""Deposits: the customer's share of the total, with tax only where tax is due with the payment."""

from fractions import Fraction

from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from pipeline.model.money import Money, rounded
from pipeline.shop import TaxRegime
from plugins.cost import bill_deposit
from tests.builders import MONDAY, make_shop
from tests.cost.test_credits import invoice, line
from tests.referee_money import faults_of_deposit


def test_with_sales_tax_a_deposit_has_no_tax() -> None:
    """Half of 126.60 is asked on account; the sale is taxed when it is made (common practice, no source)."""
    bill = evolve(invoice([line(1, 10, Fraction(1_200))], percent=Fraction(55, 1000)), deposit=Money(6_330))
    deposit = bill_deposit(bill, make_shop(), MONDAY)
    assert (deposit.net, deposit.tax, deposit.total, deposit.taxes) == (6_330, 0, 6_330, ())
    assert deposit.lines[0].description == "On account of job H-101, estimated at $126.60"
    assert (deposit.pay_by, deposit.deposit) == (MONDAY, 0)


@given(
    nets=st.lists(
        st.tuples(st.integers(1, 50_000), st.sampled_from(["goods", "freight"])), min_size=1, max_size=3
    ),
    percent=st.sampled_from([Fraction(0), Fraction(7, 100), Fraction(19, 100), Fraction(25, 100)]),
    share=st.fractions(Fraction(1, 20), 1, max_denominator=20),
)
def test_with_vat_it_says_how_much_is_tax(
    nets: list[tuple[int, str]], percent: Fraction, share: Fraction
) -> None:
    """Tax is due when money comes in (2006/112/EC, article 65): each rate's part with the tax of its net amount."""
    lines = [line(n, 1, Fraction(net), tax) for n, (net, tax) in enumerate(nets, 1)]
    bill = invoice(lines, percent=percent)
    bill = evolve(bill, deposit=rounded(bill.total * share))
    shop = make_shop()
    shop = evolve(shop, tax=evolve(shop.tax, regime=TaxRegime.VAT))
    assert faults_of_deposit(bill, shop, bill_deposit(bill, shop, MONDAY)) == []
