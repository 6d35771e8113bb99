"""What e-invoices ask of a shop's files (EN 16931-1, by the rules that are named), so that no invoice fails later.

Only where `einvoice:` stands in shop.yaml. Schematron rules of the national kind are not looked at.
"""

from collections.abc import Iterable, Iterator
from importlib.util import find_spec

from pipeline.problems import FromFile, Origin, Problem
from pipeline.shop import Customer, EInvoiceRules, Shop, TaxBasis, TaxRate, TaxRegime, VatCategory

LIBRARY = "facturx"
"""The package that writes the XML, of the extra `einvoice`."""


def einvoice_problems(shop: Shop) -> Iterator[Problem]:
    """What is missing or wrong for e-invoices. Problems: E211, and E212 when the extra is not installed."""
    if (rules := shop.einvoice) is None:
        return
    if find_spec(LIBRARY) is None:
        hint = "in peelwright's folder: pip install '.[einvoice]', or delete `einvoice:`"
        message = "e-invoices need an extra that is not installed"
        yield Problem(code="E212", message=message, hint=hint, origin=rules.origin)
    if shop.tax.regime is not TaxRegime.VAT:
        yield _wrong("e-invoices are for shops that charge VAT", "delete `einvoice:`", shop.tax.at("regime"))
        return
    if shop.tax.basis is TaxBasis.LINE:
        # BR-CO-17: the tax is that of the sum.
        hint = "write `basis: invoice`"
        yield _wrong("e-invoices round the tax once per rate", hint, shop.tax.at("basis"))
    yield from _rates(shop, rules)
    yield from _numbers(rules)
    yield from _codes(shop, rules)
    for customer in shop.customers:
        yield from _customer(customer, shop)


def _rates(shop: Shop, rules: EInvoiceRules) -> Iterator[Problem]:
    words = ", ".join(category for category in VatCategory if category is not VatCategory.STANDARD)
    seen: dict[object, TaxRate] = {}
    for rate in shop.tax.rates:
        standard = rate.category in (None, VatCategory.STANDARD)
        if standard and not rate.percent:
            hint = f"write `category:` and one of {words}"
            yield _wrong("a rate of 0 % needs its `category` for e-invoices", hint, rate.at("percent"))
        elif rate.percent and not standard:
            hint = "write 0%, or leave the category out"
            yield _wrong(f"a rate that is {rate.category} has 0 %", hint, rate.at("category"))
        elif rate.percent and seen.setdefault(rate.percent, rate) is not rate:
            # One breakdown for each category and rate, rounded once (BR-S-08).
            message = f"`{seen[rate.percent].name}` has the same percentage: e-invoices add up the two"
            yield _wrong(message, "use one rate for both", rate.at("percent"))
        if rate.category in (VatCategory.REVERSE_CHARGE, VatCategory.EXPORT) and not rules.vat_id:
            # BR-AE-02, BR-G-02.
            yield _wrong(f"{rate.category} needs the shop's own VAT number", "write `vat_id:`", rules.origin)
    used = [rate for rate in shop.tax.rates if rate.name in (shop.tax.goods, shop.tax.freight)]
    outside = [rate for rate in used if rate.category is VatCategory.OUTSIDE]
    if outside and len(outside) < len(used):
        # BR-O-11.
        hint = "use a rate of that kind for both goods and freight"
        yield _wrong(f"`{outside[0].name}` is outside VAT, and goes with no other rate", hint, outside[0].origin)
    if not outside and not (rules.vat_id or rules.tax_number):
        yield _wrong("the shop has neither VAT number nor tax number", "write `vat_id:`", rules.origin)
    no_vat_id = not rules.vat_id or any(rate.category is VatCategory.OUTSIDE for rate in shop.tax.rates)
    if no_vat_id and not rules.registration:
        # BR-CO-26; the VAT number is left out of what is outside VAT (BR-O-02).
        message = "an e-invoice without the shop's VAT number needs its registration"
        yield _wrong(message, "write `registration:`", rules.origin)


def _numbers(rules: EInvoiceRules) -> Iterator[Problem]:
    if rules.iban and not iban_holds(rules.iban):
        yield _wrong("the check digits of the IBAN are wrong", "look for a slip", rules.at("iban"))
    if rules.bic and not rules.iban:
        yield _wrong("a BIC goes with an IBAN", "write `iban:`", rules.at("bic"))


def iban_holds(iban: str) -> bool:
    """True when the check digits fit the rest: ISO 13616, by ISO/IEC 7064, MOD 97-10."""
    plain = iban.replace(" ", "")
    return int("".join(str(int(sign, 36)) for sign in plain[4:] + plain[:4])) % 97 == 1


def _codes(shop: Shop, rules: EInvoiceRules) -> Iterator[Problem]:
    """Currencies and countries that do not exist (BR-CL-04, BR-CL-14), VAT numbers without a country (BR-CO-09)."""
    from babel import Locale

    if shop.currency not in Locale("en").currencies:
        hint = "write its code of ISO 4217, such as EUR"
        yield _wrong(f"there is no currency `{shop.currency}`", hint, shop.at("currency"))
    known = {code for code in map(str, Locale("en").territories) if len(code) == 2 and code.isalpha()}
    addresses = [shop.address]
    for customer in shop.customers:
        addresses += [customer.address, *([customer.ship_to] if customer.ship_to else [])]
    for address in addresses:
        if address.country not in known:
            message = f"there is no country `{address.country}`"
            yield _wrong(message, "write its code of ISO 3166-1", address.at("country"))
    numbered: Iterable[tuple[str, FromFile]] = [(rules.vat_id, rules), *((c.vat_id, c) for c in shop.customers)]
    for number, owner in numbered:
        # Greece writes EL.
        if number and number[:2] not in known | {"EL"}:
            message = f"a VAT number begins with its country, and there is no `{number[:2]}`"
            yield _wrong(message, "write the country's two letters in front", owner.at("vat_id"))


def _customer(customer: Customer, shop: Shop) -> Iterator[Problem]:
    reverse = [rate.name for rate in shop.tax.rates if rate.category is VatCategory.REVERSE_CHARGE]
    if (customer.tax or shop.tax.goods) in reverse and not customer.vat_id:
        # BR-AE-02.
        hint = "write the customer's `vat_id:`"
        origin = customer.at("tax") if customer.tax else customer.origin
        yield _wrong(f"{customer.name} pays by reverse charge and has no VAT number", hint, origin)


def _wrong(message: str, hint: str, origin: Origin) -> Problem:
    return Problem(code="E211", message=message, hint=hint, origin=origin)
