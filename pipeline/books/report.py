"""What the commands about the ledger say: for people, and as data for programs. Pure functions."""

from collections.abc import Iterable, Sequence
from datetime import date

from pipeline.books.counter import Given
from pipeline.canonical import plain
from pipeline.model.account import AccountItem, Statement, Voucher, VoucherKind
from pipeline.model.money import Money
from pipeline.model.prints import StockLot
from pipeline.model.show import count, inches, money

_NAMES = {VoucherKind.CREDIT: "Credit note", VoucherKind.DEPOSIT: "Deposit invoice"}


def given_text(given: Given, currency: str) -> str:
    """What was given now, what before, and where it lies."""
    lines = [f"{_voucher(voucher, currency)}." for voucher in given.given]
    lines += [f"{_voucher(voucher, currency)}: given before." for voucher in given.known]
    if given.restored:
        lines.append(f"Missing or changed, and restored: {', '.join(given.restored)}")
    lines += [f"Papers: {folder}" for folder in given.folders]
    return "\n".join(lines)


def given_data(given: Given) -> dict[str, object]:
    """The same for programs."""
    return {
        "given": [_voucher_data(voucher) for voucher in given.given],
        "known": [_voucher_data(voucher) for voucher in given.known],
        "folders": list(given.folders),
        "restored": list(given.restored),
    }


def shown_text(items: Sequence[AccountItem], stock: Sequence[StockLot], on: date, currency: str) -> str:
    """Invoices, deposits and leftover prints as tables."""
    invoices = [item for item in items if item.kind is VoucherKind.INVOICE]
    deposits = [item for item in items if item.kind is VoucherKind.DEPOSIT]
    owed = Money(sum(item.open for item in items))
    blocks = [_table(f"Invoices ({count(len(invoices), 'invoice')})", _item_rows(invoices, currency))]
    if deposits:
        blocks.append(_table("Deposits", _item_rows(deposits, currency)))
    blocks.append(f"Open in all: {money(owed, currency)}")
    blocks.append(_table(f"Leftover prints good on {on}", _lot_rows(stock)) if stock else "No leftover prints.")
    return "\n\n".join(blocks)


def shown_data(items: Iterable[AccountItem], stock: Iterable[StockLot]) -> dict[str, object]:
    """The same for programs: amounts in minor units, lengths in micrometres."""
    return {
        "items": [
            {
                "kind": str(item.kind),
                "number": item.number,
                "job": item.bill.job,
                "customer": item.bill.customer,
                "issued": item.issued.isoformat(),
                "pay_by": item.bill.pay_by.isoformat(),
                "total": item.bill.total,
                "prepaid": item.bill.total - item.bill.due,
                "credited": item.credited,
                "paid": item.paid,
                "open": item.open,
                "credits": [_voucher_data(note) for note in item.credits],
                "payments": plain(item.payments),
            }
            for item in items
        ],
        "stock": [plain(lot) for lot in stock],
    }


def statement_lines(made: Iterable[Statement], currency: str) -> list[str]:
    """One line for each customer."""
    return [f"{s.customer}: {count(len(s.items), 'item')}, {money(s.total, currency)}" for s in made]


def _voucher(voucher: Voucher, currency: str) -> str:
    of = f" on {voucher.corrects.number}" if voucher.corrects else ""
    amount = money(voucher.bill.total, currency)
    return f"{_NAMES[voucher.kind]} {voucher.number}{of}, {voucher.issued}, {voucher.bill.job}: {amount}"


def _voucher_data(voucher: Voucher) -> dict[str, object]:
    return {
        "kind": str(voucher.kind),
        "number": voucher.number,
        "issued": voucher.issued.isoformat(),
        "job": voucher.bill.job,
        "corrects": voucher.corrects.number if voucher.corrects else "",
        "net": voucher.bill.net,
        "tax": voucher.bill.tax,
        "rounding": voucher.bill.rounding,
        "total": voucher.bill.total,
    }


def _item_rows(items: Iterable[AccountItem], currency: str) -> Sequence[Sequence[str]]:
    head = ("number", "issued", "job", "customer", "total", "deposit", "credited", "paid", "open", "pay by")
    return [head] + [
        (
            item.number,
            f"{item.issued}",
            item.bill.job,
            item.bill.customer,
            money(item.bill.total, currency),
            money(Money(item.bill.total - item.bill.due), currency) if item.bill.total != item.bill.due else "",
            money(item.credited, currency) if item.credited else "",
            money(item.paid, currency),
            money(item.open, currency),
            f"{item.bill.pay_by}" if item.open > 0 else "",
        )
        for item in items
    ]


def _lot_rows(stock: Iterable[StockLot]) -> Sequence[Sequence[str]]:
    head = ("lot", "copies", "customer", "artwork", "size", "transfer", "use by", "place")
    return [head] + [
        (
            f"{lot.lot}",
            f"{lot.copies}",
            lot.customer,
            lot.artwork.rsplit("/", 1)[-1],
            f"{inches(lot.width).removesuffix(' in')} x {inches(lot.height)}",
            lot.transfer,
            f"{lot.use_by}",
            lot.place or "-",
        )
        for lot in stock
    ]


_FIGURES = {"total", "deposit", "credited", "paid", "open", "lot", "copies"}


def _table(title: str, rows: Sequence[Sequence[str]]) -> str:
    """The rows below one another, figures by their ends; the first row holds the headings."""
    columns = [(head in _FIGURES, max(map(len, (head, *cells)))) for head, *cells in zip(*rows, strict=True)]
    lines = [
        "  ".join(
            cell.rjust(width) if figures else cell.ljust(width)
            for cell, (figures, width) in zip(row, columns, strict=True)
        )
        for row in rows
    ]
    return "\n".join((title, *(f"  {line}".rstrip() for line in lines)))
