"""A run in words: what it made, what it cost, what to do next. Pure functions of the report."""

from datetime import datetime

from pipeline.canonical import plain
from pipeline.display import Display
from pipeline.model.cost import MarginLevel
from pipeline.model.money import Money, as_decimal
from pipeline.model.run import Run, RunKind
from pipeline.model.schedule import PressSchedule, RunState
from pipeline.model.show import count, money, percent
from pipeline.replan import Replanned
from pipeline.report import as_json as problems_as_json
from pipeline.run import Report


def summary(report: Report) -> str:
    """The summary of `run` and `quote` for a terminal."""
    lines = [*_repeated(report)]
    if report.run is not None:
        lines += _planned(report.run)
        lines += _without(report.run)
    if report.held:
        lines.append(f"Held: {', '.join(report.held)}. Mend what is named above and run again.")
    if report.run is not None:
        lines += _next_steps(report, report.run)
    elif report.held and not report.repeated:
        lines.append("Nothing was planned.")
    elif not report.repeated:
        lines.append("No order is gathered: `peelwright watch` takes in what is dropped into the inbox.")
    return "\n".join(lines)


def checked(report: Report) -> str:
    """The summary of `check`."""
    if report.repeated and not (report.orders or report.held):
        return "\n".join((*_known(report), "Nothing new."))
    good = f"{count(len(report.orders), 'order')} can go on"
    if report.held:
        good += f"; held: {', '.join(report.held)}"
    return "\n".join((*_known(report), f"{good}."))


def as_json(report: Report) -> dict[str, object]:
    """The report for tools: what was done, and every problem."""
    run = report.run
    return {
        "kind": str(report.kind),
        "label": run.label if run else "",
        "folder": report.folder,
        "orders": [{"job": o.job, "invoice": run.invoice_number(o.job) if run else ""} for o in report.orders],
        "without": plain(run.without) if run else None,
        "held": list(report.held),
        "repeated": [{"job": r.job, "invoice": r.invoice, "run": r.run} for r in report.repeated],
        "written": list(report.delivery.written) if report.delivery else [],
        "restored": list(report.restored),
        "problems": problems_as_json(report.problems),
    }


def replanned(done: Replanned) -> str:
    """The summary of a week that was planned again."""
    replan = done.replan
    runs = replan.schedule.runs
    states = [(count(sum(run.state is state for run in runs), "run"), str(state)) for state in RunState]
    lines = [
        f"{' and '.join(replan.runs)} again, as of {_moment(replan.schedule.as_of)}, after {done.before}",
        f"  pressing  {'; '.join(f'{number} {state}' for number, state in states)}" + _until(replan.schedule),
        *_late(replan.schedule),
        "",
        "Nothing was bought, numbered or recorded.",
        f"Press by: {done.folder}/floor/schedule.pdf, and the instructions beside it",
        f"See it all: {done.folder}/index.html",
    ]
    return "\n".join(lines)


def replanned_as_json(done: Replanned) -> dict[str, object]:
    """The same for tools."""
    return {
        "label": done.replan.label,
        "runs": list(done.replan.runs),
        "before": done.before,
        "folder": done.folder,
        "late": [late.job for late in done.replan.schedule.late],
        "held": list(done.held),
        "written": list(done.delivery.written),
        "problems": problems_as_json(done.problems),
    }


def _known(report: Report) -> list[str]:
    known = ", ".join(f"{r.job} as {r.invoice}" for r in report.repeated)
    return [f"Already invoiced, unchanged: {known}."] if known else []


def _repeated(report: Report) -> list[str]:
    lines = _known(report)
    if report.restored:
        lines.append(f"Missing or changed, and restored: {', '.join(report.restored)}")
    if lines and report.run is None:
        done = "" if report.restored or report.held else ": nothing to do"
        lines.append(f"Nothing new{done}. Papers: {', '.join(report.earlier)}")
    return lines


def _planned(run: Run) -> list[str]:
    plan = run.plan
    batch = plan.bills.margin(MarginLevel.BATCH)
    quote = run.kind is RunKind.QUOTE
    title = f"{'Quote' if quote else 'Run'} {run.label}, {run.date}: "
    lines = [
        title + f"{count(len(plan.orders), 'order')}, {count(sum(o.quantity for o in plan.orders), 'piece')}",
        "",
        f"  sheets    {_sheets(run)}",
        f"  pressing  {count(len(plan.schedule.runs), 'run')}" + _until(plan.schedule),
        f"  asked     {_money(run, batch.net)} net, without freight; cost {_money(run, batch.cost)}",
        f"  margin    {_money(run, batch.amount)}" + (f", {percent(batch.share, 1)}" if batch.share else ""),
    ]
    if not quote and run.invoices:
        numbers = dict.fromkeys((run.invoices[0].number, run.invoices[-1].number))
        lines.append(f"  {_plural(len(run.invoices), 'invoice'):<10}{' to '.join(numbers)}")
    return [*lines, *_late(plan.schedule), ""]


