"""The referee against published examples, and what the shop's own stages make of their lines: to the cent the same.

What the referee cannot be seen to find is not judged: each figure is made wrong by a cent in turn.
"""

from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from attrs import evolve

from pipeline.model.cost import Charge, ChargeKind, LinePrice, PriceBasis, PriceBook
from pipeline.model.measure import Percent
from pipeline.model.money import Money
from pipeline.shop import Shop, TaxRate, VatCategory
from plugins.documents.einvoice.terms import INVOICE, Invoiced, terms
from plugins.documents.einvoice.xml import cii, ubl
from tests.builders import MONDAY, make_line
from tests.documents.en16931_examples import EXAMPLES
from tests.documents.vat_shop import billed, buyer, vat_shop
from tests.referee_einvoice import Figures, faults_of_figures, figures_of

CENT = Decimal("0.01")
_CATEGORIES = {"S": VatCategory.STANDARD, "E": VatCategory.EXEMPT, "O": VatCategory.OUTSIDE}


@pytest.mark.parametrize("name", EXAMPLES)
def test_published_examples_add_up(name: str) -> None:
    """All but one line: its net amount is that of one laptop where two are sold, as printed."""
    odd = {"ubl-tc434-example2": ["BT-131 of line 1 is 1273.00, should be 2546.00"]}
    assert faults_of_figures(EXAMPLES[name]) == odd.get(name, [])


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_figure_can_be_a_cent_off(name: str) -> None:
    """Each total, line, base and tax in turn."""
    good = EXAMPLES[name]
    known = len(faults_of_figures(good))
    for term, amount in good.totals.items():
        wrong = evolve(good, totals={**good.totals, term: amount + CENT})
        assert len(faults_of_figures(wrong)) > known, term
    for at, line in enumerate(good.lines):
        lines = (*good.lines[:at], evolve(line, net=line.net + CENT), *good.lines[at + 1 :])
        assert faults_of_figures(evolve(good, lines=lines)) != faults_of_figures(good)
    for at, tax in enumerate(good.taxes):
        for field in ("base", "amount"):
            other = evolve(tax, **{field: getattr(tax, field) + CENT})
            taxes = (*good.taxes[:at], other, *good.taxes[at + 1 :])
            assert len(faults_of_figures(evolve(good, taxes=taxes))) > known


@pytest.mark.parametrize("name", ["BIS3_Invoice_positive", "sample-discount-price", "ubl-tc434-creditnote1"])
def test_the_stages_come_to_the_published_figures(tmp_path: Path, name: str) -> None:
    """An order of the example's one line, billed and written in both syntaxes."""
    want = EXAMPLES[name]
    (line,) = want.lines
    shop = taxed(vat_shop(tmp_path), want)
    price = LinePrice(job="H-101", line=0, unit_price=Fraction(line.price) * 100, basis=PriceBasis.AGREED_ORDER)
    got = written(shop, PriceBook(lines=(price,)), int(line.quantity))
    for figures in got:
        assert figures.totals == want.totals
        assert [(tax.category, tax.base, tax.amount) for tax in figures.taxes] == [
            (tax.category, tax.base, tax.amount) for tax in want.taxes
        ]


def test_the_tax_of_many_lines_is_that_of_their_sum(tmp_path: Path) -> None:
    """ubl-tc434-example8: ten lines come to 190.87; rounded by line it would be a cent more."""
    want = EXAMPLES["ubl-tc434-example8"]
    first, *others = want.lines
    charges = tuple(
        Charge(job="H-101", kind=ChargeKind.OTHER, label=f"line {at}", amount=Money(int(line.net * 100)))
        for at, line in enumerate(others, 2)
    )
    price = LinePrice(job="H-101", line=0, unit_price=Fraction(first.price) * 100, basis=PriceBasis.AGREED_ORDER)
    got = written(
        taxed(vat_shop(tmp_path), want), PriceBook(lines=(price,), charges=charges), int(first.quantity)
    )
    for figures in got:
        assert faults_of_figures(figures) == []
        assert figures.totals == want.totals


def taxed(shop: Shop, example: Figures) -> Shop:
    """The shop with the example's one rate for everything."""
    (tax,) = example.taxes
    rate = TaxRate(
        name="own",
        title="VAT",
        percent=Percent(Fraction(tax.rate or 0) / 100),
        reason=tax.reason,
        category=_CATEGORIES[tax.category],
    )
    return evolve(
        shop, tax=evolve(shop.tax, rates=(rate,), goods="own", freight="own"), customers=(buyer(ship_to=None),)
    )


def written(shop: Shop, prices: PriceBook, quantity: int) -> tuple[Figures, Figures]:
    """The figures of an order's invoice in both syntaxes."""
    bill = billed(shop, prices, lines=(make_line({"M": quantity}),))
    made = Invoiced(
        kind=INVOICE, number="1", issued=MONDAY, bill=bill, shop=shop, customer=shop.customers[0], terms="Now"
    )
    return figures_of(ubl(terms(made))), figures_of(cii(terms(made)))
