"""What a customer gets: every figure of the bill and of the cartons stands on paper, and no more than that."""

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from attrs import evolve

from pipeline.model.cost import BillLine, TaxLine
from pipeline.model.measure import Percent
from pipeline.model.money import Money
from pipeline.model.order import Blanks, Delivery, Order
from pipeline.model.packing import Carton, PackedPieces, PackingPlan
from pipeline.model.run import Run, RunKind
from pipeline.shop import Address, Shop
from plugins.documents import customer, shipping
from tests.builders import make_customer, make_line, make_order
from tests.documents.small_shop import changed_bill, drawn, numbered_run, papers_of, shop_on_disk, words_of

PACKING = "orders/h-101/packing-list.pdf"
INVOICE = "orders/h-101/invoice-2026-0001.pdf"


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Shop:
    return shop_on_disk(tmp_path, payment="By transfer to 00 000 000")


def order_of(shop: Shop, **changes: object) -> Order:
    """Two lines: tees of ours in two sizes, and one tee of the customer's own."""
    prints = (drawn(shop),)
    ours = make_line({"M": 40, "L": 7}, prints=prints, price=Fraction(12_125, 10))
    own = make_line({"XL": 1}, prints=prints, blanks=Blanks.CUSTOMER, colour="navy", price=Fraction(800))
    given = {"lines": (ours, own), "customer_order": "PO 7/7", "notes": "Ring <twice> & wait", **changes}
    return make_order("H-101", **given)


def paper(run: Run, path: str) -> str:
    """The words of one paper."""
    return words_of(papers_of(run, customer, shipping)[path].content)


def test_an_invoice_shows_what_its_bill_holds(shop: Shop) -> None:
    """What EN 16931 asks of an invoice's content: number, days, parties, order, lines, tax by rate, totals, terms."""
    run = numbered_run(shop, [order_of(shop)])
    said = paper(run, INVOICE)
    # By hand: 47 x 12.125 = 569.875, half up 569.88; 1 x 8.00; 577.88 x 5.5 % = 31.7834.
    for figure in (
        "Invoice 2026-0001", "Date of issue Mon 30 Nov 2026", "Our job H-101", "Your order PO 7/7",
        "Delivery by Fri 11 Dec 2026", "Terms 30 days net", "Pay by Wed 30 Dec 2026",
        "Gullhaven Press Works 9 Net Loft Lane Gullhaven, ME 00000", "Harbour Bakery 1 Quay Street",
        "47 $12.125 $569.88", "1 $8.00 $8.00", "Net $577.88", "5.5% on $577.88 $31.78", "Total USD $609.66",
        "By transfer to 00 000 000", "Please state 2026-0001",
    ):  # fmt: skip
        assert figure in said
    assert "Deposit" not in said
    assert "in (" not in said, "a bill needs no measures"


def test_a_deposit_and_a_reason_stand_on_the_invoice_once(shop: Shop) -> None:
    """Who pays no tax must see why, and once; who paid a deposit must see what is left."""
    reason = "Resale, certificate R-1, valid until 2027-01-31"
    free = TaxLine(tax="goods", title="Sales tax", percent=Percent(Fraction(0)), base=Money(57_788), amount=Money(0),
                   reason=reason)  # fmt: skip
    run = numbered_run(shop, [order_of(shop)])
    bill = run.plan.bills.bill("H-101")
    run = changed_bill(run, "H-101", taxes=(free,), tax=Money(0), total=bill.net, deposit=Money(28_894))
    said = paper(run, INVOICE)
    assert said.count("R-1") == 1
    assert "0% on" not in said
    for figure in ("on $577.88 $0.00", "Deposit, due before work starts $288.94",
                   "Balance by Wed 30 Dec 2026 $288.94"):  # fmt: skip
        assert figure in said


def test_a_charge_has_no_pieces_and_a_discount_its_sign(shop: Shop) -> None:
    """`1 x -5.00` would read as a piece sold; a discount without its sign would be asked for."""
    run = numbered_run(shop, [order_of(shop)])
    bill = run.plan.bills.bill("H-101")
    off = BillLine(number=3, line=None, description="Discount", quantity=1, unit_price=Fraction(-500),
                   net=Money(-500), tax="goods")  # fmt: skip
    said = paper(changed_bill(run, "H-101", lines=(*bill.lines, off)), INVOICE)
    assert "3 Discount -$5.00" in said


