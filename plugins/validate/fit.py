"""May a transfer be used for a print? Ten rules, each with a code and a sentence for people.

A sentence is written so that it can stand after the transfer's name: "`film`: its stretch is low, ...".
"""

from collections.abc import Callable
from datetime import date
from fractions import Fraction

from attrs import field, frozen

from pipeline.model.order import CHEAPEST
from pipeline.model.prints import Objection, TransferFit
from pipeline.model.show import percent
from pipeline.model.workdays import Workdays, ready_by
from pipeline.shop import Platen, Shop, Stretch, Transfer
from plugins.validate.cases import Case
from plugins.validate.rooms import Room
from plugins.validate.words import Words, day, listed, quoted

COUNTED_FIBRE = Fraction(5, 100)
"""A fibre of a smaller share does not decide what holds on the fabric (common practice, no source)."""

FABRIC, HEAT, STRETCH, PAD, DYE = "E401", "E402", "E403", "E404", "E405"
SHEET, PRESS, PLATEN, NAMED, LATE = "E406", "E407", "E408", "E409", "E410"

_GIVES = {Stretch.LOW: 0, Stretch.MEDIUM: 1, Stretch.HIGH: 2}


Rules = tuple[tuple[str, Callable[["Fitter", Case, Transfer], str]], ...]
"""Codes, and methods that answer "" or why the transfer may not be used."""


