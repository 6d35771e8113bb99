"""May a transfer be used for a print? Nine rules, each with a code and a sentence for people.

A sentence is written so that it can stand after the transfer's name: "`film`: its stretch is low, ...".
"""

from collections.abc import Callable
from datetime import date
from fractions import Fraction

from attrs import field, frozen

from pipeline.model.order import CHEAPEST
from pipeline.model.prints import Objection, TransferFit
from pipeline.model.workdays import Workdays, ready_by
from pipeline.shop import Platen, Press, SheetSize, Shop, Stretch, Transfer
from plugins.validate.cases import Case
from plugins.validate.words import Words, day, listed, percent, quoted

COUNTED_FIBRE = Fraction(5, 100)
"""A fibre of a smaller share does not decide what holds on the fabric (common practice, no source)."""

FABRIC, HEAT, STRETCH, PAD, DYE, SHEET, PRESS, NAMED, LATE = (f"E40{number}" for number in range(1, 10))

_GIVES = {Stretch.LOW: 0, Stretch.MEDIUM: 1, Stretch.HIGH: 2}


@frozen
class Fitter:
    """Holds the transfers of a shop against prints; transfers are ordered on `today`."""

    shop: Shop
    today: date
    words: Words = field(init=False)
    workdays: Workdays = field(init=False)

    @words.default
    def _of_shop(self) -> Words:
        return Words.of(self.shop)

    @workdays.default
    def _of_calendar(self) -> Workdays:
        return Workdays.of(self.shop.calendar)

    def fit(self, case: Case, transfer: Transfer) -> TransferFit:
        """One transfer against one print, with everything that speaks against it."""
        sentences = ((code, question(self, case, transfer)) for code, question in _QUESTIONS)
        return TransferFit(
            ref=case.ref,
            transfer=transfer.name,
            objections=tuple(Objection(code=code, message=message) for code, message in sentences if message),
        )

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
            f"pressed at {self.words.temperature(needed)}, and above {self.words.temperature(limit)} "
            "the dye of this polyester wanders into the print"
        )

    def sheet(self, case: Case, transfer: Transfer) -> str:
        """E406: the print must lie on one of its sheets within the margin, turned if it may be."""
        if any(on_sheet(case, sheet) for sheet in transfer.sheets):
            return ""
        rooms = [f"{self.words.size(*printable(sheet))} on `{sheet.name}`" for sheet in transfer.sheets]
        turned = "" if case.print.may_turn else " and may not be turned"
        return f"the print is {self.words.size(case.width, case.height)}{turned}; it has {listed(rooms)}"

    def press(self, case: Case, transfer: Transfer) -> str:
        """E407: one press must reach its temperature and pressure and take a platen that is large enough."""
        recipe = transfer.recipe
        presses = [p for p in self.shop.presses if p.lowest <= recipe.temperature <= p.highest]
        if not presses:
            return f"no press can be set to {self.words.temperature(recipe.temperature)}"
        presses = [p for p in presses if recipe.pressure in p.pressure_settings]
        if not presses:
            return f"no press that reaches its temperature has a setting for {recipe.pressure} pressure"
        pressed_on = {platen.name for press in presses for platen in platens(self.shop, press)}
        wanted = [platen for platen in case_platens(case, self.shop) if platen.name in pressed_on]
        if not wanted:
            return f"no press that can press it takes {quoted(case.placement.platens, 'or')}"
        if any(on_platen(case, platen) for platen in wanted):
            return ""
        return f"no press that can press it takes a platen for {self.words.size(case.width, case.height)}"

    def named(self, case: Case, transfer: Transfer) -> str:
        """E408: it must be the one that the order names, if it names one."""
        wanted = case.print.transfer
        return "" if wanted in (CHEAPEST, transfer.name) else f"the order asks for `{wanted}`"

    def late(self, case: Case, transfer: Transfer) -> str:
        """E409: it must be here on a day on which pressing can still be in time."""
        if case.order.due < self.today:
            return f"the order was due on {day(case.order.due)}"
        arrival, ready = self.workdays.after(self.today, transfer.lead_days), ready_by(case.order, self.shop)
        return f"arrives on {day(arrival)}, the order must be ready by {day(ready)}" if arrival > ready else ""


_QUESTIONS: tuple[tuple[str, Callable[[Fitter, Case, Transfer], str]], ...] = (
    (FABRIC, Fitter.fabric),
    (HEAT, Fitter.heat),
    (STRETCH, Fitter.stretch),
    (PAD, Fitter.pad),
    (DYE, Fitter.dye),
    (SHEET, Fitter.sheet),
    (PRESS, Fitter.press),
    (NAMED, Fitter.named),
    (LATE, Fitter.late),
)
"""In the order of the codes; each answers "" or why the transfer may not be used."""


def printable(sheet: SheetSize) -> tuple[int, int]:
    """Width and height of a sheet within its margin, in micrometres."""
    return sheet.width - 2 * sheet.margin, sheet.height - 2 * sheet.margin


def on_sheet(case: Case, sheet: SheetSize) -> bool:
    """True when the largest print of the case lies within the sheet's margin, turned if it may be."""
    width, height = printable(sheet)
    straight = case.width <= width and case.height <= height
    return straight or (case.print.may_turn and case.height <= width and case.width <= height)


def on_platen(case: Case, platen: Platen) -> bool:
    """True when the largest print of the case leaves the platen's edge free."""
    return case.width <= platen.width - 2 * platen.edge and case.height <= platen.height - 2 * platen.edge


def platens(shop: Shop, press: Press) -> tuple[Platen, ...]:
    """The platens of the shop that a press takes."""
    return tuple(shop.platen(name) for name in press.platens if shop.knows("platen", name))


def case_platens(case: Case, shop: Shop) -> tuple[Platen, ...]:
    """The platens of the shop on which the placement of a case can be pressed."""
    return tuple(shop.platen(name) for name in case.placement.platens if shop.knows("platen", name))
