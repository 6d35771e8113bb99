"""Bills as the ledger keeps them: read again, and whether they add up.

Whether one adds up is asked before a number is given, and again of every bill in the ledger. For that it is read
as plain data (`canonical.fields`), so that the same rules judge a bill of today and one written years ago.
"""

from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from typing import Any

from pipeline.model.cost import Bill, BillLine, Prepayment, TaxLine
from pipeline.model.measure import Percent
from pipeline.model.money import rounded


def bill_of(bill: Mapping[str, Any]) -> Bill:
    """The bill that was recorded as this plain data."""
    return Bill(
        job=bill["job"],
        customer=bill["customer"],
        lines=tuple(BillLine(**{**line, "unit_price": Fraction(line["unit_price"])}) for line in bill["lines"]),
        taxes=tuple(TaxLine(**{**tax, "percent": Percent(Fraction(tax["percent"]))}) for tax in bill["taxes"]),
        net=bill["net"],
        tax=bill["tax"],
        total=bill["total"],
        deposit=bill["deposit"],
        pay_by=date.fromisoformat(bill["pay_by"]),
        terms=bill["terms"],
        prepaid=tuple(
            Prepayment(**{**paid, "paid": date.fromisoformat(paid["paid"])}) for paid in bill.get("prepaid", ())
        ),
    )


def bill_faults(bill: Mapping[str, Any], closing: Mapping[str, int] | None = None) -> tuple[str, ...]:
    """What does not add up, in words for people; empty for a good bill. Raises KeyError for half a bill.

    `closing` gives by rate what a credit note may take back besides the tax of its own lines: all that is left, so
    that several notes together do not differ by a cent from their invoice.
    """
    faults: list[str] = []

    def expect(what: str, stands: int, *allowed: int) -> None:
        if stands not in allowed:
            should = " or ".join(dict.fromkeys(str(amount) for amount in allowed))
            faults.append(f"{what} is {stands}, should be {should}")

    for line in bill["lines"]:
        amount = rounded(line["quantity"] * Fraction(line["unit_price"]))
        expect(f"line {line['number']}", line["net"], amount)
    for tax in bill["taxes"]:
        nets = [line["net"] for line in bill["lines"] if line["tax"] == tax["tax"]]
        percent = Fraction(tax["percent"])
        expect(f"the base of {tax['title']}", tax["base"], sum(nets))
        # Which of the two roundings the shop had chosen then is not kept; both are lawful.
        by_line = sum(rounded(net * percent) for net in nets)
        rest = () if closing is None else (closing.get(tax["tax"], 0),)
        exact, rounding = rounded(tax["base"] * percent), tax.get("rounding", 0)
        expect(tax["title"], tax["amount"] + rounding, exact, by_line, *rest)
        if rounding:
            expect(tax["title"], tax["amount"], exact)
    expect("the net amount", bill["net"], sum(line["net"] for line in bill["lines"]))
    expect("the tax", bill["tax"], sum(tax["amount"] for tax in bill["taxes"]))
    rounding = sum(tax.get("rounding", 0) for tax in bill["taxes"])
    expect("the total", bill["total"], bill["net"] + bill["tax"] + rounding)
    return tuple(faults)
