"""Judges costs and bills. Shares no code with `plugins/cost`: all sums are made again, with decimals.

Each function returns what is wrong, in sentences; an empty list means that nothing is. Amounts are minor
units: whole numbers, or decimals of 28 digits until they are rounded.
"""

import decimal
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from pipeline.model.cost import Bill, BillBook, CostBook, CostKind, PriceBook, TaxLine
from pipeline.model.order import Blanks, Order
from pipeline.model.packing import PackingPlan
from pipeline.model.press import PressTaskList
from pipeline.model.prints import PrintList
from pipeline.model.sheet import SheetPlan
from pipeline.shop import Customer, SharingRule, Shop, TaxBasis, TaxRegime

CENT = Decimal(1)


def _exact(number: Fraction | int) -> Decimal:
    return Decimal(number.numerator) / Decimal(number.denominator)


def _half_up(number: Decimal) -> int:
    return int(number.quantize(CENT, rounding=decimal.ROUND_HALF_UP))


def _paid(sheets: SheetPlan) -> int:
    charges = sum(order.order_charge for order in sheets.orders)
    return charges + sum(layout.sheets * layout.price + layout.set_up for layout in sheets.layouts)


def faults_of_shares(
    orders: Sequence[Order], shop: Shop, prints: PrintList, sheets: SheetPlan, costs: CostBook
) -> list[str]:
    """Check that the shares sum to the purchase, follow the shop's rule, and ask nobody more than alone."""
    faults: list[str] = []
    if sum(share.amount for share in costs.shares) != _paid(sheets):
        faults.append(f"shares sum to {sum(s.amount for s in costs.shares)}, paid was {_paid(sheets)}")
    if any(share.amount < 0 or not 0 <= share.spares <= share.amount for share in costs.shares):
        faults.append("a share is below zero, or its spares are more than all of it")
    expected = {(use.ref.job, use.ref.line, demand.id) for demand in prints.demands for use in demand.uses}
    told = [(share.job, share.line, share.demand) for share in costs.shares]
    if sorted(told) != sorted(expected):
        faults.append("not exactly one share for each line and demand")
    for share in costs.shares:
        if prints.demand(share.demand).to_buy == 0 and share.amount:
            faults.append(f"{share.job}: prints from stock cost {share.amount} again")
    alone = {item.job: item.cost for item in sheets.alone}
    shared = {order.job: sum(s.amount for s in costs.shares if s.job == order.job) for order in orders}
    if [(o.job, o.shared, o.alone) for o in costs.orders] != [(j, shared[j], alone[j]) for j in shared]:
        faults.append("the orders' shares are not the sums of their lines")
    for apart in sorted({demand.customer if demand.alone else "" for demand in prints.demands}):
        faults += _faults_of_club(apart, shop, prints, sheets, shared, alone, bool(costs.notes))
    return faults