def _late(schedule: PressSchedule) -> list[str]:
    lines = ["  late      nothing"] if not schedule.late else []
    show = Display()
    for late in schedule.late:
        hours = late.late_by.total_seconds() / 3600
        lines.append(
            f"  LATE      {late.job} by {hours:.1f} h: ready {_moment(late.ready)}, waits for {late.waits_for}"
        )
        lines += [f"              would help: {show.remedy(found)}" for found in late.helps]
    if schedule.late and schedule.tried and not any(late.helps for late in schedule.late):
        lines.append(
            f"              none of {count(schedule.tried, 'change')} of the week that were tried would help"
        )
    return lines


def _without(run: Run) -> list[str]:
    """What each of the others pays for its transfers and is asked in all, after some were taken off."""
    if run.without is None:
        return []
    off, orders = run.without.off, run.without.orders
    head = ("job", "transfers", "after", "change", "net", "after", "change")
    rows = [
        (
            o.job,
            *(_amount(run, money) for money in (o.transfers, o.transfers_after)),
            _amount(run, o.transfers_change, signed=True),
            *(_amount(run, money) for money in (o.net, o.net_after)),
            _amount(run, o.net_change, signed=True),
        )
        for o in orders
    ]
    widths = [max(map(len, column)) for column in zip(head, *rows, strict=True)]
    words = [
        f"{o.job} paid {_money(run, o.paid)} for its transfers; alone they cost {_money(run, o.alone)}"
        for o in off
    ]
    table = [
        "  " + "  ".join(f"{cell:{'>' if at else '<'}{widths[at]}}" for at, cell in enumerate(row))
        for row in (head, *rows)
    ]
    return [
        f"Without {', '.join(o.job for o in off)}, in {run.shop.currency}:",
        *table,
        f"  all transfers: {_amount(run, run.without.purchase)}, after {_amount(run, run.without.purchase_after)}",
        *(f"  {line}" for line in words),
        "",
    ]


def _amount(run: Run, amount: Money, *, signed: bool = False) -> str:
    return f"{as_decimal(amount, run.shop.currency):{'+' if signed and amount else ''},f}"


def _sheets(run: Run) -> str:
    sheets = run.plan.sheets
    if not sheets.layouts:
        return "none to buy: the prints are in stock"
    bought = sum(layout.sheets for layout in sheets.layouts)
    return f"{bought} of {count(len(sheets.layouts), 'layout')}, {_money(run, sheets.cost)}{_saving(run)}"


def _saving(run: Run) -> str:
    sheets = run.plan.sheets
    saved = Money(sheets.simple_cost - sheets.cost)
    words = ""
    if saved > 0:
        words += f"; {_money(run, saved)} less than a layout for each order"
    if sheets.gap is not None:
        words += (
            f"; within {percent(sheets.gap, 1)} of the best possible" if sheets.gap else "; the best possible"
        )
    return words


def _until(schedule: PressSchedule) -> str:
    runs = schedule.runs
    if not runs:
        return ""
    return f", {_moment(min(run.start for run in runs))} to {_moment(max(run.done for run in runs))}"


def _moment(moment: datetime | None) -> str:
    return Display().moment(moment) if moment else ""


def _next_steps(report: Report, run: Run) -> list[str]:
    folder = report.folder
    if run.kind is RunKind.QUOTE:
        words = [f"Nothing was recorded. Quotes: {folder}", f"See it all: {folder}/index.html"]
        if run.without is not None:
            words.insert(1, "To take them off, move their files out of the folder and run.")
        return words
    sheets = ", with the sheets beside it" if run.plan.sheets.layouts else ""
    return [
        "Next:",
        f"  1. order   {folder}/suppliers/*/purchase-order.pdf{sheets}",
        f"  2. count   {folder}/office/blanks.pdf",
        f"  3. press   {folder}/floor/schedule.pdf",
        f"  4. pack    {folder}/orders/*/packing-list.pdf, and send the invoices",
        f"See it all: {folder}/index.html",
    ]


def _plural(number: int, noun: str) -> str:
    return noun if number == 1 else f"{noun}s"


def _money(run: Run, amount: Money) -> str:
    return money(amount, run.shop.currency)
