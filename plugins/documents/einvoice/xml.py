"""The terms of EN 16931 -> XML, by the library that knows both syntaxes.

It is told to check nothing: the Schematron would be asked of a server, and reading the schemas takes longer than
writing the invoice. The tests hold what it writes against schemas, Schematron and arithmetic.
"""

from typing import Any


def cii(terms: dict[str, Any]) -> bytes:
    """The invoice in the syntax Cross Industry Invoice (UN/CEFACT). Changes `terms`."""
    return _xml(terms, "factur-x")


def ubl(terms: dict[str, Any]) -> bytes:
    """The invoice or credit note in the syntax UBL 2.1 (ISO/IEC 19845). Changes `terms`."""
    currency = terms["BT-5"]
    # The library writes euros at the rounding (BT-114), whatever the currency.
    written, right = (f'<cbc:PayableRoundingAmount currencyID="{code}">'.encode() for code in ("EUR", currency))
    return _xml(terms, "ubl-2.1").replace(written, right)


def _xml(terms: dict[str, Any], flavor: str) -> bytes:
    from facturx import generate_xml

    content: bytes = generate_xml(terms, flavor=flavor, level="en16931", check_xsd=False, check_schematron=False)
    return content
