"""An invoice taken back, whole or in part, by a credit note. The invoice keeps its number and stays as it is."""

from collections.abc import Iterator
from datetime import date

from attrs import frozen

from pipeline.books.counter import Counter, Given, insist, until_recorded
from pipeline.ledger import Act, pieces_of
from pipeline.model.account import AccountItem, Correction, CreditRequest, Voucher, VoucherKind
from pipeline.model.cost import Bill
from pipeline.model.money import Money
from pipeline.model.order import Delivery
from pipeline.model.show import money
from pipeline.problems import Problem


@frozen(kw_only=True)
class CreditOrder:
    """A credit note that is asked for: of which invoice, what, for which day, and why."""

    number: str
    request: CreditRequest
    date: date
    reason: str
    #: The same was credited before on that day, and is meant to be credited once more.
    again: bool = False
    backdate: bool = False


def credit(counter: Counter, order: CreditOrder) -> Given:
    """Give a credit note, or find the one that was given for the same. Raises StopRun (E631 to E633), LedgerMoved."""
    return until_recorded(lambda: _once(counter, order))


def _once(counter: Counter, order: CreditOrder) -> Given:
    job = counter.item(order.number).bill.job
    snapshot = counter.ledger.read([job], on=order.date)
    # Read after the snapshot: what is recorded in between shows in the ledger's version.
    item = counter.item(order.number)
    if not order.again and (known := _given(item, order)):
        return counter.again([known])
    insist(tuple(credit_problems(item, order, counter.shop.currency)))
    counter.insist_on([item.bill.customer])
    if item.kind is VoucherKind.DEPOSIT and (invoiced := snapshot.of(job)):
        message = f"the deposit {item.number} was taken off the invoice {invoiced.invoice}"
        insist([Problem(code="E633", message=message, hint=f"credit {invoiced.invoice}")])
    bill = credit_bill(counter, item, order.request)
    if bill.total <= 0:
        hint = "credit the goods; their discounts come with them"
        insist([Problem(code="E632", message="nothing would be given back", hint=hint)])
    ordered = counter.order(job) if snapshot.recorded else None
    voucher = Voucher(
        kind=VoucherKind.CREDIT,
        number="",
        issued=order.date,
        bill=bill,
        customer_order=ordered.customer_order if ordered else "",
        pick_up=ordered is not None and ordered.delivery is Delivery.PICK_UP,
        corrects=Correction(number=item.number, issued=item.issued, reason=order.reason),
    )
    vouchers = counter.numbered(VoucherKind.CREDIT, [voucher], snapshot)
    act = Act(label=f"credit-{order.date}", date=order.date, vouchers=vouchers)
    return counter.give(act, snapshot, order.backdate)


def credit_bill(counter: Counter, item: AccountItem, request: CreditRequest) -> Bill:
    """What the stage makes of the request."""
    credited = tuple(note.bill for note in item.credits)
    return counter.stages.bill_credit(invoice=item.bill, credited=credited, request=request, shop=counter.shop)


def credit_problems(item: AccountItem, order: CreditOrder, currency: str) -> Iterator[Problem]:
    """Why this cannot be credited (E632): all that is wrong with the request."""
    request = order.request

    def wrong(message: str, hint: str) -> Problem:
        return Problem(code="E632", message=message, hint=hint, job=item.bill.job)

    if order.date < item.issued:
        yield wrong(f"{item.number} was issued on {item.issued}, after {order.date}", "choose a later day")
    notes = ", ".join(note.number for note in item.credits)
    if item.credited >= item.bill.total:
        yield wrong(
            f"all of {item.number} is credited already", f"by {notes}" if notes else "it asks for nothing"
        )
        return
    left = Money(item.bill.net - sum(note.bill.net for note in item.credits))
    if request.amount is not None and not 0 < request.amount <= left:
        hint = f"up to {money(left, currency)} net is left to credit"
        yield wrong(f"{money(request.amount, currency)} cannot be credited of {item.number}", hint)
    lines = {line.number: line for line in item.bill.lines}
    for asked in request.lines:
        if (line := lines.get(asked.number)) is None:
            yield wrong(f"{item.number} has no line {asked.number}", f"its lines are 1 to {len(lines)}")
            continue
        pieces = line.quantity - sum(pieces_of(note.bill, asked.number) for note in item.credits)
        if asked.pieces is not None and not 0 < asked.pieces <= pieces:
            message = f"{asked.pieces} pieces of line {asked.number} of {item.number} cannot be credited"
            yield wrong(
                message, f"{pieces} of {line.quantity} are left" + (f"; earlier: {notes}" if notes else "")
            )
    if len({asked.number for asked in request.lines}) < len(request.lines):
        yield wrong("a line is named twice", "name each line once")


def _given(item: AccountItem, order: CreditOrder) -> Voucher | None:
    """The last credit note of that day for the same, if there is one: a command may be repeated."""
    for note in reversed(item.credits):
        if (
            note.issued == order.date
            and note.corrects
            and note.corrects.reason == order.reason
            and _fits(note.bill, item, order.request)
        ):
            return note
    return None


def _fits(bill: Bill, item: AccountItem, request: CreditRequest) -> bool:
    if request.amount is not None:
        return bill.net == request.amount and all(line.line is None for line in bill.lines)
    if request.lines:
        goods = {line.number for line in item.bill.lines if line.line is not None}
        asked = {line.number: line.pieces for line in request.lines}
        given = {line.number: line for line in bill.lines}
        # A charge may come with its goods unasked; a line of goods never does.
        return (
            asked.keys() <= given.keys()
            and goods & given.keys() <= asked.keys()
            and all(
                _nothing_left(item, number) if pieces is None else pieces_of(bill, number) == pieces
                for number, pieces in asked.items()
                if number in goods
            )
        )
    return item.credited >= item.bill.total


def _nothing_left(item: AccountItem, number: int) -> bool:
    """True when all of an invoice's line is credited."""
    credited = sum(line.net for note in item.credits for line in note.bill.lines if line.number == number)
    return all(line.net == credited for line in item.bill.lines if line.number == number)
