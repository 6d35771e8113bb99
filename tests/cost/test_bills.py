"""Bills, tax and margins: worked out on paper, and against published figures.

Rounding of sales tax: Streamlined Sales and Use Tax Agreement, section 324, as adopted in R.I. Gen. Laws
44-18.1-25, N.D. Cent. Code 57-39.4-25 and K.S.A. 79-3676: to the third decimal, up to a whole cent where that
is greater than four, and the seller may compute on the item or on the invoice. The amounts are our own.

Value added tax: the UBL examples published with EN 16931 (`ubl/examples/`); each figure names its file.
"""

from datetime import date
from fractions import Fraction
from typing import Any

import pytest
from attrs import evolve

from pipeline.display import Display
from pipeline.model.cost import (
    Bill,
    BillLine,
    Charge,
    ChargeKind,
    LinePrice,
    MarginLevel,
    Prepayment,
    PriceBasis,
    PriceBook,
    TaxLine,
)
from pipeline.model.measure import Percent
from pipeline.model.money import Money
from pipeline.model.order import Blanks
from pipeline.shop import Exemption, Shop, TaxBasis, TaxRate, TaxRegime, TaxRules
from plugins.cost import bill_orders
from plugins.cost.bills import terms_of
from plugins.cost.tax import taxes_of
from tests.builders import MONDAY, make_customer, make_line, make_order, make_print, make_shop
from tests.cost.cases import make_week
from tests.referee_money import faults_of_bill, faults_of_costs, faults_of_margins, faults_of_shares


def rules(percent: str, basis: TaxBasis = TaxBasis.INVOICE, regime: TaxRegime = TaxRegime.SALES_TAX) -> TaxRules:
    """One rate for goods and freight, given in percent."""
    rate = TaxRate(name="goods", title=f"Tax {percent} %", percent=Percent(Fraction(percent) / 100))
    return TaxRules(regime=regime, rates=(rate,), goods="goods", freight="goods", basis=basis)


def line(net: str, number: int = 1, tax: str = "goods") -> BillLine:
    """A line of the bill of this net amount."""
    cents = Money(int(Fraction(net) * 100))
    return BillLine(
        number=number, line=None, description="", quantity=1, unit_price=Fraction(cents), net=cents, tax=tax
    )


def tax_on(nets: list[str], percent: str, basis: TaxBasis = TaxBasis.INVOICE) -> int:
    """The tax of one rate on these lines."""
    shop = make_shop(tax=rules(percent, basis))
    (tax,) = taxes_of([line(net) for net in nets], make_customer(), shop, MONDAY)
    return tax.amount


def bill_of(shop: Shop | None = None, **order: Any) -> Bill:
    """The bill of an order of six tees at $12.00."""
    return make_week(shop or make_shop(), (make_order(**order),)).bills().bill("H-101")


# --- against figures from elsewhere ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("net", "percent", "expected"), [("18.00", "8.25", 149), ("1.00", "6.5", 7), ("8.06", "6.25", 50)]
)
@pytest.mark.parametrize("basis", TaxBasis)
def test_the_third_decimal_rounds_up_above_four(net: str, percent: str, expected: int, basis: TaxBasis) -> None:
    """1.485 -> 1.49, 0.065 -> 0.07, 0.50375 -> 0.50: the rule of section 324 on either basis."""
    assert tax_on([net], percent, basis) == expected


def test_line_and_invoice_differ() -> None:
    """Seven lines of 3.33 at 7 %: 7 x 0.23 = 1.61 on the line, 23.31 x 7 % = 1.63 on the invoice."""
    assert tax_on(["3.33"] * 7, "7", TaxBasis.LINE) == 161
    assert tax_on(["3.33"] * 7, "7", TaxBasis.INVOICE) == 163


@pytest.mark.parametrize(("sign", "expected"), [("", 15_643_589), ("-", -15_643_589)])
def test_half_a_cent_goes_away_from_zero(sign: str, expected: int) -> None:
    """BIS3_Invoice_positive.XML: 625743.54 at 25 % is 156435.885, stated 156435.89; a credit mirrors it."""
    assert tax_on([f"{sign}625743.54"], "25") == expected


