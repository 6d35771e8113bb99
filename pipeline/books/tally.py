"""What the floor counted: the invoice follows what was shipped by a credit note, prints left over go to stock.

The invoice is made with the run, from what was ordered. Pieces that were not shipped are credited when the order is
counted; pieces beyond the order are none. Prints that were planned and not used up are put into stock when every
order that shares them is counted; what was used beyond comes out of stock.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from attrs import evolve, frozen

from pipeline.books.counter import Counter, Given, insist, until_recorded
from pipeline.books.credit import credit_bill
from pipeline.display import Display
from pipeline.language import N_
from pipeline.ledger import Act, Counts, LineCount, Recorded, Snapshot, pieces_of
from pipeline.model.account import (
    AccountItem,
    Correction,
    CreditedLine,
    CreditRequest,
    Voucher,
    VoucherKind,
)
from pipeline.model.order import Delivery, Line, Order, SizeCount
from pipeline.model.tally import TalliedLine, TalliedOrder, Tally
from pipeline.problems import Origin, Problem, expected_one_of

REASON = N_("Not all pieces were shipped")


@frozen(kw_only=True)
class Tallied:
    """What was booked: credit notes, lots that are new, and jobs that were counted just so before."""

    given: Given
    counted: tuple[str, ...]
    before: tuple[str, ...]


def tally(counter: Counter, counts: Tally, on: date, backdate: bool = False) -> Tallied:
    """Book what was counted. Raises StopRun (E636 to E638) with all that is wrong, before anything is booked."""
    done: list[Tallied] = []

    def once() -> Given:
        snapshot, orders = _recorded(counter, counts, on)
        insist((*_problems(counts, orders), *_too_early(counts, snapshot, on)))
        counter.insist_on(order.customer for order in orders.values())
        known = counter.ledger.counted([order.job for order in counts.orders])
        made = [_counts(order, orders[order.job]) for order in counts.orders]
        insist(tuple(_changed(counts, made, known)))
        fresh = [count for count in made if count.job not in known]
        done.append(Tallied(given=Given(), counted=tuple(c.job for c in fresh), before=tuple(sorted(known))))
        if not fresh:
            return Given()
        vouchers = [
            voucher
            for count in fresh
            if (voucher := _credit(counter, count, orders[count.job], _known(snapshot.of(count.job)), on))
        ]
        numbered = counter.numbered(VoucherKind.CREDIT, vouchers, snapshot)
        act = Act(label=f"tally-{on}", date=on, vouchers=numbered, counts=tuple(fresh))
        return counter.give(act, snapshot, backdate)

    given = until_recorded(once)
    return evolve(done[-1], given=given)


def check_tally(counter: Counter, counts: Tally, on: date) -> tuple[Problem, ...]:
    """What is wrong with the counts, held against what was ordered (E637)."""
    _, orders = _recorded(counter, counts, on)
    return tuple(_problems(counts, orders))


def _recorded(counter: Counter, counts: Tally, on: date) -> tuple[Snapshot, dict[str, Order]]:
    names = list(dict.fromkeys(order.job for order in counts.orders))
    snapshot = counter.ledger.read(names, on)
    return snapshot, {job: counter.order(job) for job in names if snapshot.of(job)}


def _known(recorded: Recorded | None) -> Recorded:
    if recorded is None:
        raise AssertionError("a job that is not recorded has stopped the tally")
    return recorded


def _problems(counts: Tally, orders: Mapping[str, Order]) -> Iterator[Problem]:
    """Jobs, lines, prints and sizes that are not there, named twice, or too many (E637)."""
    seen: set[str] = set()
    for tallied in counts.orders:
        order = orders.get(tallied.job)
        if order is None:
            message = f"the ledger has no invoice of a job `{tallied.job}`"
            yield _wrong(message, "count orders that a run has taken", tallied.at("job"))
        elif tallied.job in seen:
            yield _wrong(f"{tallied.job} is counted twice", "name each job once", tallied.at("job"))
        else:
            yield from _line_problems(tallied, order)
        seen.add(tallied.job)


def _too_early(counts: Tally, snapshot: Snapshot, on: date) -> Iterator[Problem]:
    """Counted before it was invoiced (E637): its credit note would be older than its invoice."""
    for tallied in counts.orders:
        recorded = snapshot.of(tallied.job)
        if recorded and on < recorded.issued:
            message = f"{recorded.invoice} was issued on {recorded.issued}, after {on}"
            yield _wrong(message, "choose a later day", tallied.at("job"))


def _line_problems(tallied: TalliedOrder, order: Order) -> Iterator[Problem]:
    seen: set[int] = set()
    for counted in tallied.lines:
        if counted.line > len(order.lines):
            message, hint = f"{order.job} has no line {counted.line}", f"its lines are 1 to {len(order.lines)}"
            yield _wrong(message, hint, counted.at("line"))
            continue
        if counted.line in seen:
            yield _wrong(f"line {counted.line} is counted twice", "name each line once", counted.at("line"))
        seen.add(counted.line)
        line = order.lines[counted.line - 1]
        ordered = {item.size: item.count for item in line.pieces}
        yield from _unknown_sizes(counted.shipped, line)
        for item in counted.shipped:
            if item.count > ordered.get(item.size, item.count):
                message = f"{item.count} pieces of {item.size} were shipped, {ordered[item.size]} were ordered"
                yield _wrong(message, "more pieces are an order of their own", item.origin)
        for spoiled in counted.spoiled:
            if spoiled.print > len(line.prints):
                message = f"line {counted.line} has no print {spoiled.print}"
                yield _wrong(message, f"its prints are 1 to {len(line.prints)}", spoiled.at("print"))
            yield from _unknown_sizes(spoiled.pieces, line)
        if len({spoiled.print for spoiled in counted.spoiled}) < len(counted.spoiled):
            yield _wrong("a print is counted twice", "name each print once", counted.at("spoiled"))


def _unknown_sizes(counted: Sequence[SizeCount], line: Line) -> Iterator[Problem]:
    sizes = [item.size for item in line.pieces]
    for item in counted:
        if item.size not in sizes:
            yield _wrong(
                f"no {item.size} was ordered", "name the order's sizes", item.origin, expected_one_of(sizes)
            )


def _wrong(message: str, hint: str, origin: Origin, label: str = "") -> Problem:
    return Problem(code="E637", message=message, hint=hint, label=label, origin=origin)


def _changed(counts: Tally, made: Sequence[Counts], known: Mapping[str, Counts]) -> Iterator[Problem]:
    for tallied, count in zip(counts.orders, made, strict=True):
        if count.job in known and known[count.job] != count:
            message = f"{count.job} was counted before, otherwise"
            hint = "credit what differs with `peelwright ledger credit`"
            yield Problem(code="E636", message=message, hint=hint, origin=tallied.at("job"))


def _counts(tallied: TalliedOrder, order: Order) -> Counts:
    """The whole count of an order: what the file leaves out went out as ordered."""
    lines = {counted.line: counted for counted in tallied.lines}
    made = []
    for number, line in enumerate(order.lines, 1):
        counted = lines.get(number, TalliedLine(line=number))
        shipped = {item.size: item.count for item in line.pieces}
        shipped |= {item.size: item.count for item in counted.shipped}
        spoiled = {
            (item.print - 1, size.size): size.count
            for item in counted.spoiled
            for size in item.pieces
            if size.count
        }
        made.append(LineCount(shipped=shipped, spoiled=spoiled))
    return Counts(job=order.job, lines=tuple(made))


def _credit(counter: Counter, count: Counts, order: Order, recorded: Recorded, on: date) -> Voucher | None:
    """The credit note for what was not shipped and is not credited yet; None when there is no such thing."""
    item = counter.item(recorded.invoice)
    request = _request(item, count, order)
    if request is None:
        return None
    bill = credit_bill(counter, item, request)
    if bill.total <= 0:
        return None
    language = Display.of(counter.shop, counter.shop.customer(order.customer).language).language
    return Voucher(
        kind=VoucherKind.CREDIT,
        number="",
        issued=on,
        bill=bill,
        customer_order=order.customer_order,
        pick_up=order.delivery is Delivery.PICK_UP,
        corrects=Correction(number=item.number, issued=item.issued, reason=language.gettext(REASON)),
    )


def _request(item: AccountItem, count: Counts, order: Order) -> CreditRequest | None:
    if item.credited >= item.bill.total:
        return None
    if not any(sum(line.shipped.values()) for line in count.lines):
        return CreditRequest()
    lines = []
    for billed in item.bill.lines:
        if billed.line is None:
            continue
        shipped = sum(count.lines[billed.line].shipped.values())
        credited = sum(pieces_of(note.bill, billed.number) for note in item.credits)
        short = order.lines[billed.line].quantity - shipped - credited
        if short > 0:
            lines.append(CreditedLine(number=billed.number, pieces=short))
    return CreditRequest(lines=tuple(lines)) if lines else None
