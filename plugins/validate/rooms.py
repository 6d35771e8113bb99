"""How large a print may be: the room that a placement, a platen and a sheet leave for it."""

from fractions import Fraction

from attrs import frozen

from pipeline.shop import Placement, Platen, Roll, SheetSize
from plugins.validate.cases import Case


@frozen
class Room:
    """Space for a print, in micrometres. On a sheet the print may be turned if the order allows it."""

    width: int
    height: int
    sheet: bool = False

    @classmethod
    def of_placement(cls, placement: Placement) -> "Room":
        """The largest print of a placement."""
        return cls(placement.max_width, placement.max_height)

    @classmethod
    def of_platen(cls, platen: Platen) -> "Room":
        """A platen less its edge."""
        return cls(platen.width - 2 * platen.edge, platen.height - 2 * platen.edge)

    @classmethod
    def of_sheet(cls, sheet: SheetSize | Roll) -> "Room":
        """A sheet, or the longest piece of a roll, within its margin."""
        height = sheet.longest if isinstance(sheet, Roll) else sheet.height
        return cls(sheet.width - 2 * sheet.margin, height - 2 * sheet.margin, sheet=True)

    def factor(self, case: Case) -> Fraction:
        """By how much the largest print of a case may be enlarged, or must be made smaller (below 1)."""
        straight = min(Fraction(self.width, case.width), Fraction(self.height, case.height))
        if not (self.sheet and case.print.may_turn):
            return straight
        return max(straight, min(Fraction(self.width, case.height), Fraction(self.height, case.width)))

    def holds(self, case: Case) -> bool:
        """True when the largest print of a case has room here."""
        straight = case.width <= self.width and case.height <= self.height
        turned = self.sheet and case.print.may_turn
        return straight or (turned and case.height <= self.width and case.width <= self.height)
