"""garments/: one file for each garment style, with its fabric, sizes and placements."""

from datetime import timedelta
from enum import StrEnum

from attrs import frozen

from pipeline.model.measure import Length, Percent, Temperature
from pipeline.model.money import Money
from pipeline.problems import FromFile
from pipeline.shop.named import by_name
from pipeline.shop.transfers import Stretch


@frozen(kw_only=True)
class Fibre(FromFile):
    """A fibre of a fabric and its share. In the file: `fabric: {cotton: 60%, polyester: 40%}`."""

    name: str
    percent: Percent


@frozen(kw_only=True)
class GarmentSize(FromFile):
    """A size: what a blank of it costs and weighs (grams), and whether it is a child's."""

    name: str
    cost: Money
    weight: int
    child: bool = False


class View(StrEnum):
    """From which side a placement is seen."""

    FRONT = "front"
    BACK = "back"
    LEFT = "left"
    RIGHT = "right"


@frozen(kw_only=True)
class Placement(FromFile):
    """Where a print may go.

    `anchor` is the place from which it is measured ("collar seam", "shoulder point", "hem", "waistband",
    "brim seam", "pouch seam"); `down` is the distance from there to the print's nearest edge, `across` from the
    centre line to the print's centre, positive towards the wearer's left. `platens`: the preferred first.
    """

    name: str
    title: str
    view: View
    anchor: str
    down: Length
    max_width: Length
    max_height: Length
    platens: tuple[str, ...]
    across: Length = Length(0)
    pad: str = ""


class Hazard(StrEnum):
    """What makes a garment one that is held or refused."""

    SLEEPWEAR = "sleepwear"
    PROTECTIVE = "protective"
    COATED = "coated"


@frozen(kw_only=True)
class Garment(FromFile):
    """A garment style that the shop presses on.

    `outline` names the drawing for the press instruction. `dye_migrates`: a dyed polyester whose dye may wander
    into the print. `cool` is how long a pressed piece cools before a cold peel or the next print (seconds).
    """

    name: str
    title: str
    outline: str
    fabric: tuple[Fibre, ...]
    heat_ceiling: Temperature
    stretch: Stretch
    colours: tuple[str, ...]
    sizes: tuple[GarmentSize, ...]
    placements: tuple[Placement, ...]
    supplier: str
    lead_days: int = 2
    dye_migrates: bool = False
    hazards: tuple[Hazard, ...] = ()
    cool: timedelta = timedelta(seconds=45)

    def size(self, name: str) -> GarmentSize | None:
        """The size of this name, if there is one."""
        return by_name(self.sizes).get(name)

    def placement(self, name: str) -> Placement | None:
        """The placement of this name, if there is one."""
        return by_name(self.placements).get(name)
