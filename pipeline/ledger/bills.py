"""Whether a bill adds up: asked before a number is given, and again of every bill in the ledger.

The bill is read as plain data (`canonical.fields`), so that the same rules judge a bill of today and one written
years ago.
"""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from pipeline.model.money import rounded


def bill_faults(bill: Mapping[str, Any]) -> tuple[str, ...]:
    """What does not add up, in words for people; empty for a good bill. Raises KeyError for half a bill."""
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
        expect(tax["title"], tax["amount"], rounded(tax["base"] * percent), by_line)
    expect("the net amount", bill["net"], sum(line["net"] for line in bill["lines"]))
    expect("the tax", bill["tax"], sum(tax["amount"] for tax in bill["taxes"]))
    expect("the total", bill["total"], bill["net"] + bill["tax"])
    return tuple(faults)
