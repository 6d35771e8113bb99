"""E-invoices: valid by published schemas and rules, exact to the cent, as the paper says, the same every time."""

from decimal import Decimal
from fractions import Fraction
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.ledger.credits import credit_faults
from pipeline.model.account import CreditedLine, CreditRequest, Voucher
from pipeline.model.cost import Bill, BillBook, Charge, ChargeKind, LinePrice, Prepayment, PriceBasis, PriceBook
from pipeline.model.document import Document
from pipeline.model.money import Money
from pipeline.model.order import Delivery
from pipeline.model.run import RunKind
from pipeline.shop import Exemption, Shop
from plugins.documents.einvoice.attach import NAME
from plugins.documents.einvoice.terms import INVOICE, Invoiced, terms
from plugins.documents.einvoice.xml import ubl
from tests.builders import MONDAY, make_line, make_order
from tests.documents.small_shop import drawn, numbered_run, papers_of, words_of
from tests.documents.vat_shop import (
    LATER,
    LETTERS,
    billed,
    buyer,
    credit,
    deposit,
    faults_of_xml,
    invoice_item,
    papers,
    vat_shop,
)
from tests.referee_einvoice import Figures, faults_of_figures, figures_of
from tests.referee_money import faults_of_credit

SYNTAXES = ("ubl.xml", "cii.xml")
ALL = CreditRequest()


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Shop:
    return vat_shop(tmp_path)


def prices(unit: Fraction = Fraction(121_234, 100), *charges: Charge) -> PriceBook:
    """Six pieces at 12.1234, 3.63 off, 9.50 freight at its own rate."""
    given = charges or (charge("Discount 5 %", -363), charge("Freight", 950, "reduced"))
    line = LinePrice(job="H-101", line=0, unit_price=unit, basis=PriceBasis.PRICE_LIST)
    return PriceBook(lines=(line,), charges=given)


def charge(label: str, amount: int, tax: str = "") -> Charge:
    """A charge, or below zero a discount."""
    kind = ChargeKind.DISCOUNT if amount < 0 else ChargeKind.FREIGHT
    return Charge(job="H-101", kind=kind, label=label, amount=Money(amount), tax=tax)


def checked(documents: dict[str, Document]) -> Figures:
    """The figures of an e-invoice, after schemas, rules and referee found nothing; both syntaxes have the same."""
    found = []
    for name in SYNTAXES:
        xml = documents[name].content
        assert faults_of_xml(xml) == []
        found.append(figures_of(xml))
        assert faults_of_figures(found[-1]) == []
    assert evolve(found[0], taxes=()) == evolve(found[1], taxes=())
    assert {tax.category: tax.amount for tax in found[0].taxes} == {t.category: t.amount for t in found[1].taxes}
    return found[0]


def invoice(
    shop: Shop, customer: str = "harbour-bakery", prepaid: tuple[Prepayment, ...] = (), **order: object
) -> dict[str, Document]:
    """The documents of an invoice, as the documents stage makes them of a run."""
    made = make_order(
        customer=customer, customer_order="PO 7/7", lines=(make_line(prints=(drawn(shop),)),), **order
    )
    run = numbered_run(shop, [made])
    bill = billed(shop, prices(), prepaid, customer=customer)
    run = evolve(run, plan=evolve(run.plan, bills=BillBook(bills=(bill,), margins=run.plan.bills.margins)))
    stem = "orders/h-101/invoice-2026-0001."
    return {path.removeprefix(stem): item for path, item in papers_of(run).items() if path.startswith(stem)}


@pytest.mark.untraced
@pytest.mark.parametrize("rate", LETTERS)
def test_every_category_of_vat(shop: Shop, rate: str) -> None:
    """Invoice, deposit invoice and credit note to a customer of each category, with the reasons that belong there."""
    bill = billed(shop, prices(), customer=f"buyer-{rate}")
    made = (
        checked(invoice(shop, f"buyer-{rate}")),
        checked(papers(deposit(shop, bill), shop)),
        checked(papers(credit(shop, invoice_item(bill), ALL), shop)),
    )
    assert [{tax.category for tax in figures.taxes} for figures in made] == [{LETTERS[rate]}] * 3


def test_an_invoice_by_hand(shop: Shop) -> None:
    """6 x 12.1234 = 72.7404 -> 72.74; less 3.63 are 69.11. 69.11 x 19 % = 13.1309, 9.50 x 7 % = 0.665."""
    figures = checked(invoice(shop))
    assert [(line.quantity, line.price, line.net) for line in figures.lines] == [
        (6, Decimal("12.1234"), Decimal("72.74")),
        (1, Decimal("9.50"), Decimal("9.50")),
    ]
    assert [(tax.rate, tax.base, tax.amount) for tax in figures.taxes] == [
        (19, Decimal("69.11"), Decimal("13.13")),
        (7, Decimal("9.50"), Decimal("0.67")),
    ]
    assert figures.totals[115] == Decimal("92.41")