def test_several_rates_and_a_deposit() -> None:
    """ubl-tc434-example2.xml: bases 1460.50, 1.00, -25.00; VAT 365.28; 1801.78, less 1000.00 prepaid 801.78."""
    rates = (
        TaxRate(name="25", title="VAT 25 %", percent=Percent(Fraction(25, 100))),
        TaxRate(name="15", title="VAT 15 %", percent=Percent(Fraction(15, 100))),
        TaxRate(name="E", title="VAT 0 %", percent=Percent(Fraction(0)), reason="Exempt New Means of Transport"),
    )
    shop = make_shop(tax=TaxRules(regime=TaxRegime.VAT, rates=rates, goods="25", freight="25"))
    lines = [
        line("1273.00", 1, "25"),
        line("-3.96", 2, "15"),
        line("4.96", 3, "15"),
        line("-25.00", 4, "E"),
        line("187.50", 5, "25"),
        line("-100.00", 6, "25"),
        line("100.00", 7, "25"),
    ]
    taxes = taxes_of(lines, make_customer(), shop, MONDAY)
    assert [(tax.tax, tax.base, tax.amount) for tax in taxes] == [
        ("25", 146_050, 36_513),
        ("15", 100, 15),
        ("E", -2_500, 0),
    ]
    assert taxes[2].reason == "Exempt New Means of Transport"
    net, tax = sum(item.net for item in lines), sum(item.amount for item in taxes)
    assert (net, tax, net + tax) == (143_650, 36_528, 180_178)
    bill = evolve(bill_of(), total=Money(net + tax), deposit=Money(100_000))
    assert bill.balance == 80_178


def test_an_allowance_and_a_charge_on_the_whole_bill() -> None:
    """Peppol BIS Billing 3.0, `rules/examples/Allowance-example.xml`: 7125.00, less 1000.00 prepaid 6125.00.

    Lines of 4000.00 and 900.00 at 25 % and 1000.00 exempt; 200.00 charged and 200.00 allowed at 25 %.
    """
    rates = (
        TaxRate(name="S", title="VAT 25 %", percent=Percent(Fraction(25, 100))),
        TaxRate(name="E", title="VAT 0 %", percent=Percent(Fraction(0)), reason="Reason for tax exempt"),
    )
    shop = make_shop(tax=TaxRules(regime=TaxRegime.VAT, rates=rates, goods="S", freight="S"))
    order = make_order(lines=tuple(make_line({"M": 10}, prints=()) for _ in range(2)))
    week = make_week(shop, (order,))
    each = [
        LinePrice(job=order.job, line=at, unit_price=Fraction(price), basis=PriceBasis.AGREED_ORDER)
        for at, price in enumerate((40_000, 9_000))
    ]
    charges = [
        Charge(job=order.job, kind=ChargeKind.OTHER, label=label, amount=Money(amount), tax=tax)
        for label, amount, tax in (("Item 2", 100_000, "E"), ("Cleaning", 20_000, ""), ("Discount", -20_000, ""))
    ]
    prices = PriceBook(lines=tuple(each), charges=tuple(charges))
    own = Prepayment(job=order.job, number="D1", paid=MONDAY, amount=Money(100_000))
    prepaid = (evolve(own, job="H-999", amount=Money(5)), own)
    bill = bill_orders((order,), shop, week.costs(), prices, prepaid, MONDAY).bill(order.job)
    assert [(tax.base, tax.amount) for tax in bill.taxes] == [(490_000, 122_500), (100_000, 0)]
    assert (bill.net, bill.tax, bill.total) == (590_000, 122_500, 712_500)
    assert (bill.prepaid, bill.due) == ((own,), 612_500)
    assert evolve(bill, deposit=Money(100_000)).balance == 612_500


#: ubl-tc434-example8.xml: quantity, price, base quantity, stated net.
METERS = (
    (16_000, "0.00880", 1, "140.80"),
    (16_000, "0.00101", 1, "16.16"),
    (132, "15.24", 12, "167.64"),
    (58, "1.53", 1, "88.74"),
    (1, "441.00", 12, "36.75"),
    (1, "678.00", 12, "56.50"),
    (1, "83.34", 1, "83.34"),
    (1, "190.31", 1, "190.31"),
    (1, "64.21", 1, "64.21"),
    (1, "64.46", 1, "64.46"),
)


@pytest.mark.parametrize(("basis", "tax"), [(TaxBasis.INVOICE, 19_087), (TaxBasis.LINE, 19_088)])
def test_a_whole_bill_of_fine_unit_prices(basis: TaxBasis, tax: int) -> None:
    """ubl-tc434-example8.xml: nets as stated, 908.91 at 21 % is 190.87 as stated; per line it would be 190.88."""
    shop = make_shop(tax=rules("21", basis, TaxRegime.VAT))
    order = make_order(lines=tuple(make_line({"M": quantity}, prints=()) for quantity, *_ in METERS))
    prices = PriceBook(
        lines=tuple(
            LinePrice(
                job=order.job,
                line=at,
                unit_price=Fraction(price) * 100 / per,
                basis=PriceBasis.AGREED_ORDER,
            )
            for at, (_, price, per, _) in enumerate(METERS)
        )
    )
    costs = make_week(shop, (order,)).costs()
    bill = bill_orders((order,), shop, costs, prices, (), MONDAY).bill(order.job)
    assert [item.net for item in bill.lines] == [int(Fraction(net) * 100) for *_, net in METERS]
    assert (bill.net, bill.tax, bill.total) == (90_891, tax, 90_891 + tax)