@frozen
class Fitter:
    """Holds the transfers of a shop against prints; transfers are ordered on `today`."""

    shop: Shop
    today: date
    words: Words = field(init=False)
    workdays: Workdays = field(init=False)
    _of_garment: dict[tuple[str, str, str], tuple[Objection, ...]] = field(init=False, factory=dict)
    _taken: dict[str, frozenset[str]] = field(init=False, factory=dict)

    @words.default
    def _of_shop(self) -> Words:
        return Words.of(self.shop)

    @workdays.default
    def _of_calendar(self) -> Workdays:
        return Workdays.of(self.shop.calendar)

    def fit(self, case: Case, transfer: Transfer) -> TransferFit:
        """One transfer against one print, with everything that speaks against it in the order of the codes."""
        key = (case.garment.name, case.placement.name, transfer.name)
        if key not in self._of_garment:
            self._of_garment[key] = self._ask(_ON_GARMENT, case, transfer)
        found = (*self._of_garment[key], *self._ask(_ON_PRINT, case, transfer))
        return TransferFit(ref=case.ref, transfer=transfer.name, objections=tuple(sorted(found, key=_code)))

    def _ask(self, rules: Rules, case: Case, transfer: Transfer) -> tuple[Objection, ...]:
        sentences = ((code, rule(self, case, transfer)) for code, rule in rules)
        return tuple(Objection(code=code, message=sentence) for code, sentence in sentences if sentence)

    def fabric(self, case: Case, transfer: Transfer) -> str:
        """E401: every fibre of at least 5 % must be one that it holds on."""
        foreign = [
            f"{fibre.name} ({percent(fibre.percent)} of the fabric)"
            for fibre in case.garment.fabric
            if fibre.percent >= COUNTED_FIBRE and fibre.name not in transfer.fabrics
        ]
        return f"made for {listed(transfer.fabrics)}, not for {listed(foreign)}" if foreign else ""

    def heat(self, case: Case, transfer: Transfer) -> str:
        """E402: the garment must stand the temperature of its recipe."""
        needed, ceiling = transfer.recipe.temperature, case.garment.heat_ceiling
        if needed <= ceiling:
            return ""
        return (
            f"pressed at {self.words.temperature(needed)}, the garment stands {self.words.temperature(ceiling)}"
        )

    def stretch(self, case: Case, transfer: Transfer) -> str:
        """E403: it must give as far as the fabric."""
        if _GIVES[transfer.stretch] >= _GIVES[case.garment.stretch]:
            return ""
        return f"its stretch is {transfer.stretch}, the fabric's {case.garment.stretch}"

    def pad(self, case: Case, transfer: Transfer) -> str:
        """E404: where the placement needs a pad, it must allow one."""
        if not case.placement.pad or transfer.recipe.pad_allowed:
            return ""
        return f"may not be pressed over a pad, and `{case.placement.name}` needs the pad `{case.placement.pad}`"

    def dye(self, case: Case, transfer: Transfer) -> str:
        """E405: on a dyed polyester its temperature must leave the dye where it is."""
        needed, limit = transfer.recipe.temperature, self.shop.options.validate.dye_limit
        if not case.garment.dye_migrates or needed <= limit:
            return ""
        return (
            f"pressed at {self.words.temperature(needed)}, above {self.words.temperature(limit)} "
            "the dye of this polyester wanders into the print"
        )

    def sheet(self, case: Case, transfer: Transfer) -> str:
        """E406: the print must lie on one of its sheets within the margin, turned if it may be."""
        rooms = {sheet.name: Room.of_sheet(sheet) for sheet in transfer.offers}
        if any(room.holds(case) for room in rooms.values()):
            return ""
        turned = "" if case.print.may_turn else " and may not be turned"
        offers = [f"{self.words.size(room.width, room.height)} on `{name}`" for name, room in rooms.items()]
        return (
            f"the print is {self.words.size(case.width, case.height)}{turned}, its sheets leave {listed(offers)}"
        )

    def press(self, case: Case, transfer: Transfer) -> str:
        """E407: one press must reach its temperature and pressure and take a platen of the placement."""
        recipe = transfer.recipe
        hot = [press for press in self.shop.presses if press.lowest <= recipe.temperature <= press.highest]
        if not hot:
            return f"no press can be set to {self.words.temperature(recipe.temperature)}"
        if not any(recipe.pressure in press.pressure_settings for press in hot):
            return f"no press that reaches its temperature has a setting for {recipe.pressure} pressure"
        if not self._platens(case, transfer):
            return f"no press that can press it takes the platen {quoted(case.placement.platens, 'or')}"
        return ""

    def platen(self, case: Case, transfer: Transfer) -> str:
        """E408: such a platen must be large enough for the print, its edge left free."""
        rooms = {platen.name: Room.of_platen(platen) for platen in self._platens(case, transfer)}
        if not rooms or any(room.holds(case) for room in rooms.values()):
            return ""
        offers = [f"{self.words.size(room.width, room.height)} on `{name}`" for name, room in rooms.items()]
        return f"the print is {self.words.size(case.width, case.height)}, the platens leave {listed(offers)}"

    def _platens(self, case: Case, transfer: Transfer) -> tuple[Platen, ...]:
        """The placement's platens that go on a press which can press this transfer."""
        if transfer.name not in self._taken:
            recipe = transfer.recipe
            self._taken[transfer.name] = frozenset(
                name
                for press in self.shop.presses
                if press.lowest <= recipe.temperature <= press.highest
                and recipe.pressure in press.pressure_settings
                for name in press.platens
            )
        return tuple(p for p in platens_of(case, self.shop) if p.name in self._taken[transfer.name])

    def named(self, case: Case, transfer: Transfer) -> str:
        """E409: it must be the one that the order names, if it names one."""
        wanted = case.print.transfer
        return "" if wanted in (CHEAPEST, transfer.name) else f"the order asks for `{wanted}`"

    def late(self, case: Case, transfer: Transfer) -> str:
        """E410: it must be here on a day on which pressing can still be in time."""
        if case.order.due < self.today:
            return f"the order was due on {day(case.order.due)}"
        arrival, ready = self.workdays.after(self.today, transfer.lead_days), ready_by(case.order, self.shop)
        return f"arrives on {day(arrival)}, the order must be ready by {day(ready)}" if arrival > ready else ""


_ON_GARMENT: Rules = (
    (FABRIC, Fitter.fabric),
    (HEAT, Fitter.heat),
    (STRETCH, Fitter.stretch),
    (PAD, Fitter.pad),
    (DYE, Fitter.dye),
    (PRESS, Fitter.press),
)
"""What a garment and its placement say whatever is printed: asked once for each."""

_ON_PRINT: Rules = (
    (SHEET, Fitter.sheet),
    (PLATEN, Fitter.platen),
    (NAMED, Fitter.named),
    (LATE, Fitter.late),
)


def _code(objection: Objection) -> str:
    return objection.code


def platens_of(case: Case, shop: Shop) -> tuple[Platen, ...]:
    """The platens of the shop on which the placement of a case can be pressed, the preferred first."""
    return tuple(shop.platen(name) for name in case.placement.platens if shop.knows("platen", name))