def test_paper_and_data_say_the_same(shop: Shop) -> None:
    """Numbers, days, parties and the account stand in both; the reason of a credit note, too."""
    made = invoice(shop)
    said, xml = words_of(made["pdf"].content), made["ubl.xml"].content.decode()
    for text in ("2026-0001", "PO 7/7", "NL000000000B00", "DE000000000", "Brackwater", "92.41"):
        assert text in said.replace("92,41", "92.41")
        assert text in xml
    assert "IBAN DE36 0000 0000 0000 0000 00" in said
    assert "<cbc:ID>DE36000000000000000000</cbc:ID>" in xml
    assert "<cbc:DueDate>2026-12-30</cbc:DueDate>" in xml
    assert "<cbc:ActualDeliveryDate>2026-12-11</cbc:ActualDeliveryDate>" in xml
    assert "<cbc:BuyerReference>PURCHASING &amp; 7</cbc:BuyerReference>" in xml


def test_a_credit_note_names_what_it_corrects(shop: Shop) -> None:
    """BT-3 381, BT-25 and BT-26, the reason as a note, and no account to pay into."""
    item = invoice_item(billed(shop, prices()))
    made = papers(credit(shop, item, CreditRequest(lines=(CreditedLine(number=1, pieces=2),))), shop)
    checked(made)
    xml = made["ubl.xml"].content.decode()
    assert "<cbc:CreditNoteTypeCode>381</cbc:CreditNoteTypeCode>" in xml
    assert "<cbc:ID>2026-0001</cbc:ID>\n      <cbc:IssueDate>2026-11-30</cbc:IssueDate>" in xml
    assert "<cbc:Note>Two were &lt;torn&gt; &amp; dirty</cbc:Note>" in xml
    assert f"<cbc:IssueDate>{LATER}</cbc:IssueDate>" in xml
    assert "PaymentMeans" not in xml


def test_an_invoice_takes_off_its_deposits(shop: Shop) -> None:
    """BT-113 and BT-115, and the deposit invoices as preceding ones; also when more was paid than is due."""
    paid = Prepayment(job="H-101", number="D2026-001", paid=MONDAY, amount=Money(4_620), tax=Money(689))
    made = invoice(shop, prepaid=(paid,))
    figures = checked(made)
    assert (figures.totals[113], figures.totals[115]) == (Decimal("46.20"), Decimal("46.21"))
    xml = made["ubl.xml"].content.decode()
    assert "<cbc:ID>D2026-001</cbc:ID>" in xml
    assert "<cbc:InvoiceTypeCode>380</cbc:InvoiceTypeCode>" in xml
    assert "tax in it</cbc:Note>" in xml
    assert checked(invoice(shop, prepaid=(evolve(paid, amount=Money(10_000)),))).totals[115] == Decimal("-7.59")


def test_a_deposit_invoice_is_a_prepayment(shop: Shop) -> None:
    """BT-3 386, payable at once, with its own tax; and it can be credited."""
    voucher = deposit(shop, billed(shop, prices()))
    made = papers(voucher, shop)
    checked(made)
    assert "<cbc:InvoiceTypeCode>386</cbc:InvoiceTypeCode>" in made["ubl.xml"].content.decode()
    checked(papers(credit(shop, invoice_item(voucher.bill, number="D2026-001"), ALL), shop))


def test_an_exemption_certificate(shop: Shop) -> None:
    """Exempt by the customer's own certificate: category E with its words, goods and freight in one breakdown."""
    paper = Exemption(certificate="EX-1", expires=LATER, reason="Charity")
    shop = evolve(shop, customers=(buyer(exemption=paper),))
    (tax,) = checked(invoice(shop)).taxes
    assert (tax.category, tax.base, tax.amount) == ("E", Decimal("78.61"), 0)
    assert tax.reason.startswith("Charity, certificate EX-1")


def test_where_goods_change_hands(shop: Shop) -> None:
    """BG-13: the customer's place for goods, or the shop for those that are fetched."""
    for how, place in ((Delivery.SHIP, "Pier 1"), (Delivery.PICK_UP, "9 Net Loft Lane")):
        xml = invoice(shop, delivery=how)["cii.xml"].content.decode()
        assert place in xml.split("<ram:ShipToTradeParty>")[1].split("</ram:ShipToTradeParty>")[0]


def test_a_price_without_few_decimals_is_told_for_all_pieces(shop: Shop) -> None:
    """A third of a cent cannot be written: 6 pieces at 12.12333... are 72.74 for six (BT-149)."""
    bill = billed(shop, prices(Fraction(3_637, 3)))
    line = checked(papers(credit(shop, invoice_item(bill), ALL), shop)).lines[0]
    assert (line.price, line.base_quantity, line.quantity) == (Decimal("72.74"), 6, 6)