def test_a_fine_price_times_a_round_quantity() -> None:
    """sample-discount-price.xml: 100 at 0.1212 are 12.12; 25 % are 3.03; 15.15 in all."""
    shop = make_shop(tax=rules("25", regime=TaxRegime.VAT))
    bill = bill_of(shop, lines=(make_line({"M": 100}, price=Fraction("12.12")),))
    assert (bill.net, bill.tax, bill.total) == (1_212, 303, 1_515)


def test_not_subject_to_tax() -> None:
    """ubl-tc434-example7.xml: 2500.00 and 700.00 outside VAT: 3200.00 and no tax."""
    shop = make_shop(tax=rules("25", regime=TaxRegime.NONE))
    bill = bill_of(
        shop, lines=(make_line({"M": 1}, price=Fraction(250_000)), make_line({"M": 1}, price=Fraction(70_000)))
    )
    assert (bill.net, bill.tax, bill.total, bill.taxes) == (320_000, 0, 320_000, ())


# --- on paper --------------------------------------------------------------------------------------------


def test_a_bill_says_what_was_ordered() -> None:
    """Garment, colour, sizes and places, so that the customer can check it without the packing list."""
    own = make_line({"S": 3}, colour="navy", blanks=Blanks.CUSTOMER, prints=())
    odd = make_line({"S": 1}, prints=(make_print(placement="left-sleeve"),))
    assert [item.description for item in bill_of(lines=(make_line(), own, odd)).lines] == [
        "Cotton tee, white; M 4, L 2; printed: Left chest",
        "Cotton tee, navy (your blanks); S 3",
        "Cotton tee, white; S 1; printed: left-sleeve",
    ]


def test_a_line_is_rounded_once() -> None:
    """Seven pieces at $1.0050 are $7.035, so $7.04; rounding the piece first would say $7.07."""
    assert bill_of(lines=(make_line({"M": 7}, price=Fraction("100.5")),)).lines[0].net == 704


def test_discount_comes_off_before_tax() -> None:
    """10 % off $72.00 leaves $64.80, and 5.5 % of that is $3.56."""
    bill = bill_of(discount=Percent(Fraction(1, 10)))
    assert (bill.net, bill.tax, bill.total) == (6_480, 356, 6_836)
    assert [item.number for item in bill.lines] == [1, 2]


@pytest.mark.parametrize("expires", [MONDAY, date(2027, 1, 1)])
def test_a_valid_certificate_means_no_tax_and_a_reason(expires: date) -> None:
    """On its last day a certificate still holds; certificate, date and reason stand on the bill."""
    exemption = Exemption(certificate="ME-77", expires=expires, reason="Resale")
    bill = bill_of(make_shop(customers=(make_customer(exemption=exemption),)))
    assert bill.taxes == (
        TaxLine(
            tax="goods",
            title="Sales tax 5.5 %, exempt",
            percent=Percent(Fraction(0)),
            base=Money(7_200),
            amount=Money(0),
            reason=f"Resale, certificate ME-77, valid until {Display().day(expires)}",
        ),
    )
    assert bill.total == bill.net == 7_200


def test_an_expired_certificate_does_not_help() -> None:
    """The day after, tax is due again."""
    exemption = Exemption(certificate="ME-77", expires=date(2026, 11, 29), reason="Resale")
    assert bill_of(make_shop(customers=(make_customer(exemption=exemption),))).tax == 396


def test_a_customer_with_a_rate_of_its_own() -> None:
    """All that it buys has that rate, freight too; the others' is the shop's."""
    abroad = TaxRate(name="abroad", title="VAT 0 %", percent=Percent(Fraction(0)), reason="Reverse charge")
    given = rules("19", regime=TaxRegime.VAT)
    shop = make_shop(
        tax=evolve(given, rates=(*given.rates, abroad)),
        customers=(make_customer(tax="abroad"), make_customer("sailing-school")),
        pricing=evolve(make_shop().pricing, freight_per_order=Money(950)),
    )
    week = make_week(shop, [make_order(), make_order("H-102", customer="sailing-school")])
    bills = week.bills()
    for order in week.orders:
        assert faults_of_bill(order, shop, week.prices(), bills.bill(order.job), MONDAY) == []
    # 6 x 12.00 and 9.50 freight: 81.50, at 19 % 15.485.
    assert [(bill.net, bill.tax, [tax.tax for tax in bill.taxes]) for bill in bills.bills] == [
        (8_150, 0, ["abroad"]),
        (8_150, 1_549, ["goods"]),
    ]


