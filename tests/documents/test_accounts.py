"""Credit notes, deposit invoices and statements: every figure on paper, each customer's own, none of another's."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from attrs import evolve

from pipeline.model.account import (
    AccountItem,
    Correction,
    CreditedLine,
    CreditRequest,
    Payment,
    Statement,
    Voucher,
    VoucherKind,
)
from pipeline.model.account import statements as statements_of
from pipeline.model.cost import Bill, Prepayment
from pipeline.model.money import Money
from pipeline.model.run import RunKind
from pipeline.shop import Shop
from plugins.cost import bill_credit, bill_deposit
from plugins.documents import make_statements, make_vouchers
from tests.builders import MONDAY, make_customer, make_line, make_order
from tests.documents.small_shop import changed_bill, drawn, numbered_run, papers_of, shop_on_disk, words_of
from tests.plans import make_bill

WHEN = MONDAY + timedelta(days=8)


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Shop:
    return shop_on_disk(tmp_path, payment="By transfer to 00 000 000")


def invoiced(shop: Shop, job: str = "H-101", number: str = "2026-0001", **changes: object) -> AccountItem:
    """An invoice of six tees at 12.00, 5.5 % tax: 75.96."""
    bill = make_bill(make_order(job, **changes), shop)
    return AccountItem(kind=VoucherKind.INVOICE, number=number, issued=MONDAY, bill=bill)


def credit_note(shop: Shop, item: AccountItem, pieces: int = 2) -> Voucher:
    """A credit note on some pieces of it."""
    request = CreditRequest(lines=(CreditedLine(number=1, pieces=pieces),))
    return Voucher(
        kind=VoucherKind.CREDIT,
        number="C2026-001",
        issued=WHEN,
        bill=bill_credit(item.bill, (), request, shop),
        customer_order="PO 7/7",
        corrects=Correction(number=item.number, issued=item.issued, reason="Two were <torn> & dirty"),
    )


def words(vouchers: tuple[Voucher, ...], shop: Shop) -> list[str]:
    """The text of each voucher's paper."""
    return [words_of(document.content) for document in make_vouchers(vouchers, shop)]


def test_a_credit_note_names_its_invoice(shop: Shop) -> None:
    """Number and day of the invoice (EN 16931, BT-25 and BT-26), the reason, and what comes back with its tax."""
    (document,) = make_vouchers((credit_note(shop, invoiced(shop)),), shop)
    assert (document.path, document.job) == ("credit-note-c2026-001.pdf", "H-101")
    said = words_of(document.content)
    # 2 x 12.00 = 24.00; 5.5 % = 1.32.
    for figure in (
        "Credit note C2026-001", "the amount is in your favour", "Date of issue Tue 8 Dec 2026",
        "Corrects invoice 2026-0001 of Mon 30 Nov 2026", "Our job H-101", "Your order PO 7/7",
        "Reason Two were <torn> & dirty", "2 of 6: tee white 2 $12.00 $24.00", "Net $24.00", "5.5% on $24.00 $1.32",
        "Total USD $25.32", "Gullhaven Press Works", "Harbour Bakery",
    ):  # fmt: skip
        assert figure in said, figure
    assert "How to pay" not in said


def test_a_deposit_invoice_is_paid_before_work(shop: Shop) -> None:
    """What is asked, for which job, and that the order's own invoice takes it off."""
    bill = evolve(make_bill(make_order(), shop), deposit=Money(3_798))
    deposit = Voucher(
        kind=VoucherKind.DEPOSIT, number="D2026-001", issued=MONDAY, bill=bill_deposit(bill, shop, MONDAY)
    )
    (said,) = words((deposit,), shop)
    for figure in (
        "Deposit invoice D2026-001", "before work starts", "On account of job H-101, estimated at $75.96",
        "Total USD $37.98", "Tax is charged on the order's own invoice", "Please state D2026-001",
    ):  # fmt: skip
        assert figure in said, figure


def test_an_invoice_takes_off_what_was_paid(shop: Shop) -> None:
    """The deposit invoice with day and amount, and what is left (BT-113 and BT-115)."""
    run = numbered_run(shop, [make_order(lines=(make_line(prints=(drawn(shop),)),))])
    paid = Prepayment(job="H-101", number="D2026-001", paid=MONDAY, amount=Money(3_798), tax=Money(198))
    run = changed_bill(run, "H-101", prepaid=(paid,), deposit=Money(3_798))
    said = words_of(papers_of(run)["orders/h-101/invoice-2026-0001.pdf"].content)
    assert "Paid on account, D2026-001 Mon 30 Nov 2026, $1.98 tax in it -$37.98" in said
    assert "Balance by Wed 30 Dec 2026 $37.98" in said
    assert "due before work starts" not in said
    over = changed_bill(run, "H-101", prepaid=(evolve(paid, amount=Money(8_000)),))
    assert "To be paid back $4.04" in words_of(papers_of(over)["orders/h-101/invoice-2026-0001.pdf"].content)


def test_a_quote_says_until_when_it_is_good(shop: Shop) -> None:
    """An offer without an end could be taken up when prices have long changed."""
    shop = evolve(shop, pricing=evolve(shop.pricing, quote_days=14))
    run = numbered_run(
        shop, [make_order(lines=(make_line(prints=(drawn(shop),)),))], kind=RunKind.QUOTE, label="quote-2026-W49"
    )
    assert "Valid until Mon 14 Dec 2026" in words_of(papers_of(run)["orders/h-101/quote.pdf"].content)


