"""What the files of a shop say about each other: names that must exist, and values that must agree."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from itertools import pairwise
from zoneinfo import ZoneInfo, available_timezones

from attrs import evolve

from pipeline.einvoice_rules import einvoice_problems
from pipeline.language import LANGUAGES
from pipeline.model.show import both, inches, mm
from pipeline.problems import FromFile, Origin, Problem, did_you_mean, expected_one_of
from pipeline.shop import (
    Customer,
    Garment,
    Named,
    Press,
    PriceMethod,
    Roll,
    Shift,
    Shop,
    TaxRegime,
    Transfer,
    Units,
)


def check_shop(shop: Shop) -> Iterator[Problem]:
    """What is wrong between the parts of a shop.

    Problems: E203 a name that nothing has, E210 a name that two things have, E211 values that do not agree, E212 an
    extra that is not installed.
    """
    yield from _names(shop)
    yield from _languages(shop)
    yield from _tax(shop)
    yield from _tables(shop)
    for garment in shop.garments:
        yield from _garment(garment, shop)
    for transfer in shop.transfers:
        yield from _transfer(transfer, shop)
    for press in shop.presses:
        yield from _press(press, shop)
    yield from _platens_on(shop)
    for customer in shop.customers:
        yield from _customer(customer, shop)
    yield from einvoice_problems(shop)


def _names(shop: Shop) -> Iterator[Problem]:
    named: dict[str, Sequence[Named]] = {
        "press": shop.presses, "transfer": shop.transfers, "garment": shop.garments, "customer": shop.customers,
        "platen": shop.platens, "pad": shop.pads, "operator": shop.operators, "tax rate": shop.tax.rates,
    }  # fmt: skip
    for what, things in named.items():
        yield from _twice(what, things)
    try:
        ZoneInfo(shop.time_zone)
    except (KeyError, ValueError, OSError):
        yield _unknown("time zone", shop.time_zone, available_timezones(), shop.at("time_zone"))


def _languages(shop: Shop) -> Iterator[Problem]:
    known = {*LANGUAGES, *(wording.code for wording in shop.wordings)}
    chosen = ((each.language, each.at("language")) for each in shop.customers if each.language)
    for code, origin in ((shop.language, shop.at("language")), *chosen):
        if code not in known:
            hint = f"name one that is there; `peelwright words {code}` writes a file to translate"
            yield evolve(_unknown("language", code, known, origin), hint=hint)


def _tax(shop: Shop) -> Iterator[Problem]:
    rates = [rate.name for rate in shop.tax.rates]
    named = {field: getattr(shop.tax, field) for field in ("goods", "freight")}
    for field, name in named.items():
        if name and name not in rates:
            yield _unknown("tax rate", name, rates, shop.tax.at(field))
    if shop.tax.regime is not TaxRegime.NONE and (missing := [f for f, name in named.items() if not name]):
        message = f"no tax rate is named for {' and '.join(missing)}, but the regime is {shop.tax.regime}"
        yield _contradiction(message, f"write `{missing[0]}:` and the name of a rate", shop.tax.origin)
    for rate in shop.tax.rates:
        if not rate.percent and not rate.reason:
            yield _contradiction(
                "a rate of 0 % needs its `reason`", "it is printed on the invoice", rate.at("percent")
            )


def _tables(shop: Shop) -> Iterator[Problem]:
    pricing = shop.pricing
    if pricing.method is PriceMethod.PRICE_LIST and not pricing.print_prices:
        yield _contradiction(
            "a price list needs `print_prices`", "write {from: 1, price: 6.50}", pricing.at("method")
        )
    if pricing.target_margin >= 1:
        yield _contradiction("no price has a margin of 100 %", "write less", pricing.at("target_margin"))
    yield from _rising([(step.from_pieces, step) for step in pricing.print_prices])
    yield from _rising([(step.from_pieces, step) for step in shop.spares])
    for step in shop.spares:
        if step.percent >= 1:
            yield _contradiction("not all prints can spoil", "write less than 100%", step.at("percent"))
    for platen in shop.platens:
        if 2 * platen.edge >= min(platen.width, platen.height):
            yield _contradiction(
                "the edge leaves nothing of the platen", "write a narrower edge", platen.at("edge")
            )
    yield from _shifts(shop.calendar.shifts)
    for operator in shop.operators:
        yield from _shifts(operator.shifts)


def _garment(garment: Garment, shop: Shop) -> Iterator[Problem]:
    total = sum((fibre.percent for fibre in garment.fabric), Fraction(0))
    if total != 1:
        message = f"the shares of the fabric add up to {float(100 * total):g} %"
        yield _contradiction(message, "write shares that add up to 100%", garment.at("fabric"))
    yield from _twice("size", garment.sizes)
    yield from _twice("placement", garment.placements)
    platens, pads = [platen.name for platen in shop.platens], [pad.name for pad in shop.pads]
    for placement in garment.placements:
        yield from _unknown_names("platen", placement.platens, platens, placement)
        if placement.pad and placement.pad not in pads:
            yield _unknown("pad", placement.pad, pads, placement.at("pad"))


def _transfer(transfer: Transfer, shop: Shop) -> Iterator[Problem]:
    if not transfer.offers:
        yield _contradiction(
            "the transfer is sold neither by the sheet nor by length",
            "write `sheets:` or `rolls:`",
            transfer.origin,
        )
    yield from _twice("sheet or roll", transfer.offers)
    for sheet in transfer.sheets:
        yield from _rising([(step.from_sheets, step) for step in sheet.prices])
        if 2 * sheet.margin >= min(sheet.width, sheet.height):
            yield _contradiction(
                "the margin leaves nothing of the sheet", "write a narrower margin", sheet.at("margin")
            )
    for roll in transfer.rolls:
        yield from _roll(roll, shop)


def _roll(roll: Roll, shop: Shop) -> Iterator[Problem]:
    def words(length: int) -> str:
        return both(inches(length), mm(length), shop.units is Units.MILLIMETRE)

    yield from _rising([(step.from_length, step) for step in roll.prices], words)
    if not roll.step or roll.longest < roll.step or roll.longest % roll.step:
        message = "`longest` is no whole number of steps"
        yield _contradiction(message, "write a multiple of `step`", roll.at("longest"))
    if 2 * roll.margin >= min(roll.width, roll.longest):
        yield _contradiction(
            "the margin leaves nothing of the roll", "write a narrower margin", roll.at("margin")
        )


def _press(press: Press, shop: Shop) -> Iterator[Problem]:
    if press.lowest >= press.highest:
        yield _contradiction("`lowest` is not below `highest`", "exchange the two", press.at("lowest"))
    for field in ("heating_per_minute", "cooling_per_minute"):
        if not getattr(press, field):
            yield _contradiction("a press heats and cools", "write more than 0C", press.at(field))
    yield from _unknown_names("platen", press.platens, [platen.name for platen in shop.platens], press)
    if press.platen_on and press.platen_on not in press.platens:
        yield _unknown("platen of this press", press.platen_on, press.platens, press.at("platen_on"))
    yield from _shifts(press.shifts)
    hours = _pieces(press.shifts or shop.calendar.shifts)
    warm = _warm(hours, shop.times.warm_up)
    present = [piece for each in shop.operators for piece in _pieces(each.shifts or shop.calendar.shifts)]
    if hours and present and not any(_meet(piece, other) for piece in warm for other in present):
        message = f"nobody is ever there when {press.name} is warm: no operator's shifts overlap its own"
        yield _contradiction(message, "give the press or an operator other shifts", press.at("shifts"))


_Piece = tuple[str, time, time]
"""A stretch of work between two breaks: weekday, from, to."""


def _pieces(shifts: Sequence[Shift]) -> list[_Piece]:
    pieces: list[_Piece] = []
    for shift in shifts:
        pauses = sorted((pause.start, pause.end) for pause in shift.breaks)
        edges = (shift.start, *(edge for pause in pauses for edge in pause), shift.end)
        spans = [(begin, end) for begin, end in zip(edges[::2], edges[1::2], strict=True) if begin < end]
        pieces += [(day, begin, end) for day in shift.days for begin, end in spans]
    return pieces


def _warm(pieces: Sequence[_Piece], warm_up: timedelta) -> list[_Piece]:
    """What is left when each day begins so much later."""
    ready: dict[str, time] = {}
    for day, begin, _ in sorted(pieces, key=lambda piece: piece[1]):
        at = datetime.combine(date.min, begin) + warm_up
        ready.setdefault(day, at.time() if at.date() == date.min else time.max)
    return [(day, max(begin, ready[day]), end) for day, begin, end in pieces if end > ready[day]]


def _meet(one: _Piece, other: _Piece) -> bool:
    return one[0] == other[0] and max(one[1], other[1]) < min(one[2], other[2])


def _platens_on(shop: Shop) -> Iterator[Problem]:
    """More presses that begin the week with a platen on than the shop has of it."""
    on: dict[str, list[Press]] = defaultdict(list)
    for press in shop.presses:
        on[press.platen_on].append(press)
    for platen in shop.platens:
        held = on[platen.name]
        message = f"`{platen.name}` is on {len(held)} presses when the week begins, there are {platen.count}"
        hint = "name another, leave it out, or raise its `count`"
        yield from (_contradiction(message, hint, press.at("platen_on")) for press in held[platen.count :])


def _customer(customer: Customer, shop: Shop) -> Iterator[Problem]:
    garments = [garment.name for garment in shop.garments]
    rates = [rate.name for rate in shop.tax.rates]
    if customer.tax and customer.tax not in rates:
        yield _unknown("tax rate", customer.tax, rates, customer.at("tax"))
    steps: dict[str, list[tuple[int, FromFile]]] = {}
    for price in customer.prices:
        steps.setdefault(price.garment, []).append((price.from_pieces, price))
        if price.garment not in garments:
            yield _unknown("garment", price.garment, garments, price.at("garment"))
    for of_one in steps.values():
        yield from _rising(of_one)


def _twice(what: str, things: Sequence[Named]) -> Iterator[Problem]:
    """The later of two things of one name; capitals do not tell names apart."""
    first: dict[str, Named] = {}
    for thing in things:
        if first.setdefault(thing.name.casefold(), thing) is not thing:
            yield Problem(
                code="E210",
                message=f"there are two of the {what} `{thing.name}`",
                hint="give one of them another name",
                label=_first_at(first[thing.name.casefold()]),
                origin=thing.at("name") if isinstance(thing, FromFile) else Origin(file=""),
            )


def _first_at(thing: Named) -> str:
    where = thing.at("name") if isinstance(thing, FromFile) else Origin(file="")
    return f"the first stands at {where.file}:{where.line}" if where.file else ""


def _unknown_names(what: str, names: Iterable[str], known: Sequence[str], owner: FromFile) -> Iterator[Problem]:
    for index, name in enumerate(names):
        if name not in known:
            yield _unknown(what, name, known, owner.at(f"{what}s.{index}"))


def _unknown(what: str, name: str, known: Iterable[str], origin: Origin) -> Problem:
    known = list(known)
    return Problem(
        code="E203",
        message=f"unknown {what} `{name}`",
        label=expected_one_of(known),
        hint=did_you_mean(name, known) or f"add the {what}, or name one that is there",
        origin=origin,
    )


def _contradiction(message: str, hint: str, origin: Origin) -> Problem:
    return Problem(code="E211", message=message, hint=hint, origin=origin)


def _rising(steps: Sequence[tuple[int, FromFile]], words: Callable[[int], str] = str) -> Iterator[Problem]:
    """A table of steps must begin low and rise, so that one step holds for each quantity."""
    for (lower, _), (upper, step) in pairwise(steps):
        if upper <= lower:
            message = f"`from: {words(upper)}` does not come after `from: {words(lower)}`"
            yield _contradiction(message, "write the steps in rising order, each once", step.at("from"))


def _shifts(shifts: Sequence[Shift]) -> Iterator[Problem]:
    for shift in shifts:
        if shift.end <= shift.start:
            yield _contradiction(
                "the shift ends before it begins", "end it later, on the same day", shift.at("end")
            )
        for pause in shift.breaks:
            if not shift.start <= pause.start < pause.end <= shift.end:
                yield _contradiction("the break does not lie within its shift", "move it", pause.at("start"))
