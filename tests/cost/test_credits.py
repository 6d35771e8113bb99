"""Credit notes: any number of them, of whatever kind, comes to the invoice at the most, and closes it to the cent."""

from fractions import Fraction

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from pipeline.ledger.credits import credit_faults, pieces_of
from pipeline.model.account import CreditedLine, CreditRequest
from pipeline.model.cost import Bill, BillLine, TaxLine
from pipeline.model.measure import Percent
from pipeline.model.money import Money, rounded
from pipeline.shop import Shop, TaxBasis
from plugins.cost import bill_credit
from tests.builders import MONDAY, make_shop
from tests.referee_money import faults_of_credit

ALL = CreditRequest()


def shop_by(basis: TaxBasis = TaxBasis.INVOICE) -> Shop:
    """A shop that rounds tax per line or per invoice."""
    shop = make_shop()
    return evolve(shop, tax=evolve(shop.tax, basis=basis))


def line(number: int, quantity: int, price: Fraction, tax: str = "goods", at: int | None = 0) -> BillLine:
    """A line of an invoice; a charge with `at` None."""
    return BillLine(
        number=number,
        line=at,
        description=f"line {number}",
        quantity=quantity,
        unit_price=price,
        net=rounded(quantity * price),
        tax=tax,
    )


def invoice(
    lines: list[BillLine], basis: TaxBasis = TaxBasis.INVOICE, percent: Fraction = Fraction(19, 100)
) -> Bill:
    """An invoice of these lines, its tax rounded as the shop does."""
    taxes = []
    for name in dict.fromkeys(item.tax for item in lines):
        nets = [item.net for item in lines if item.tax == name]
        share = percent if name == "goods" else percent / 2
        by_line = sum(rounded(net * share) for net in nets)
        amount = by_line if basis is TaxBasis.LINE else rounded(sum(nets) * share)
        taxes.append(
            TaxLine(tax=name, title=name, percent=Percent(share), base=Money(sum(nets)), amount=Money(amount))
        )
    net, tax = Money(sum(item.net for item in lines)), Money(sum(item.amount for item in taxes))
    return Bill(
        job="H-101",
        customer="harbour-bakery",
        lines=tuple(lines),
        taxes=tuple(taxes),
        net=net,
        tax=tax,
        total=Money(net + tax),
        deposit=Money(0),
        pay_by=MONDAY,
        terms="",
    )


def credited(bill: Bill, request: CreditRequest, *earlier: Bill, basis: TaxBasis = TaxBasis.INVOICE) -> Bill:
    """A credit note, held against both the referee's rules and the ledger's own."""
    note = bill_credit(bill, earlier, request, shop_by(basis))
    assert faults_of_credit(bill, earlier, note) == []
    assert credit_faults(bill, earlier, note) == ()
    return note


def of(number: int, pieces: int | None = None) -> CreditRequest:
    """Some of one line."""
    return CreditRequest(lines=(CreditedLine(number=number, pieces=pieces),))


def test_a_whole_invoice_is_taken_back_as_it_stands() -> None:
    """Freight, discounts and tax with it: nothing of it stays."""
    off, freight = line(2, 1, Fraction(-300), at=None), line(3, 1, Fraction(950), "freight", None)
    bill = invoice([line(1, 7, Fraction(1_212)), off, freight])
    note = credited(bill, ALL)
    assert (note.net, note.tax, note.total) == (bill.net, bill.tax, bill.total)
    assert note.prepaid == ()


def test_a_published_credit_note() -> None:
    """EN 16931, UBL example ubl-tc434-creditnote1.xml: 100.11 exempt, with the reason; amounts are above zero."""
    exempt = TaxLine(
        tax="goods",
        title="Exempt",
        percent=Percent(Fraction(0)),
        base=Money(10_011),
        amount=Money(0),
        reason="Taxes are not applicable",
    )
    bill = invoice([line(1, 1, Fraction(10_011))], percent=Fraction(0))
    note = credited(evolve(bill, taxes=(exempt,)), ALL)
    assert (note.net, note.tax, note.total) == (10_011, 0, 10_011)
    assert note.taxes == (exempt,)


def test_pieces_come_back_at_their_price_with_their_part_of_the_discount() -> None:
    """By hand: 10 at 12.125 less 10 %. Two back: 2 x 12.125 = 24.25; discount 12.13 x 24.25 / 121.25 = 2.426."""
    off, freight = line(2, 1, Fraction(-1_213), at=None), line(3, 1, Fraction(950), at=None)
    bill = invoice([line(1, 10, Fraction(2_425, 2)), off, freight])
    note = credited(bill, of(1, 2))
    assert [(item.number, item.quantity, item.net) for item in note.lines] == [(1, 2, 2_425), (2, 1, -243)]
    # 21.82 x 19 % = 4.1458; freight stays.
    assert (note.net, note.tax, note.total) == (2_182, 415, 2_597)


