"""What each customer owes at the end of a day, on paper. Nothing is recorded: the ledger can say it again."""

from datetime import date
from pathlib import Path

from attrs import frozen

from pipeline.books.counter import Counter, insist
from pipeline.model.account import Statement, statements
from pipeline.output import Delivery, deliver
from pipeline.problems import Problem, did_you_mean
from pipeline.spool import Spool


@frozen(kw_only=True)
class Stated:
    """The statements, their folder, and what was written there."""

    statements: tuple[Statement, ...]
    folder: Path
    delivery: Delivery | None


def state_accounts(counter: Counter, as_of: date, customer: str = "") -> Stated:
    """Write a statement for each customer with something open, or for one. Raises StopRun (E203)."""
    items = counter.ledger.items()
    names = {known.name for known in counter.shop.customers} | {item.bill.customer for item in items}
    if customer and customer not in names:
        hint = did_you_mean(customer, names) or "files in `customers/` have the names"
        insist([Problem(code="E203", message=f"unknown customer `{customer}`", hint=hint)])
    made = tuple(s for s in statements(items, as_of) if customer in ("", s.customer))
    folder = counter.out / f"statements-{as_of}"
    if not made:
        return Stated(statements=(), folder=folder, delivery=None)
    counter.insist_on(statement.customer for statement in made)
    with Spool() as spool:
        papers = spool.keep(counter.stages.make_statements(statements=made, shop=counter.shop))
        return Stated(statements=made, folder=folder, delivery=deliver(folder, papers))