def _faults_of_club(
    apart: str,
    shop: Shop,
    prints: PrintList,
    sheets: SheetPlan,
    shared: Mapping[str, int],
    alone: Mapping[str, int],
    told: bool,
) -> list[str]:
    """Orders that share with one another: one factor for all who are not at their limit, within a cent."""
    inside = [d for d in prints.demands if (d.customer if d.alone else "") == apart]
    names = {demand.id for demand in inside}
    asked: dict[str, Decimal] = {}
    total = 0
    for bought in sheets.orders:
        layouts = [layout for layout in sheets.layouts if layout.transfer == bought.transfer]
        cost = sum(x.sheets * x.price + x.set_up for x in layouts if x.prints[0].demand in names)
        whole = sum(layout.sheets * layout.price + layout.set_up for layout in layouts)
        pot = Decimal(cost) + (Decimal(bought.order_charge) * cost / whole if whole else 0)
        total += _half_up(pot)
        weights: dict[str, Decimal] = {}
        for demand in inside:
            if sheets.transfer_of(demand.id) == bought.transfer:
                one = 1 if shop.options.cost.sharing is SharingRule.PER_PRINT else demand.width * demand.height
                for use in demand.uses:
                    part = Decimal(demand.to_buy * one * use.pieces) / demand.pieces
                    weights[use.ref.job] = weights.get(use.ref.job, Decimal(0)) + part
        for job, weight in weights.items():
            if weight:
                asked[job] = asked.get(job, Decimal(0)) + pot * weight / sum(weights.values())
    caps = sum(alone[job] for job in asked)
    if caps < total - 1:
        over = [job for job in asked if abs(shared[job] - Decimal(total) * alone[job] / caps) > 2] if caps else []
        return [] if told and not over else [f"{apart or 'all'}: dearer together, not told or not in proportion"]
    # Together dearer by a single cent, somebody must pay it.
    odd = max(total - caps, 0)
    faults = [f"{job} pays {shared[job]}, alone {alone[job]}" for job in asked if shared[job] > alone[job] + odd]
    if shop.options.cost.sharing is SharingRule.STAND_ALONE:
        asked = {job: Decimal(alone[job]) for job in asked}
    rising = {job: claim for job, claim in asked.items() if claim}
    lowest = [(shared[job] - 2) / claim for job, claim in rising.items()]
    highest = [(shared[job] + 2) / claim for job, claim in rising.items() if shared[job] + 1 < alone[job]]
    if highest and max(lowest) > min(highest):
        faults.append(f"{apart or 'all'}: some pay by another factor than others")
    return faults


def faults_of_costs(
    orders: Sequence[Order], shop: Shop, packing: PackingPlan, tasks: PressTaskList, costs: CostBook
) -> list[str]:
    """Check that a line's cost is its blanks, shares, work at the rate, packaging and overhead."""
    faults: list[str] = []
    for order in orders:
        packaging = 0
        for at, line in enumerate(order.lines):
            got = {kind: costs.line(order.job, at).part(kind) for kind in CostKind}
            packaging += got[CostKind.PACKAGING]
            own = [task for task in tasks.tasks if (task.ref.job, task.ref.line) == (order.job, at)]
            work = (
                sum((task.labour - task.set_up for task in own), timedelta()) + line.quantity * shop.times.finish
            )
            expected = {
                CostKind.BLANKS: 0 if line.blanks is Blanks.CUSTOMER else _blanks(order, at, shop),
                CostKind.TRANSFERS: sum(s.amount for s in costs.shares if (s.job, s.line) == (order.job, at)),
                CostKind.LABOUR: _wages(work, shop),
                CostKind.SET_UP: _wages(sum((task.set_up for task in own), timedelta()), shop),
            }
            base = got[CostKind.LABOUR] + got[CostKind.SET_UP] + got[CostKind.PACKAGING]
            expected[CostKind.OVERHEAD] = _half_up(base * _exact(shop.rates.overhead))
            faults += [
                f"{order.job}/{at + 1}: {kind} is {got[kind]}, not {amount}"
                for kind, amount in expected.items()
                if got[kind] != amount
            ]
        cartons = sum(1 for carton in packing.cartons if carton.job == order.job)
        expected_packaging = cartons * shop.packing.carton_cost + order.quantity * shop.packing.bag_cost
        if packaging != expected_packaging:
            faults.append(f"{order.job}: packaging is {packaging}, not {expected_packaging}")
    return faults


def _blanks(order: Order, at: int, shop: Shop) -> int:
    line = order.lines[at]
    garment = next(g for g in shop.garments if g.name == line.garment)
    return sum(size.cost * p.count for p in line.pieces for size in garment.sizes if size.name == p.size)


def _wages(time: timedelta, shop: Shop) -> int:
    microseconds = Decimal(time.days * 86_400 + time.seconds) * 1_000_000 + time.microseconds
    return _half_up(microseconds * _exact(shop.rates.labour_per_hour) / 3_600_000_000)


