"""What is given back of an invoice: pieces with their part of the charges, whole lines, an amount.

What is credited of a line is reckoned from its beginning: the price of all pieces credited so far, less what was
credited before. So any number of credit notes comes to exactly the line, and never to more; the same holds for
charges that grow with the goods, and for tax, which closes with all that is left. With VAT rounded per invoice each
note has exactly the tax of its rate, as EN 16931 asks (BR-CO-17), and the cent between the two is told as rounding.
A credit note's line has the number of the invoice's.
"""

from collections.abc import Sequence
from fractions import Fraction

from attrs import evolve, frozen

from pipeline.display import Display
from pipeline.language import Language
from pipeline.model.account import CreditRequest
from pipeline.model.cost import Bill, BillLine, TaxLine
from pipeline.model.money import ZERO, Money, rounded, split
from pipeline.shop import Shop, TaxBasis, TaxRegime


@frozen(kw_only=True)
class _Line:
    """A line of the invoice with what earlier credit notes have left of it."""

    bill: BillLine
    pieces: int
    net: Money


def make_credit(invoice: Bill, credited: Sequence[Bill], request: CreditRequest, shop: Shop) -> Bill:
    """The bill of a credit note: amounts above zero for what is given back.

    `credited` are those of the earlier notes on the same invoice. The request fits: its lines are there, with
    enough pieces left, and its amount is no more than is left.
    """
    left = [_left_of(line, credited) for line in invoice.lines]
    language = Display.of(shop, shop.customer(invoice.customer).language).language
    if request.amount is not None:
        made = _allowance(left, request.amount, language)
    elif request.lines:
        made = _asked(left, request, language)
    else:
        made = [_pieces(line, line.pieces, language) for line in left if line.net]
    taxes = [_tax(tax, credited, made, shop) for tax in invoice.taxes]
    if shop.tax.regime is TaxRegime.VAT and shop.tax.basis is TaxBasis.INVOICE:
        taxes = [_exact(tax) for tax in taxes]
    net = Money(sum(line.net for line in made))
    tax = Money(sum(item.amount for item in taxes))
    return evolve(
        invoice,
        lines=tuple(made),
        taxes=tuple(
            item for item in taxes if item.amount or item.rounding or any(line.tax == item.tax for line in made)
        ),
        net=net,
        tax=tax,
        total=Money(net + tax + sum(item.rounding for item in taxes)),
        deposit=ZERO,
        terms="",
        prepaid=(),
    )


def _left_of(line: BillLine, credited: Sequence[Bill]) -> _Line:
    own = [item for note in credited for item in note.lines if item.number == line.number]
    pieces = sum(item.quantity for item in own if item.line is not None)
    return _Line(bill=line, pieces=line.quantity - pieces, net=Money(line.net - sum(item.net for item in own)))


def _asked(left: Sequence[_Line], request: CreditRequest, language: Language) -> list[BillLine]:
    """The lines that are asked for, and the part in them of the charges that grow with the goods."""
    pieces = {line.number: line.pieces for line in request.lines}
    made = {}
    for line in left:
        if line.bill.number in pieces and line.net:
            asked = pieces[line.bill.number]
            made[line.bill.number] = _pieces(line, line.pieces if asked is None else asked, language)
    of_goods = [line for line in left if line.bill.line is not None]
    goods = sum(line.bill.net for line in of_goods)
    before = goods - sum(line.net for line in of_goods)
    now = sum(line.net for line in made.values() if line.line is not None)
    for line in left:
        charge = line.bill
        # A discount comes off whatever it is called: never more is given back than was asked.
        grows = charge.line is None and (charge.with_goods or charge.net < 0)
        if grows and charge.number not in pieces and now and goods:
            part = rounded(Fraction(charge.net * (before + now), goods)) - (charge.net - line.net)
            part = max(0, min(part, line.net)) if line.net > 0 else min(0, max(part, line.net))
            if part:
                made[charge.number] = _amount(charge, Money(part), charge.description)
    return [made[line.bill.number] for line in left if line.bill.number in made]


def _pieces(line: _Line, pieces: int, language: Language) -> BillLine:
    """So many pieces of a line; a charge is one piece. With the last of them goes all that is left."""
    bill = line.bill
    if bill.line is None or not pieces:
        return _amount(bill, line.net, bill.description)
    before = bill.quantity - line.pieces
    if pieces == line.pieces:
        net = line.net
    else:
        upto = rounded((before + pieces) * bill.unit_price) - rounded(before * bill.unit_price)
        net = min(Money(upto), line.net, key=abs)
    exact = rounded(pieces * bill.unit_price) == net
    description = bill.description
    if pieces < bill.quantity:
        description = language.gettext(
            "%(pieces)s of %(all)s: %(line)s",
            pieces=language.number(pieces),
            all=language.number(bill.quantity),
            line=bill.description,
        )
    return evolve(
        bill,
        quantity=pieces,
        net=net,
        unit_price=bill.unit_price if exact else Fraction(net, pieces),
        description=description,
    )


def _allowance(left: Sequence[_Line], amount: Money, language: Language) -> list[BillLine]:
    """An amount over all lines, by what is left of each: so it has the lines' taxes."""

    def called(line: _Line) -> str:
        return language.gettext("Allowance: %(line)s", line=line.bill.description)

    above = [line for line in left if line.net > 0]
    whole = sum(line.net for line in left)
    parts = split(amount, [Fraction(line.net) for line in above])
    if amount == whole:
        return [_amount(line.bill, line.net, called(line)) for line in left if line.net]
    return [_amount(line.bill, part, called(line)) for line, part in zip(above, parts, strict=True) if part]


def _amount(bill: BillLine, net: Money, description: str) -> BillLine:
    """An amount of a line that is no matter of pieces."""
    return evolve(bill, line=None, quantity=1, unit_price=Fraction(net), net=net, description=description)


def _tax(tax: TaxLine, credited: Sequence[Bill], made: Sequence[BillLine], shop: Shop) -> TaxLine:
    """The tax of one rate as the invoice has it, whatever the shop's rates are now."""
    nets = [line.net for line in made if line.tax == tax.tax]
    base = Money(sum(nets))
    own = [item for note in credited for item in note.taxes if item.tax == tax.tax]
    left = tax.amount - sum(item.amount + item.rounding for item in own)
    if base == tax.base - sum(item.base for item in own):
        return evolve(tax, base=base, amount=Money(left))
    by_line = shop.tax.basis is TaxBasis.LINE
    amount = sum(rounded(net * tax.percent) for net in nets) if by_line else rounded(base * tax.percent)
    return evolve(tax, base=base, amount=Money(min(amount, left, key=abs)))


def _exact(tax: TaxLine) -> TaxLine:
    """The tax of its rate to the cent, and what it differs by as rounding."""
    amount = rounded(tax.base * tax.percent)
    return evolve(tax, amount=amount, rounding=Money(tax.amount - amount))