def test_an_invoice_of_before_is_corrected_on_paper(shop: Shop) -> None:
    """Its taxes have no category yet, so nothing valid could be written."""
    bill = billed(shop, prices())
    old = evolve(bill, taxes=tuple(evolve(tax, category="") for tax in bill.taxes))
    assert set(papers(credit(shop, invoice_item(old), ALL), shop)) == {"pdf"}


def test_the_xml_lies_in_the_pdf(shop: Shop) -> None:
    """Attached as the alternative of the paper, and the same as the file beside it; the paper can still be read."""
    made = invoice(shop)
    with pikepdf.open(BytesIO(made["pdf"].content)) as pdf:
        assert pdf.attachments[NAME].get_file().read_bytes() == made["cii.xml"].content
        (file,) = pdf.Root.AF
        assert (file.AFRelationship, file.EF.F.Subtype) == (pikepdf.Name.Alternative, pikepdf.Name("/text/xml"))
        assert str(pdf.docinfo["/Title"]) == "Invoice 2026-0001"


@pytest.mark.untraced
def test_the_same_bytes_twice(shop: Shop) -> None:
    """No clock and no chance, neither in the XML nor in the PDF around it."""
    assert {name: item.content for name, item in invoice(shop).items()} == {
        name: item.content for name, item in invoice(shop).items()
    }


def test_quotes_and_other_shops_have_none(shop: Shop) -> None:
    """A quote is no invoice; without `einvoice` there are papers only."""
    lines = (make_line(prints=(drawn(shop),)),)
    quote = numbered_run(shop, [make_order(lines=lines)], kind=RunKind.QUOTE, label="quote-2026-W49")
    plain = evolve(shop, einvoice=None)
    for run in (quote, numbered_run(plain, [make_order(lines=lines)])):
        assert not [path for path in papers_of(run) if path.endswith(".xml")]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    unit=st.fractions(0, 9_999, max_denominator=10_000),
    amounts=st.lists(
        st.one_of(
            st.tuples(st.integers(-500, -1), st.just("")),
            st.tuples(st.integers(1, 2_000), st.sampled_from(["", "reduced", "zero"])),
        ),
        max_size=3,
    ),
    first=st.one_of(
        st.builds(lambda n: CreditRequest(lines=(CreditedLine(number=1, pieces=n),)), st.integers(1, 5)),
        st.builds(lambda amount: CreditRequest(amount=Money(amount)), st.integers(1, 200)),
    ),
)
def test_any_figures_are_exact(
    shop: Shop, unit: Fraction, amounts: list[tuple[int, str]], first: CreditRequest
) -> None:
    """Whatever the prices: invoice, deposit and credit notes are exact by the referee, and the notes close it."""
    book = prices(unit, *(charge(f"charge {n}", amount, tax) for n, (amount, tax) in enumerate(amounts)))
    bill = billed(shop, book if amounts else evolve(book, charges=()))
    if bill.net < 200:
        return
    item, notes = invoice_item(bill), list[Voucher]()
    for request in (first, ALL):
        note = credit(shop, evolve(item, credits=tuple(notes)), request)
        if note.bill.total > 0:  # the counter refuses the others: nothing would be given back
            before = [earlier.bill for earlier in notes]
            assert credit_faults(bill, before, note.bill) == ()
            assert faults_of_credit(bill, before, note.bill) == []
            notes.append(note)
    assert sum(note.bill.total for note in notes) == bill.total
    for made in (bill, deposit(shop, bill).bill, *(note.bill for note in notes)):
        assert faults_of_figures(figures_of(ubl(terms(invoiced(shop, made))))) == []


def test_a_closing_credit_note_rounds_apart_from_its_tax(shop: Shop) -> None:
    """By hand: 3 x 0.13 = 0.39, tax 0.0741 -> 0.07; of a piece 0.0247 -> 0.02; with the last comes the odd cent."""
    shop = evolve(shop, currency="GBP")
    bill = billed(
        shop, evolve(prices(Fraction(13)), charges=()), lines=(make_line({"M": 3}, prints=(drawn(shop),)),)
    )
    item, notes = invoice_item(bill), []
    for pieces in (1, 1, 1):
        request = CreditRequest(lines=(CreditedLine(number=1, pieces=pieces),))
        notes.append(credit(shop, evolve(item, credits=tuple(notes)), request))
    assert [(note.bill.tax, note.bill.rounding) for note in notes] == [(2, 0), (2, 0), (2, 1)]
    assert sum(note.bill.total for note in notes) == bill.total
    made = papers(notes[2], shop)
    assert checked(made).totals[114] == Decimal("0.01")
    assert "Rounding" in words_of(made["pdf"].content)
    assert 'PayableRoundingAmount currencyID="GBP"' in made["ubl.xml"].content.decode()


def invoiced(shop: Shop, bill: Bill) -> Invoiced:
    """What the XML is made of."""
    customer = shop.customer("harbour-bakery")
    return Invoiced(
        kind=INVOICE, number="1", issued=MONDAY, bill=bill, shop=shop, customer=customer, terms="On receipt"
    )
