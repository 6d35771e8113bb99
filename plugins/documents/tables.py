"""The run as tables: CSV by RFC 4180 for other programs, and all of them as one workbook in the shop's language.

Money stands as plain decimals in the shop's currency, lengths in millimetres, times by ISO 8601. Text that a
spreadsheet would run as a formula gets an apostrophe in front (OWASP ASVS 1.2.10).
"""

from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal

from pipeline.model.cost import MarginLevel
from pipeline.model.document import Audience, Document
from pipeline.model.measure import millimetres
from pipeline.model.money import Money, as_decimal, round_decimal
from plugins.documents.desk import Desk, FloorDesk, WholeWork, Work
from plugins.documents.office import the_week
from plugins.documents.timetable import run_rows
from plugins.documents.workbook import FORMULA, workbook

Row = dict[str, object]


def works(desk: Desk) -> Iterator[Work]:
    """orders, sheets, sharing, costs and schedule, each by itself and all in the workbook, after a summary."""
    yield WholeWork(_documents, desk)


def _documents(desk: Desk) -> Iterator[Document]:
    _ = desk.language.gettext
    tables = (
        ("orders", _("Table of orders"), tuple(_orders(desk))),
        ("sheets", _("Table of sheets"), tuple(_sheets(desk))),
        ("sharing", _("Table of shares"), tuple(_sharing(desk))),
        ("costs", _("Table of costs"), tuple(_costs(desk))),
        ("schedule", _("Table of the schedule"), tuple(_schedule(desk))),
    )
    for name, title, rows in tables:
        yield _table(name, title, rows)
    title = _("Workbook of the week %(week)s", week=desk.week)
    sheets = {"summary": tuple(_summary(desk)), **{name: rows for name, _title, rows in tables}}
    content = workbook(sheets, title=title, day=desk.run.date, language=desk.language)
    yield Document(path="tables/week.xlsx", title=title, content=content, audience=Audience.OFFICE)


def schedule_table(desk: FloorDesk) -> Document:
    """The press runs, in the order of their start."""
    return _table("schedule", desk.language.gettext("Table of the schedule"), tuple(_schedule(desk)))


def _table(name: str, title: str, rows: Sequence[Row]) -> Document:
    return Document(path=f"tables/{name}.csv", title=title, content=as_csv(rows), audience=Audience.OFFICE)


def as_csv(rows: Sequence[Row]) -> bytes:
    """The rows as CSV with a header; UTF-8, CR LF, formulas defused in text."""
    import pandas as pd

    safe = [{key: _plain(value) for key, value in row.items()} for row in rows]
    # dtype object: pandas must not turn decimals into binary fractions on their way to the file.
    frame = pd.DataFrame(safe, dtype="object")
    text: str = frame.to_csv(index=False, lineterminator="\r\n")
    return text.encode()


def _plain(value: object) -> object:
    if isinstance(value, date):  # a datetime is one, too
        return value.isoformat()
    return f"'{value}" if isinstance(value, str) and value.startswith(FORMULA) else value


def _summary(desk: Desk) -> Iterator[Row]:
    """A line for each order: what can be added up and looked at without a pivot."""
    for row in the_week(desk).orders:
        order, bill = desk.run.order(row.job), desk.run.plan.bills.bill(row.job)
        yield {
            "job": row.job,
            "customer": row.customer,
            "invoice": desk.run.invoice_number(row.job),
            "due": order.due,
            "pieces": row.pieces,
            "net": amount(desk, bill.net),
            "tax": amount(desk, bill.tax),
            "total": amount(desk, bill.total),
            "cost": amount(desk, row.margin.cost),
            "margin": amount(desk, row.margin.amount),
            "saved_by_sharing": amount(desk, row.sheet_saving),
            "late": "yes" if row.late else "no",
        }


