"""A deposit asked for before an order is taken through: reckoned like a quote, numbered like an invoice."""

from datetime import date

from attrs import evolve, frozen

from pipeline.books.counter import Counter, Given, until_recorded
from pipeline.ledger import Act
from pipeline.model.account import Voucher, VoucherKind
from pipeline.model.cost import Bill
from pipeline.model.order import Delivery, Order
from pipeline.request import Request
from pipeline.run import Report, look_over, make_plan


@frozen(kw_only=True)
class Asked:
    """What was asked for: the deposits, and what was said of the orders."""

    report: Report
    given: Given


def ask_deposits(counter: Counter, request: Request) -> Asked:
    """Give a deposit invoice for each order whose customer pays one and that has none yet.

    Orders that are held or invoiced are passed over, and named in the report. Raises what `run` raises.
    """
    reports: list[Report] = []

    def once() -> Given:
        batch, snapshot, report, fits = look_over(request, counter.ledger, counter.stages)
        reports.append(report)
        if not report.orders or (request.strict and report.held):
            return Given()
        asked = {item.bill.job: item for order in report.orders if (item := snapshot.deposit_of(order.job))}
        plan = make_plan(counter.stages, report.orders, batch.shop, fits, snapshot.stock, batch.date, batch.start)
        vouchers = [
            _voucher(counter.stages.bill_deposit(bill=bill, shop=batch.shop, date=batch.date), batch.date, order)
            for order in report.orders
            if (bill := plan.bills.bill(order.job)).deposit > 0 and order.job not in asked
        ]
        known = counter.again([_voucher(item.bill, item.issued, number=item.number) for item in asked.values()])
        if not vouchers:
            return known
        numbered = counter.numbered(VoucherKind.DEPOSIT, vouchers, snapshot)
        act = Act(label=f"deposit-{batch.label}", date=batch.date, vouchers=numbered)
        given = counter.give(act, snapshot, request.backdate)
        return evolve(known, given=given.given, folders=(*given.folders, *known.folders))

    given = until_recorded(once)
    return Asked(report=reports[-1], given=given)


def _voucher(bill: Bill, issued: date, order: Order | None = None, number: str = "") -> Voucher:
    return Voucher(
        kind=VoucherKind.DEPOSIT,
        number=number,
        issued=issued,
        bill=bill,
        customer_order=order.customer_order if order else "",
        pick_up=order is not None and order.delivery is Delivery.PICK_UP,
    )
