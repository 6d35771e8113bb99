"""Each print needs a transfer that suits it, and one that the order names must be among those."""

from collections.abc import Iterable, Iterator

from pipeline.model.order import CHEAPEST
from pipeline.model.prints import Objection, TransferFit, TransferFits
from pipeline.problems import Problem
from pipeline.shop import Shop
from plugins.validate.cases import Case
from plugins.validate.fit import LATE, NAMED, PLATEN, SHEET
from plugins.validate.found import error
from plugins.validate.safety import stops
from plugins.validate.sizes import too_large
from plugins.validate.words import quoted


def check_choice(found: tuple[Case, ...], shop: Shop, fits: TransferFits) -> Iterator[Problem]:
    """E411 no transfer suits; E412 the transfer that the order names does not.

    Garments that are not pressed at all need no transfer, and under a job id that is used twice nobody can
    tell whose fits are whose.
    """
    jobs = {case.ref.job: case.order for case in found}
    twice = {case.ref.job for case in found if case.order is not jobs[case.ref.job]}
    for case in found:
        wanted = case.print.transfer
        known = wanted == CHEAPEST or shop.knows("transfer", wanted)
        if known and case.ref.job not in twice and not any(stops(case.line, case.garment, shop)):
            yield from _of_print(case, fits.of(case.ref), told_elsewhere(case, shop))


def told_elsewhere(case: Case, shop: Shop) -> frozenset[str]:
    """Codes of objections that other rules tell: nothing is here in time; the print is too large for all."""
    return frozenset({LATE, SHEET, PLATEN} if too_large(case, shop) else {LATE})


def codes(fit: TransferFit) -> frozenset[str]:
    """The codes of everything that speaks against a transfer."""
    return frozenset(objection.code for objection in fit.objections)


def _of_print(case: Case, fits: tuple[TransferFit, ...], told: frozenset[str]) -> Iterator[Problem]:
    if any(not codes(fit) - told for fit in fits):
        return
    wanted, origin = case.print.transfer, case.print.at("transfer")
    others = [fit for fit in fits if fit.transfer != wanted]
    suited = [fit.transfer for fit in others if not codes(fit) - told - {NAMED}]
    named = next((fit for fit in fits if fit.transfer == wanted), None)
    if named is not None:
        reasons = "; ".join(map(_sentence, (each for each in named.objections if each.code not in told)))
        hint = f"write {quoted((*suited, CHEAPEST), 'or')}" if suited else f"nor does another: {_grouped(others)}"
        yield error(case.order, "E412", f"`{wanted}` does not suit this print: {reasons}", origin, hint=hint)
        return
    message = f"no transfer of the shop suits this print on `{case.garment.name}` at `{case.placement.name}`"
    yield error(case.order, "E411", message, origin, hint=_grouped(others))


def _sentence(objection: Objection) -> str:
    """The objection with its code, which can be asked about."""
    return f"{objection.message} [{objection.code}]"


def _grouped(fits: Iterable[TransferFit]) -> str:
    """Each objection once, after the transfers that it is made to."""
    by_message: dict[str, list[str]] = {}
    for fit in fits:
        for objection in fit.objections:
            if objection.code != NAMED:
                by_message.setdefault(_sentence(objection), []).append(fit.transfer)
    return "; ".join(f"{quoted(names)}: {message}" for message, names in by_message.items())