def account(shop: Shop) -> tuple[AccountItem, ...]:
    """Two customers' items: one overdue and credited in part, one paid in part, one settled, one of the other's."""
    first = invoiced(shop)
    first = evolve(first, bill=evolve(first.bill, pay_by=MONDAY - timedelta(days=31)))
    first = evolve(first, credits=(credit_note(shop, first),))
    second = invoiced(shop, "H-102", "2026-0002")
    second = evolve(second, payments=(Payment(paid=MONDAY, amount=Money(2_000)),))
    settled = invoiced(shop, "H-103", "2026-0003")
    settled = evolve(settled, payments=(Payment(paid=WHEN, amount=Money(7_596)),))
    other = invoiced(shop, "S-900", "2026-0004", customer="sailing-school")
    return first, second, settled, other


def test_a_statement_adds_up_by_age(shop: Shop) -> None:
    """75.96 - 25.32 is 39 days overdue; 75.96 - 20.00 is not yet due; what is settled is left out."""
    bakery, school = statements_of(account(shop), WHEN)
    assert (bakery.customer, [item.number for item in bakery.items]) == (
        "harbour-bakery",
        ["2026-0001", "2026-0002"],
    )
    assert bakery.ageing == (5_596, 0, 5_064, 0, 0)
    assert sum(bakery.ageing) == bakery.total == 10_660
    (said, _) = (words_of(document.content) for document in make_statements((bakery, school), shop))
    for figure in (
        "What is open at the end of Tue 8 Dec 2026", "Invoice 2026-0001 H-101", "39 days overdue",
        "$75.96 $25.32 $50.64", "Credit note C2026-001 of Tue 8 Dec 2026 $25.32", "$75.96 $20.00 $55.96",
        "Paid on Mon 30 Nov 2026 $20.00",
        "Not yet due 1 to 30 days 31 to 60 days 61 to 90 days Over 90 days Total USD",
        "$55.96 $0.00 $50.64 $0.00 $0.00 $106.60",
    ):  # fmt: skip
        assert figure in said, figure


def test_a_statement_of_an_earlier_day(shop: Shop) -> None:
    """Asked again later for the same day it says the same: what came in afterwards is not in it."""
    bakery, _ = statements_of(account(shop), MONDAY)
    assert [(item.number, item.open) for item in bakery.items] == [
        ("2026-0001", 7_596),
        ("2026-0002", 5_596),
        ("2026-0003", 7_596),
    ]
    assert list(statements_of(account(shop), MONDAY - timedelta(days=1))) == []


def test_a_statement_in_the_customers_favour(shop: Shop) -> None:
    """What was paid before it was credited is owed to the customer; nobody is asked to pay then."""
    item = invoiced(shop)
    paid = Payment(paid=MONDAY, amount=item.bill.total)
    made = tuple(statements_of((evolve(item, credits=(credit_note(shop, item),), payments=(paid,)),), WHEN))
    (said,) = (words_of(document.content) for document in make_statements(made, shop))
    # The credit note is of 25.32, tax with it.
    assert "$25.32 is in your favour" in said
    assert shop.payment not in said


@pytest.mark.parametrize(
    ("days", "column"), [(-1, 0), (0, 0), (1, 1), (30, 1), (31, 2), (60, 2), (90, 3), (91, 4)]
)
def test_the_columns_of_ages(days: int, column: int, shop: Shop) -> None:
    """Day by day at the edges (the columns are common practice, no source)."""
    item = invoiced(shop)
    statement = Statement(customer="x", as_of=item.bill.pay_by + timedelta(days=days), items=(item,))
    assert [bool(amount) for amount in statement.ageing].index(True) == column


def test_nobody_reads_of_another(shop: Shop) -> None:
    """Each paper holds its own customer's name, jobs and numbers, and none of the other's."""
    items = account(shop)
    notes = (credit_note(shop, items[0]), evolve(credit_note(shop, items[3]), number="C2026-002"))
    own = {
        "harbour-bakery": ("Harbour Bakery", "H-101", "2026-0001"),
        "sailing-school": ("Sailing School", "S-900", "2026-0004"),
    }
    papers = [(v.bill.customer, said) for v, said in zip(notes, words(notes, shop), strict=True)]
    made = tuple(statements_of(items, WHEN))
    for statement, document in zip(made, make_statements(made, shop), strict=True):
        papers.append((statement.customer, words_of(document.content)))
    for customer, said in papers:
        for name, marks in own.items():
            assert all((mark in said) == (name == customer) for mark in marks), (customer, name)


def test_in_the_customers_language_and_the_same_twice(shop: Shop) -> None:
    """A customer's papers are in the customer's language; made again, they are the same bytes."""
    german = evolve(shop, customers=(make_customer(language="de"), *shop.customers[1:]))
    note = credit_note(shop, invoiced(shop))
    first, second = (tuple(make_vouchers((note,), german)) for _ in range(2))
    assert first == second
    assert "24,00" in words_of(first[0].content)


def test_a_long_note_goes_over_pages(shop: Shop) -> None:
    """Sixty lines: the header row comes again, and the totals stay together."""
    item = invoiced(shop)
    (line,) = item.bill.lines
    lines = tuple(evolve(line, number=n, description=f"Tee {n}") for n in range(1, 61))
    net = Money(60 * line.net)
    tax = evolve(item.bill.taxes[0], base=net, amount=Money(60 * item.bill.tax))
    bill: Bill = evolve(
        item.bill, lines=lines, net=net, taxes=(tax,), tax=tax.amount, total=Money(net + tax.amount)
    )
    note = evolve(credit_note(shop, item), bill=bill, issued=date(2026, 12, 9))
    (said,) = words((note,), shop)
    assert said.count("No. What Pieces") >= 2
    assert "Tee 60" in said
