"""Figures of published examples of EN 16931, retyped: amounts as printed there.

Source: CEN/TC 434's examples in UBL 2.1 (CEN/TS 16931-3-2), as the European Commission publishes them with the
validation rules in `ubl/examples/`. Here are six of nineteen. Missing: ubl-tc434-example1, 3 to 6, 9 and 10,
BIS3_Invoice_negativ, guide-example1 to 3, issue116, an Italian one, and all examples in CII.
"""

from decimal import Decimal

from tests.referee_einvoice import Change, Figures, Line, Tax


def _line(
    quantity: str,
    price: str,
    net: str,
    rate: str | None,
    category: str = "S",
    base: str = "1",
    changes: tuple[Change, ...] = (),
) -> Line:
    return Line(
        quantity=Decimal(quantity),
        price=Decimal(price),
        net=Decimal(net),
        category=category,
        rate=None if rate is None else Decimal(rate),
        base_quantity=Decimal(base),
        changes=changes,
    )


def _change(amount: str, rate: str | None = None) -> Change:
    return Change(amount=Decimal(amount), category="S" if rate else "", rate=Decimal(rate) if rate else None)


def _tax(base: str, amount: str, rate: str | None, category: str = "S", reason: str = "") -> Tax:
    return Tax(
        category=category,
        rate=None if rate is None else Decimal(rate),
        base=Decimal(base),
        amount=Decimal(amount),
        reason=reason,
    )


def _totals(**amounts: str) -> dict[int, Decimal]:
    return {int(term.removeprefix("bt")): Decimal(amount) for term, amount in amounts.items()}


EXAMPLES = {
    # A tie: 625743.54 x 25 % = 156435.885.
    "BIS3_Invoice_positive": Figures(
        lines=(_line("1", "625743.54", "625743.54", "25"),),
        changes=(),
        taxes=(_tax("625743.54", "156435.89", "25"),),
        totals=_totals(
            bt106="625743.54", bt109="625743.54", bt110="156435.89", bt112="782179.43", bt115="782179.43"
        ),
    ),
    # Allowance and charge of the document, goods returned, an exempt line, prepaid; a tie: 1460.50 x 25 %.
    "ubl-tc434-example2": Figures(
        lines=(
            _line("2", "1273.00", "1273.00", "25", changes=(_change("-12.00"), _change("12.00"))),
            _line("-1", "3.96", "-3.96", "15"),
            _line("2", "2.48", "4.96", "15"),
            _line("-1", "25.00", "-25.00", "0", "E"),
            _line("250", "0.75", "187.50", "25"),
        ),
        changes=(_change("-100.00", "25"), _change("100.00", "25")),
        taxes=(
            _tax("1460.50", "365.13", "25"),
            _tax("1.00", "0.15", "15"),
            _tax("-25.00", "0.00", "0", "E", "Exempt New Means of Transport"),
        ),
        totals=_totals(
            bt106="1436.50",
            bt107="100.00",
            bt108="100.00",
            bt109="1436.50",
            bt110="365.28",
            bt112="1801.78",
            bt113="1000.00",
            bt115="801.78",
        ),
    ),
    # Prices for twelve, and the tax of the sum: by line it would be 190.88.
    "ubl-tc434-example8": Figures(
        lines=(
            _line("16000", "0.00880", "140.80", "21"),
            _line("16000", "0.00101", "16.16", "21"),
            _line("132", "15.24", "167.64", "21", base="12"),
            _line("58", "1.53", "88.74", "21"),
            _line("1", "441.00", "36.75", "21", base="12"),
            _line("1", "678.00", "56.50", "21", base="12"),
            _line("1", "83.34", "83.34", "21"),
            _line("1", "190.31", "190.31", "21"),
            _line("1", "64.21", "64.21", "21"),
            _line("1", "64.46", "64.46", "21"),
        ),
        changes=(),
        taxes=(_tax("908.91", "190.87", "21"),),
        totals=_totals(bt106="908.91", bt109="908.91", bt110="190.87", bt112="1099.78", bt115="1099.78"),
    ),
    # Not subject to VAT: no rate.
    "ubl-tc434-example7": Figures(
        lines=(_line("1", "2500.00", "2500.00", None, "O"), _line("1", "700.00", "700.00", None, "O")),
        changes=(),
        taxes=(_tax("3200.00", "0.00", None, "O", "Tax"),),
        totals=_totals(bt106="3200.00", bt109="3200.00", bt110="0.00", bt112="3200.00", bt115="3200.00"),
    ),
    # A credit note, exempt.
    "ubl-tc434-creditnote1": Figures(
        lines=(_line("1.00", "100.11", "100.11", "0.00", "E"),),
        changes=(),
        taxes=(_tax("100.11", "0.00", "0.00", "E", "Taxes are not applicable"),),
        totals=_totals(bt106="100.11", bt109="100.11", bt110="0.00", bt112="100.11", bt115="100.11"),
    ),
    # Four decimals in the price.
    "sample-discount-price": Figures(
        lines=(_line("100.000", "0.1212", "12.12", "25"),),
        changes=(),
        taxes=(_tax("12.12", "3.03", "25"),),
        totals=_totals(bt106="12.12", bt109="12.12", bt110="3.03", bt112="15.15", bt115="15.15"),
    ),
}