def test_freight_is_taxed_at_its_own_rate() -> None:
    """Goods at 5.5 %, freight not taxed, with the reason of the rate."""
    free = TaxRate(name="freight", title="Freight", percent=Percent(Fraction(0)), reason="Stated separately")
    shop = make_shop()
    shop = evolve(
        shop,
        tax=evolve(shop.tax, rates=(*shop.tax.rates, free), freight="freight"),
        pricing=evolve(shop.pricing, freight_per_order=Money(1_000)),
    )
    bill = bill_of(shop)
    assert [(tax.tax, tax.base, tax.amount, tax.reason) for tax in bill.taxes] == [
        ("goods", 7_200, 396, ""),
        ("freight", 1_000, 0, "Stated separately"),
    ]


def test_an_unknown_rate_of_a_plugin_is_an_error() -> None:
    """A charge with a misspelt rate must not go out untaxed."""
    week = make_week(make_shop(), (make_order(),))
    odd = Charge(job="H-101", kind=ChargeKind.OTHER, label="Proof", amount=Money(500), tax="godos")
    with pytest.raises(KeyError, match="godos"):
        bill_orders(week.orders, week.shop, week.costs(), week.prices().with_charges([odd]), (), MONDAY)


def test_the_deposit_is_a_share_of_the_total_and_the_rest_is_due_by_terms() -> None:
    """Half of $75.96 is $37.98; 15 days after 30 November is 15 December."""
    half = Percent(Fraction(1, 2))
    bill = bill_of(make_shop(customers=(make_customer(deposit=half, terms_days=15),)))
    assert (bill.total, bill.deposit, bill.balance) == (7_596, 3_798, 3_798)
    assert bill.pay_by == date(2026, 12, 15)


@pytest.mark.parametrize(
    ("days", "deposit", "expected"),
    [
        (30, "0", "Payable within 30 days of the invoice date, net"),
        (1, "0", "Payable within 1 day of the invoice date, net"),
        (0, "0", "Payable on receipt, net"),
        (15, "0.5", "50% deposit before work starts, the rest within 15 days of the invoice date, net"),
        (15, "0.125", "12.5% deposit before work starts, the rest within 15 days of the invoice date, net"),
        (0, "1", "100% deposit before work starts, the rest on receipt, net"),
    ],
)
def test_terms_in_words(days: int, deposit: str, expected: str) -> None:
    """The customer reads when to pay what."""
    assert terms_of(make_customer(terms_days=days, deposit=Percent(Fraction(deposit))), Display()) == expected


def test_margins_of_lines_orders_customers_and_the_batch() -> None:
    """A discount lowers its order's margin, not the line's; freight counts nowhere."""
    shop = make_shop()
    shop = evolve(shop, pricing=evolve(shop.pricing, freight_per_order=Money(1_000)))
    orders = (make_order("H-1", discount=Percent(Fraction(1, 10))), make_order("H-2"))
    week = make_week(shop, orders)
    book = week.bills()
    cost = week.costs().of_order("H-1")
    assert [(m.level, m.name, m.net, m.cost) for m in book.margins] == [
        (MarginLevel.LINE, "H-1/1", 7_200, cost),
        (MarginLevel.LINE, "H-2/1", 7_200, cost),
        (MarginLevel.ORDER, "H-1", 6_480, cost),
        (MarginLevel.ORDER, "H-2", 7_200, cost),
        (MarginLevel.CUSTOMER, "harbour-bakery", 13_680, 2 * cost),
        (MarginLevel.BATCH, "", 13_680, 2 * cost),
    ]
    assert book.margin(MarginLevel.LINE, "H-1/1").share == Fraction(7_200 - cost, 7_200)


def test_the_referees_see_what_is_wrong() -> None:
    """A referee that never objects proves nothing: one cent moved anywhere is told."""
    week = make_week(make_shop(), (make_order(), make_order("H-2")))
    costs, prices, book = week.costs(), week.prices(), week.bills()
    order, bill = week.orders[0], book.bills[0]
    dear = evolve(costs.shares[0], amount=Money(costs.shares[0].amount + 1))
    wrong = evolve(costs, shares=(dear, *costs.shares[1:]))
    assert faults_of_shares(week.orders, week.shop, week.prints, week.sheets, wrong)
    assert faults_of_costs(week.orders, week.shop, week.packing, week.tasks, wrong)
    assert faults_of_margins(week.orders, costs, prices, evolve(book, margins=book.margins[1:]))
    taxed = evolve(bill.taxes[0], amount=Money(bill.tax + 1))
    for change in (
        {"total": Money(bill.total + 1)},
        {"tax": Money(bill.tax + 1), "total": Money(bill.total + 1), "taxes": (taxed,)},
        {"deposit": Money(1)},
        {"pay_by": MONDAY},
        {"lines": bill.lines[1:]},
    ):
        assert faults_of_bill(order, week.shop, prices, evolve(bill, **change), MONDAY), change
    assert faults_of_bill(order, week.shop, prices, bill, MONDAY) == []