def faults_of_bill(order: Order, shop: Shop, prices: PriceBook, bill: Bill, on: date) -> list[str]:
    """Check that the bill is what prices and charges come to, rounded where it may be and nowhere else."""
    customer = next(c for c in shop.customers if c.name == order.customer)
    goods = customer.tax or shop.tax.goods
    wanted = [
        (
            at,
            line.quantity,
            _half_up(line.quantity * _exact(prices.line(order.job, at).unit_price)),
            goods,
        )
        for at, line in enumerate(order.lines)
    ]
    charges = [c for c in prices.charges if c.job == order.job]
    wanted += [(None, 1, charge.amount, customer.tax or charge.tax or goods) for charge in charges]  # type: ignore[misc]
    faults: list[str] = []
    if [(line.line, line.quantity, line.net, line.tax) for line in bill.lines] != wanted:
        faults.append(f"{order.job}: the lines are not those of the prices")
    if [line.number for line in bill.lines] != list(range(1, len(bill.lines) + 1)):
        faults.append(f"{order.job}: lines are not numbered from 1")
    if bill.net != sum(line.net for line in bill.lines) or bill.total != bill.net + bill.tax:
        faults.append(f"{order.job}: the total is not lines and tax")
    if bill.tax != sum(tax.amount for tax in bill.taxes):
        faults.append(f"{order.job}: the tax is not that of its rates")
    expected = _taxes(((line[2], line[3]) for line in wanted), shop, customer, on)
    if {tax.tax: (tax.base, tax.amount) for tax in bill.taxes} != expected:
        faults.append(f"{order.job}: taxes {bill.taxes}, not {expected}")
    faults += [f"{order.job}: no tax and no reason" for t in bill.taxes if not t.percent and not t.reason]
    if bill.deposit != max(0, _half_up(bill.total * _exact(customer.deposit))):
        faults.append(f"{order.job}: the deposit is {bill.deposit}")
    if bill.pay_by.toordinal() != on.toordinal() + customer.terms_days:
        faults.append(f"{order.job}: payable by {bill.pay_by}")
    return faults


def _taxes(
    nets: Iterable[tuple[int, str]], shop: Shop, customer: Customer, on: date
) -> dict[str, tuple[int, int]]:
    """Rate -> (base, tax)."""
    if shop.tax.regime is TaxRegime.NONE:
        return {}
    exempt = customer.exemption is not None and on <= customer.exemption.expires
    by_rate: dict[str, list[int]] = {}
    for net, rate in nets:
        by_rate.setdefault(rate, []).append(net)
    taxes = {}
    for name, amounts in by_rate.items():
        percent = _exact(next(rate.percent for rate in shop.tax.rates if rate.name == name))
        due = 0 if exempt else _half_up(sum(amounts) * percent)
        if shop.tax.basis is TaxBasis.LINE and not exempt:
            due = sum(_half_up(amount * percent) for amount in amounts)
        taxes[name] = sum(amounts), due
    return taxes


def faults_of_margins(orders: Sequence[Order], costs: CostBook, prices: PriceBook, book: BillBook) -> list[str]:
    """Check that lines, orders, customers and the batch have a margin each, and that they add up."""
    freight = {order.job: 0 for order in orders}
    for charge in prices.charges:
        freight[charge.job] += charge.amount if charge.kind.value == "freight" else 0
    cost = {order.job: sum(c.total for c in costs.lines if c.job == order.job) for order in orders}
    net = {bill.job: bill.net - freight[bill.job] for bill in book.bills}
    wanted = {("order", job): (net[job], cost[job]) for job in net}
    for customer in {order.customer for order in orders}:
        own = [order.job for order in orders if order.customer == customer]
        wanted["customer", customer] = sum(net[job] for job in own), sum(cost[job] for job in own)
    wanted["batch", ""] = sum(net.values()), sum(cost.values())
    for bill in book.bills:
        for line in bill.lines:
            if line.line is not None:
                one = costs.line(bill.job, line.line).total
                wanted["line", f"{bill.job}/{line.line + 1}"] = line.net, one
    got = {(m.level.value, m.name): (m.net, m.cost) for m in book.margins}
    return [] if got == wanted and len(book.margins) == len(wanted) else [f"margins {got}, not {wanted}"]


