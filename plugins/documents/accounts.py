"""Papers about money beside the weeks, in the customer's language: deposit invoices, credit notes, statements.

Each is one customer's own, and names no other.
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from attrs import frozen

from pipeline.language import N_
from pipeline.model.account import AGES, AccountItem, Statement, Voucher, VoucherKind
from pipeline.model.document import Audience, Document
from pipeline.model.money import Money
from pipeline.shop import Customer, Shop
from plugins.documents.customer import BilledRow
from plugins.documents.desk import ShopDesk, slug
from plugins.documents.einvoice import with_einvoice
from plugins.documents.einvoice.terms import CREDIT_NOTE, PREPAYMENT, Invoiced

_TITLES = {VoucherKind.CREDIT: N_("Credit note"), VoucherKind.DEPOSIT: N_("Deposit invoice")}
_ITEMS = {VoucherKind.INVOICE: N_("Invoice"), VoucherKind.DEPOSIT: N_("Deposit invoice")}
_TEMPLATES = {VoucherKind.CREDIT: "credit_note", VoucherKind.DEPOSIT: "deposit_invoice"}


@frozen(kw_only=True)
class SettledPart:
    """A credit note, a deposit or a payment that settled a part of an item."""

    text: str
    amount: Money


@frozen(kw_only=True)
class ItemRow:
    """A line of a statement: what was asked for, what came in, what is open, and how long it is overdue."""

    item: AccountItem
    kind: str
    settled: Money
    parts: tuple[SettledPart, ...]
    overdue: int


@frozen(kw_only=True)
class AgeColumn:
    """What is open, by how long it is overdue."""

    title: str
    amount: Money


def vouchers(given: tuple[Voucher, ...], shop: Shop) -> Iterator[Document]:
    """The paper of each credit note and deposit invoice."""
    house = ShopDesk(shop)
    for voucher in given:
        customer = shop.customer(voucher.bill.customer)
        desk = house.speaking(customer.language)
        bill = voucher.bill
        template = _TEMPLATES[voucher.kind]
        paper = desk.paper(
            template,
            f"{template.replace('_', '-')}-{slug(voucher.number)}.pdf",
            f"{desk.language.gettext(_TITLES[voucher.kind])} {voucher.number}",
            Audience.CUSTOMER,
            bill.job,
            voucher=voucher,
            bill=bill,
            rows=tuple(
                BilledRow(bill=line, places=desk.places(line.unit_price), prints=()) for line in bill.lines
            ),
            **_parties(desk, customer),
        )
        yield from with_einvoice(paper, _invoiced(desk, voucher, customer), desk.language)


def _invoiced(desk: ShopDesk, voucher: Voucher, customer: Customer) -> Invoiced:
    _, corrects = desk.language.gettext, voucher.corrects
    settled = _("We take it off what is open of the invoice, or pay it back where that is paid.")
    return Invoiced(
        kind=CREDIT_NOTE if corrects else PREPAYMENT,
        number=voucher.number,
        issued=voucher.issued,
        bill=voucher.bill,
        shop=desk.shop,
        customer=customer,
        terms=settled if corrects else voucher.bill.terms,
        customer_order=voucher.customer_order,
        pick_up=voucher.pick_up,
        corrects=corrects,
        notes=(corrects.reason,) if corrects else (),
    )


def statements(made: tuple[Statement, ...], shop: Shop) -> Iterator[Document]:
    """The paper of each statement."""
    house = ShopDesk(shop)
    for statement in made:
        customer = shop.customer(statement.customer)
        desk = house.speaking(customer.language)
        title = desk.language.gettext("Statement of account, %(day)s", day=desk.display.day(statement.as_of))
        yield desk.paper(
            "statement",
            f"statement-{slug(statement.customer)}.pdf",
            title,
            Audience.CUSTOMER,
            statement=statement,
            items=tuple(_row(desk, item, statement) for item in statement.items),
            ages=tuple(_ages(desk, statement)),
            **_parties(desk, customer),
        )


def _parties(desk: ShopDesk, customer: Customer) -> dict[str, Any]:
    own, theirs = desk.shop.address, customer.address
    return {
        "customer": customer,
        "shop_address": desk.address(own, theirs.country),
        "customer_address": desk.address(theirs, own.country),
    }


def _row(desk: ShopDesk, item: AccountItem, statement: Statement) -> ItemRow:
    return ItemRow(
        item=item,
        kind=desk.language.gettext(_ITEMS[item.kind]),
        settled=Money(item.bill.total - item.open),
        parts=tuple(_parts(desk, item)),
        overdue=max(0, (statement.as_of - item.bill.pay_by).days) if item.open > 0 else 0,
    )


def _parts(desk: ShopDesk, item: AccountItem) -> Iterator[SettledPart]:
    """What settled a part of it, in the order of deposits, credit notes and payments."""
    _, day = desk.language.gettext, desk.display.day
    for deposit in item.bill.prepaid:
        yield SettledPart(text=_("Paid on account, %(number)s", number=deposit.number), amount=deposit.amount)
    for note in item.credits:
        text = _("Credit note %(number)s of %(day)s", number=note.number, day=day(note.issued))
        yield SettledPart(text=text, amount=note.bill.total)
    for payment in item.payments:
        back = payment.amount < 0
        text = (
            _("Paid back on %(day)s", day=day(payment.paid))
            if back
            else _("Paid on %(day)s", day=day(payment.paid))
        )
        yield SettledPart(text=text, amount=payment.amount)


def _ages(desk: ShopDesk, statement: Statement) -> Iterator[AgeColumn]:
    _ = desk.language.gettext
    between = [_("%(first)s to %(last)s days", first=last + 1, last=age) for last, age in pairwise(AGES)]
    titles = [_("Not yet due"), *between, _("Over %(last)s days", last=AGES[-1])]
    for title, amount in zip(titles, statement.ageing, strict=True):
        yield AgeColumn(title=title, amount=amount)