def test_a_quote_asks_for_nothing(shop: Shop) -> None:
    """An offer that could be taken for an invoice might be paid, or booked. It shows how large the prints are."""
    run = numbered_run(shop, [order_of(shop)], kind=RunKind.QUOTE, label="quote-2026-W49")
    found = papers_of(run)
    said = words_of(found["orders/h-101/quote.pdf"].content)
    assert "This is an offer, not an invoice" in said
    assert "Left chest, 3 × 3 in (76 × 76 mm)" in said
    assert "$609.66" in said
    for word in ("Invoice", "Pay by", "How to pay", "By transfer", "Thank you for your order"):
        assert word not in said
    assert not any("invoice" in path for path in found)
    assert "Quote for 2026-W49" in found["index.html"].content.decode()


def test_a_packing_list_counts_every_carton(shop: Shop) -> None:
    """Pieces by size, carton by carton, with a box to tick for each line; 1 lb = 453.59237 g (NIST HB 44, exact)."""
    run = numbered_run(shop, [order_of(shop)])
    cartons = (
        Carton(job="H-101", number=1, contents=(PackedPieces(line=0, size="M", count=40),), weight=4_218),
        Carton(job="H-101", number=2, weight=1_361,
               contents=(PackedPieces(line=0, size="L", count=7), PackedPieces(line=1, size="XL", count=1))),
    )  # fmt: skip
    run = evolve(run, plan=evolve(run.plan, packing=PackingPlan(cartons=cartons)))
    said = paper(run, PACKING)
    for figure in (
        "H-101 · your order PO 7/7", "Ship to Harbour Bakery 1 Quay Street", "In hands by Fri 11 Dec 2026",
        "48 pieces · 2 cartons", "M: 40, L: 7 47", "your own garments", "All pieces 48",
        # 4218 / 453.59237 = 9.2991; 1361 / 453.59237 = 3.0005
        "Carton 1 of 2 · 40 pieces · about 9.3 lb (4.2 kg)", "Carton 2 of 2 · 8 pieces · about 3 lb (1.4 kg)",
        "Ring <twice> & wait",
    ):  # fmt: skip
        assert figure in said
    assert said.count("\N{BALLOT BOX}") == 3, "a box for each line"
    assert "$" not in said, "whoever unpacks need not know the price"
    more = tuple(evolve(cartons[1], number=number) for number in (3, 4))
    many = paper(evolve(run, plan=evolve(run.plan, packing=PackingPlan(cartons=cartons + more))), PACKING)
    assert many.count("\N{BALLOT BOX}") == 7 + 4, "of many cartons a list comes first, with a box for each"


def test_goods_to_be_fetched_are_not_addressed(shop: Shop) -> None:
    """Somebody would otherwise hand the cartons to a carrier."""
    run = numbered_run(shop, [order_of(shop, delivery=Delivery.PICK_UP)])
    assert "To be picked up by Harbour Bakery" in paper(run, PACKING)
    assert "Pick-up by Fri 11 Dec 2026" in paper(run, INVOICE)


def test_only_an_address_abroad_shows_its_country(shop: Shop) -> None:
    """A domestic letter goes without (USPS Publication 28); one from abroad does not arrive without."""
    abroad = Address(lines=("Kai 1",), city="Nordhavn", postcode="0001", country="NO")
    foreign = evolve(shop, customers=(make_customer(address=abroad),))
    assert "United States" not in paper(numbered_run(shop, [order_of(shop)]), INVOICE)
    said = paper(numbered_run(foreign, [order_of(shop)]), INVOICE)
    assert "0001 Nordhavn Norway" in said
    assert "Gullhaven, ME 00000 United States" in said


def test_a_shops_template_changes_one_block(shop: Shop) -> None:
    """A shop that wants another word at the end keeps all the rest as it comes."""
    (shop.root / "templates").mkdir()
    (shop.root / "templates" / "invoice.xml.j2").write_text(
        '{% extends "default/invoice.xml.j2" %}{% block thanks %}<p>Fair winds.</p>{% endblock %}', "utf-8"
    )
    said = paper(numbered_run(shop, [order_of(shop)]), INVOICE)
    assert "Fair winds." in said
    assert "Thank you" not in said
    assert "Total USD $609.66" in said


@pytest.mark.untraced
def test_the_same_run_gives_the_same_bytes(shop: Shop) -> None:
    """A retry after a crash, and a second run, must write what was recorded."""
    run = numbered_run(shop, [order_of(shop)])
    first, second = (papers_of(run) for _ in range(2))
    assert first == second
    later = papers_of(evolve(run, date=date(2026, 12, 1)))
    assert later[INVOICE].content != first[INVOICE].content
