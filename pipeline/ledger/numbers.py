"""Invoice and purchase numbers: without a gap, in each series and calendar year from 1, in the order of the jobs.

The year is the calendar year of the day of issue, not the year of its ISO week: what is issued on 1 January 2027
belongs to 2027, though that day lies in week 2026-W53.
"""

from collections.abc import Iterable
from datetime import date
from enum import StrEnum

from attrs import evolve

from pipeline.ledger.cartons import coded
from pipeline.ledger.snapshot import Snapshot
from pipeline.model.order import Blanks
from pipeline.model.run import Numbered, Run
from pipeline.problems import Problem
from pipeline.shop import Numbering


class Series(StrEnum):
    """What is numbered, each for itself."""

    INVOICE = "invoice"
    PURCHASE = "purchase"
    CREDIT = "credit"
    DEPOSIT = "deposit"


def number(run: Run, snapshot: Snapshot) -> Run:
    """The run with the next invoice number for each order, purchase number for each supplier, code for each carton.

    A pure function: the numbers are given only when `Ledger.record` keeps them. The run's day must be that of
    the snapshot (ValueError).
    """
    if run.date != snapshot.on:
        raise ValueError(f"the ledger was read for {snapshot.on}, the run is of {run.date}")
    numbering = run.shop.numbering
    invoices = _numbered(numbering.invoice, run.date, snapshot.next_invoice, (o.job for o in run.orders))
    purchases = _numbered(numbering.purchase, run.date, snapshot.next_purchase, suppliers(run))
    return evolve(run, invoices=invoices, purchases=purchases, cartons=tuple(coded(run, snapshot)))


def suppliers(run: Run) -> tuple[str, ...]:
    """From whom something is bought: transfers first, in the order of the purchase, then blanks by order line."""
    transfers = [run.shop.transfer(order.transfer).supplier for order in run.plan.sheets.orders if order.sheets]
    blanks = [
        run.shop.garment(line.garment).supplier
        for order in run.orders
        for line in order.lines
        if line.blanks is Blanks.OURS
    ]
    return tuple(dict.fromkeys(transfers + blanks))


def printed(template: str, year: int, number: int) -> str:
    """The number as it is printed: `{year}-{number:04}` -> `2026-0017`. Raises ValueError on a bad template."""
    try:
        return template.format(year=year, number=number)
    except (KeyError, IndexError, AttributeError) as error:
        raise ValueError(f"`{template}` asks for {error}") from error


def number_problems(numbering: Numbering, on: date, last_issue: date | None) -> tuple[Problem, ...]:
    """Why no number can be given on the day `on`: its templates (E604), or a later day of issue before (E602).

    `last_issue` is the last day of the series; None where none was given, or going back is allowed.
    """
    problems = []
    taken: dict[str, Series] = {}
    for series in Series:
        template = str(getattr(numbering, series))
        message = f"`{template}` does not give every {series} a number of its own"
        hint = "write both {year} and {number}, for instance {year}-{number:04}"
        if _tells_apart(template):
            text = printed(template, on.year, 1)
            if series is Series.PURCHASE or taken.setdefault(text, series) is series:
                continue
            message = f"`{template}` numbers every {series} as every {taken[text]}"
            hint = "put a letter before one of them, for instance C{year}-{number:03}"
        problems.append(Problem(code="E604", message=message, hint=hint, origin=numbering.at(series)))
    if last_issue is not None and on < last_issue:
        problems.append(
            Problem(
                code="E602",
                message=f"the day of issue {on} lies before {last_issue}, on which numbers were already given",
                hint=f"numbers follow the days: choose {last_issue} or later, or add --allow-earlier-date",
            )
        )
    return tuple(problems)


def _numbered(template: str, on: date, first: int, names: Iterable[str]) -> tuple[Numbered, ...]:
    return tuple(
        Numbered(name=name, number=printed(template, on.year, value)) for value, name in enumerate(names, first)
    )


def _tells_apart(template: str) -> bool:
    """True when another year and another number each give another text."""
    try:
        texts = {printed(template, year, number) for year in (2026, 2027) for number in (1, 2, 12)}
    except ValueError:
        return False
    return len(texts) == 6