def _orders(desk: Desk) -> Iterator[Row]:
    plan = desk.run.plan
    for order in plan.orders:
        bill, margin = plan.bills.bill(order.job), plan.bills.margin(MarginLevel.ORDER, order.job)
        for number, line in enumerate(order.lines, 1):
            for item in line.pieces:
                yield {
                    "job": order.job,
                    "customer": order.customer,
                    "customer_order": order.customer_order,
                    "invoice": desk.run.invoice_number(order.job),
                    "due": order.due,
                    "delivery": str(order.delivery),
                    "line": number,
                    "garment": line.garment,
                    "colour": line.colour,
                    "size": item.size,
                    "pieces": item.count,
                    "order_net": amount(desk, bill.net),
                    "order_tax": amount(desk, bill.tax),
                    "order_total": amount(desk, bill.total),
                    "order_cost": amount(desk, margin.cost),
                    "order_margin": amount(desk, margin.amount),
                }


def _sheets(desk: Desk) -> Iterator[Row]:
    plan = desk.run.plan
    for layout in plan.sheets.layouts:
        for number, item in enumerate(layout.prints, 1):
            demand = plan.prints.demand(item.demand)
            yield {
                "layout": layout.id,
                "transfer": layout.transfer,
                "sheet_size": layout.sheet_size,
                "sheet_width_mm": _mm(layout.width),
                "sheet_height_mm": _mm(layout.height),
                "sheets": layout.sheets,
                "cutting_stages": layout.stages,
                "price_per_sheet": amount(desk, layout.price),
                "set_up": amount(desk, layout.set_up),
                "layout_cost": amount(desk, layout.cost),
                "print": number,
                "demand": item.demand,
                "jobs": " ".join(demand.jobs),
                "artwork": demand.artwork.path,
                "x_mm": _mm(item.x),
                "y_mm": _mm(item.y),
                "width_mm": _mm(item.width),
                "height_mm": _mm(item.height),
                "turned": "yes" if item.turned else "no",
            }


def _sharing(desk: Desk) -> Iterator[Row]:
    for share in desk.run.plan.costs.orders:
        yield {
            "job": share.job,
            "customer": desk.run.order(share.job).customer,
            "transfers_alone": amount(desk, share.alone),
            "transfers": amount(desk, share.shared),
            "saved": amount(desk, share.saving),
        }


def _costs(desk: Desk) -> Iterator[Row]:
    plan = desk.run.plan
    for cost in plan.costs.lines:
        for part in cost.parts:
            yield {
                "job": cost.job,
                "line": cost.line + 1,
                "kind": str(part.kind),
                "cost": amount(desk, part.amount),
            }


def _schedule(desk: FloorDesk) -> Iterator[Row]:
    late = {order.job for order in desk.pressing.schedule.late}
    for row in run_rows(desk):
        run, task = row.run, row.task
        yield {
            "run": task.id,
            "state": str(run.state),
            "job": row.job,
            "line": task.ref.line + 1,
            "print": task.ref.print + 1,
            "what": row.what,
            "pieces": task.quantity,
            "spares": task.spares,
            "transfer": task.transfer,
            "press": run.press,
            "platen": run.platen,
            "pad": run.pad,
            "pressure_setting": run.pressure_setting,
            "changes": "; ".join(run.changes),
            "operator": run.operator,
            "change_start": run.change_start,
            "start": run.start,
            "end": run.end,
            "rack_slots": run.rack_slots,
            "peeler": run.peeler,
            "peel_start": run.peel_start or "",
            "done": run.done,
            "release": task.release,
            "due": task.due,
            "after": " ".join(task.after),
            "order_late": "yes" if row.job in late else "no",
        }


def amount(desk: Desk, amount: Money) -> Decimal:
    """An amount for a table."""
    # A Decimal, not text: a negative amount is no formula, and is written with the currency's own decimals.
    return as_decimal(amount, desk.shop.currency)


def _mm(length: int) -> Decimal:
    return round_decimal(millimetres(length), 3)
