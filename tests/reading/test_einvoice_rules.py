"""What e-invoices ask of a shop's files is said at its line, before any invoice."""

import json
from pathlib import Path
from typing import Any

import pytest

from pipeline import einvoice_rules
from pipeline.einvoice_rules import iban_holds
from pipeline.load_shop import load_shop
from pipeline.problems import Problem
from tests.reading.shop_folder import example, make_folder

STANDARD = {"name": "standard", "title": "VAT 19 %", "percent": "19%"}
REVERSE = {
    "name": "reverse",
    "title": "VAT",
    "percent": "0%",
    "reason": "Reverse charge",
    "category": "reverse-charge",
}
OUTSIDE = {"name": "outside", "title": "VAT", "percent": "0%", "reason": "Not subject", "category": "outside"}
CUSTOMER = "customers/harbour-bakery.yaml"


def load(root: Path, office: dict[str, Any], customer: dict[str, Any]) -> list[Problem]:
    """The problems of a shop that makes e-invoices, with these changes to its files."""
    make_folder(root)
    given = {
        "tax": {"regime": "vat", "goods": "standard", "freight": "standard", "rates": [STANDARD, REVERSE]},
        "einvoice": {"vat_id": "DE000000000", "iban": "DE36 0000 0000 0000 0000 00"},
    }
    (root / "shop.yaml").write_text(json.dumps({**example("shop"), **given, **office}, indent=1), "utf-8")
    (root / CUSTOMER).write_text(json.dumps({**example("customer"), **customer}, indent=1), "utf-8")
    return [problem for problem in load_shop(root).problems if problem.code in ("E203", "E211", "E212")]


def tax(
    *rates: dict[str, Any], goods: str = "standard", freight: str = "standard", **more: Any
) -> dict[str, Any]:
    """The tax part of shop.yaml."""
    return {"tax": {"regime": "vat", "goods": goods, "freight": freight, "rates": list(rates), **more}}


def test_a_shop_that_has_all(tmp_path: Path) -> None:
    """Nothing is wrong, also with a customer abroad who pays the tax."""
    assert load(tmp_path, {}, {"tax": "reverse", "vat_id": "NL000000000B00"}) == []


@pytest.mark.parametrize(
    ("office", "customer", "field", "words"),
    [
        ({"tax": {"regime": "none"}}, {}, '"regime"', "for shops that charge VAT"),
        (tax(STANDARD, basis="line"), {}, '"basis"', "round the tax once per rate"),
        (tax(STANDARD, {**REVERSE, "category": "standard"}), {}, '"0%"', "needs its `category`"),
        (tax({**STANDARD, "category": "export"}), {}, '"category"', "a rate that is export has 0 %"),
        (tax(STANDARD, {**STANDARD, "name": "second"}), {}, '"19%"', "`standard` has the same percentage"),
        (tax(STANDARD, OUTSIDE, goods="outside"), {}, "{", "goes with no other rate"),
        ({"einvoice": {"vat_id": "XQ000000000"}}, {}, '"vat_id"', "there is no `XQ`"),
        ({"einvoice": {"registration": "HRB 0"}}, {}, "{", "reverse-charge needs the shop's own VAT number"),
        ({**tax(STANDARD), "einvoice": {"registration": "HRB 0"}}, {}, "{", "neither VAT number nor tax number"),
        ({**tax(STANDARD), "einvoice": {"tax_number": "0"}}, {}, "{", "needs its registration"),
        (
            {"einvoice": {"vat_id": "DE000000000", "iban": "DE63 0000 0000 0000 0000 00"}},
            {},
            '"iban"',
            "check digits",
        ),
        ({"einvoice": {"vat_id": "DE000000000", "bic": "AAAADEBB"}}, {}, '"bic"', "goes with an IBAN"),
        ({"currency": "XQZ"}, {}, '"currency"', "no currency `XQZ`"),
        ({}, {"tax": "reverse"}, '"tax"', "has no VAT number"),
        ({}, {"tax": "revers"}, '"tax"', "unknown tax rate `revers`"),
        ({}, {"vat_id": "XQ000000000"}, '"vat_id"', "there is no `XQ`"),
        (
            {},
            {"address": {"lines": ["1"], "city": "B", "postcode": "0", "country": "XQ"}},
            '"country"',
            "no country `XQ`",
        ),
    ],
)
def test_what_is_missing_is_said_where_it_belongs(
    tmp_path: Path, office: dict[str, Any], customer: dict[str, Any], field: str, words: str
) -> None:
    """One problem each, at the line of the value that is wrong."""
    found = [problem for problem in load(tmp_path, office, customer) if words in problem.message]
    assert len(found) == 1
    origin = found[0].origin
    assert origin is not None
    line = (tmp_path / origin.file).read_text("utf-8").splitlines()[origin.line - 1]
    assert field in line
    assert found[0].hint


def test_without_the_extra(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The shop hears what to install when its files are read, not when an invoice is due."""
    monkeypatch.setattr(einvoice_rules, "LIBRARY", "no_such_package_here")
    (problem,) = load(tmp_path, {}, {})
    assert (problem.code, problem.hint) == (
        "E212",
        "in peelwright's folder: pip install '.[einvoice]', or delete `einvoice:`",
    )


@pytest.mark.parametrize("slip", [False, True])
def test_check_digits_of_ibans(slip: bool) -> None:
    """An example that ISO 13616-1 prints (from memory), made up of an invented account; two digits exchanged fail."""
    assert iban_holds("GB82 WEST 1234 5698 7645 32" if slip else "GB82 WEST 1234 5698 7654 32") is not slip