def test_what_grows_with_the_goods_comes_back_with_them() -> None:
    """A rush fee of 25 % and prints too large, 0.75 each: two of ten pieces take a fifth of both; freight stays."""
    rush = evolve(line(2, 1, Fraction(2_500), at=None), with_goods=True)
    large = evolve(line(3, 1, Fraction(750), at=None), with_goods=True)
    bill = invoice([line(1, 10, Fraction(1_000)), rush, large, line(4, 1, Fraction(950), at=None)])
    note = credited(bill, of(1, 2))
    assert [(item.number, item.net) for item in note.lines] == [(1, 2_000), (2, 500), (3, 150)]
    assert note.lines[0].description == "2 of 10: line 1"
    rest = credited(bill, of(1), note)
    assert [(item.number, item.net) for item in rest.lines] == [(1, 8_000), (2, 2_000), (3, 600)]


def test_single_pieces_come_to_the_line_in_the_end() -> None:
    """Three at 0.335 are 1.01: one by one they are 0.34, 0.33 and 0.34, never 1.02."""
    bill = invoice([line(1, 3, Fraction(67, 2))])
    notes: list[Bill] = []
    for _ in range(3):
        notes.append(credited(bill, of(1, 1), *notes))
    assert [note.net for note in notes] == [34, 33, 34]
    assert sum(note.total for note in notes) == bill.total


def test_an_amount_is_spread_by_what_is_left_and_takes_no_pieces() -> None:
    """An allowance of 10.00 on 30.00 and 10.00: 7.50 and 2.50, each with its line's tax."""
    bill = invoice([line(1, 3, Fraction(1_000)), line(2, 1, Fraction(1_000), "freight", None)])
    note = credited(bill, CreditRequest(amount=Money(1_000)))
    assert [(item.net, item.line) for item in note.lines] == [(750, None), (250, None)]
    assert [pieces_of(note, number) for number in (1, 2)] == [0, 0]
    # 7.50 x 19 % = 1.425 -> 1.43; 2.50 x 9.5 % = 0.2375 -> 0.24.
    assert [tax.amount for tax in note.taxes] == [143, 24]


@pytest.mark.parametrize("basis", TaxBasis)
def test_the_last_note_closes_the_tax(basis: TaxBasis) -> None:
    """Two halves of 0.05 at 10 % are taxed 0.005 each, and 0.01 together: not a cent more comes back."""
    bill = invoice([line(1, 2, Fraction(5))], basis, Fraction(1, 10))
    first = credited(bill, of(1, 1), basis=basis)
    second = credited(bill, ALL, first, basis=basis)
    assert first.total + second.total == bill.total


requests = st.one_of(
    st.builds(of, st.integers(1, 4), st.integers(1, 5)),
    st.builds(of, st.integers(1, 4), st.none()),
    st.builds(lambda amount: CreditRequest(amount=Money(amount)), st.integers(1, 3_000)),
)


@given(
    prices=st.lists(
        st.tuples(st.integers(1, 9), st.fractions(0, 2_000, max_denominator=100)), min_size=1, max_size=3
    ),
    discount=st.integers(0, 20),
    basis=st.sampled_from(TaxBasis),
    percent=st.sampled_from([Fraction(0), Fraction(55, 1000), Fraction(19, 100), Fraction(8875, 100_000)]),
    wishes=st.lists(requests, max_size=5),
)
def test_any_credits_in_any_order(
    prices: list[tuple[int, Fraction]],
    discount: int,
    basis: TaxBasis,
    percent: Fraction,
    wishes: list[CreditRequest],
) -> None:
    """Whatever is asked, as long as it is there: each note stands by itself, and all together are the invoice."""
    lines = [line(n, count, price, at=n - 1) for n, (count, price) in enumerate(prices, 1)]
    goods = sum(item.net for item in lines)
    off = rounded(Fraction(goods * discount, 100))
    lines.append(line(len(lines) + 1, 1, Fraction(-off), at=None))
    fee = line(len(lines) + 1, 1, Fraction(rounded(Fraction(goods, 7))), at=None)
    lines.append(evolve(fee, with_goods=True))
    bill = invoice(lines, basis, percent)
    notes: list[Bill] = []
    for wish in wishes:
        left = bill.net - sum(note.net for note in notes)
        if wish.amount is not None and wish.amount > left:
            continue
        if wish.lines and not _there(bill, notes, wish.lines[0]):
            continue
        note = bill_credit(bill, tuple(notes), wish, shop_by(basis))
        if note.total <= 0:
            continue  # the counter refuses it: nothing would be given back
        assert faults_of_credit(bill, notes, note) == []
        assert credit_faults(bill, notes, note) == ()
        notes.append(note)
    rest = bill_credit(bill, tuple(notes), ALL, shop_by(basis))
    if rest.total > 0:
        assert faults_of_credit(bill, notes, rest) == []
        notes.append(rest)
    assert sum(note.total for note in notes) == bill.total
    assert sum(note.tax for note in notes) == bill.tax


def _there(bill: Bill, notes: list[Bill], asked: CreditedLine) -> bool:
    """The line is there with so many pieces left."""
    for item in bill.lines:
        if item.number == asked.number and item.line is not None:
            left = item.quantity - sum(pieces_of(note, item.number) for note in notes)
            return asked.pieces is None or asked.pieces <= left
    return False
