"""What a credit note may take back: asked before it is recorded, and again of every one in the ledger."""

from collections.abc import Sequence

from pipeline.canonical import fields
from pipeline.ledger.bills import bill_faults
from pipeline.model.cost import Bill, TaxLine


def credit_faults(invoice: Bill, before: Sequence[Bill], note: Bill) -> tuple[str, ...]:
    """Why `note` cannot take back from `invoice`, after the notes `before` it, what it says; empty when it can.

    No line, no tax and no total may be credited beyond what was invoiced.
    """
    taxes = {
        tax.tax: tax.amount - sum(_given(t) for n in before for t in n.taxes if t.tax == tax.tax)
        for tax in invoice.taxes
    }
    faults = list(bill_faults(fields(note), closing=taxes))
    nets = {
        line.number: line.net - sum(own.net for n in before for own in n.lines if own.number == line.number)
        for line in invoice.lines
    }
    pieces = {
        line.number: line.quantity - sum(pieces_of(n, line.number) for n in before) for line in invoice.lines
    }
    for line in note.lines:
        if line.number not in nets or not _within(line.net, nets[line.number]):
            faults.append(f"line {line.number} takes {line.net}, {nets.get(line.number, 0)} are left")
        elif pieces_of(note, line.number) > pieces[line.number]:
            faults.append(f"line {line.number} takes {line.quantity} pieces, {pieces[line.number]} are left")
    if len({line.number for line in note.lines}) < len(note.lines):
        faults.append("a line is credited twice")
    faults += [
        f"{tax.title} takes {_given(tax)}, {taxes.get(tax.tax, 0)} are left"
        for tax in note.taxes
        if not _within(_given(tax), taxes.get(tax.tax, 0))
    ]
    left = invoice.total - sum(n.total for n in before)
    if note.total <= 0 or note.total > left:
        faults.append(f"the credit of {note.total} is not between 0 and {left}, which is left of the invoice")
    return tuple(faults)


def pieces_of(note: Bill, number: int) -> int:
    """The pieces of an invoice's line that a credit note takes back; an allowance takes back none."""
    return sum(line.quantity for line in note.lines if line.number == number and line.line is not None)


def _given(tax: TaxLine) -> int:
    """What a note gives back of a tax, its rounding with it."""
    return tax.amount + tax.rounding


def _within(amount: int, left: int) -> bool:
    """True when `amount` has the sign of what is left and is no more of it."""
    return 0 <= amount <= left or left <= amount <= 0