def faults_of_credit(invoice: Bill, earlier: Sequence[Bill], note: Bill) -> list[str]:
    """Check a credit note against its invoice and the notes before: lines, pieces, tax and total, never too much."""
    faults: list[str] = []
    everything = [*earlier, note]
    for line in invoice.lines:
        own = [item for credit in everything for item in credit.lines if item.number == line.number]
        credited = sum(item.net for item in own)
        if credited * line.net < 0 or abs(credited) > abs(line.net):
            faults.append(f"line {line.number}: {credited} credited of {line.net}")
        if sum(item.quantity for item in own if item.line is not None) > line.quantity:
            faults.append(f"line {line.number}: more pieces credited than were sold")
    for item in note.lines:
        source = [line for line in invoice.lines if line.number == item.number]
        if len(source) != 1 or source[0].tax != item.tax:
            faults.append(f"line {item.number} is none of the invoice's, or taxed otherwise")
        if _half_up(item.quantity * _exact(item.unit_price)) != item.net:
            faults.append(f"line {item.number}: pieces times price is not {item.net}")
    faults += [fault for tax in invoice.taxes for fault in _faults_of_credited_tax(tax, earlier, note)]
    if note.net != sum(item.net for item in note.lines) or note.tax != sum(t.amount for t in note.taxes):
        faults.append("net or tax are not the sums of their lines")
    if note.total != note.net + note.tax + sum(t.rounding for t in note.taxes):
        faults.append("the total is not net, tax and rounding")
    if sum(credit.total for credit in everything) > invoice.total:
        faults.append("more is credited than was invoiced")
    return faults


def _faults_of_credited_tax(tax: TaxLine, earlier: Sequence[Bill], note: Bill) -> list[str]:
    """The tax of its own lines by either rounding, never more than is left; all of that with the last of the base."""
    faults: list[str] = []
    base = sum(item.net for item in note.lines if item.tax == tax.tax)
    told = [item for item in note.taxes if item.tax == tax.tax]
    amount = sum(item.amount + item.rounding for item in told)
    left = tax.amount - sum(t.amount + t.rounding for credit in earlier for t in credit.taxes if t.tax == tax.tax)
    for item in told:
        if item.rounding and item.amount != _half_up(base * _exact(tax.percent)):
            faults.append(f"{tax.tax}: rounding, but {item.amount} is not the tax of {base} to the cent")
    rest = tax.base - sum(t.base for credit in earlier for t in credit.taxes if t.tax == tax.tax)
    if sum(item.base for item in told) != base:
        faults.append(f"{tax.tax}: the base is not that of the lines")
    lines = sum(_half_up(i.net * _exact(tax.percent)) for i in note.lines if i.tax == tax.tax)
    exact = {_half_up(base * _exact(tax.percent)), lines}
    if base == rest and amount != left:
        faults.append(f"{tax.tax}: all is credited, but {left - amount} of the tax is left")
    if base != rest and amount not in exact and not (amount == left and abs(left) < max(map(abs, exact))):
        faults.append(f"{tax.tax}: {amount} is not the tax of {base}")
    return faults


def faults_of_deposit(bill: Bill, shop: Shop, deposit: Bill) -> list[str]:
    """Check a deposit invoice against the bill of its order: its share, and its tax where VAT is due at once."""
    faults: list[str] = []
    if abs(deposit.total - bill.deposit) > len(bill.taxes):
        faults.append(f"{deposit.total} is asked, the share is {bill.deposit}")
    if shop.tax.regime is not TaxRegime.VAT and (deposit.taxes or deposit.total != bill.deposit):
        faults.append("a deposit has tax, or is not the share, where no VAT is charged")
    if shop.tax.regime is TaxRegime.VAT:
        known = {tax.tax: tax.percent for tax in bill.taxes}
        for tax in deposit.taxes:
            if tax.percent != known.get(tax.tax) or tax.amount != _half_up(tax.base * _exact(tax.percent)):
                faults.append(f"{tax.tax}: {tax.amount} is not the tax of {tax.base}")
        if sum(tax.base for tax in deposit.taxes) != deposit.net:
            faults.append("not all of it is taxed")
    if deposit.net + deposit.tax != deposit.total or sum(line.net for line in deposit.lines) != deposit.net:
        faults.append("it does not add up")
    return faults
