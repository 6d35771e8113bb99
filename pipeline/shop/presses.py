"""presses/: one file for each heat press."""

from collections.abc import Mapping
from enum import StrEnum

from attrs import frozen

from pipeline.model.measure import Temperature
from pipeline.problems import FromFile
from pipeline.shop.floor import Shift


class Pressure(StrEnum):
    """What a recipe asks for. Each press has its own setting for it; presses are never converted."""

    LIGHT = "light"
    MEDIUM = "medium"
    FIRM = "firm"


@frozen(kw_only=True)
class Press(FromFile):
    """One heat press.

    `pressure_settings` (`{light: "2", medium: "4", firm: "6"}`) is what the operator sets; a pressure that is
    missing cannot be pressed here. Heating and cooling in thousandths of a degree C per minute (`8C` in the
    file). `opens_itself`: the operator need not stand by during the dwell.
    """

    name: str
    title: str
    lowest: Temperature
    highest: Temperature
    heating_per_minute: Temperature
    cooling_per_minute: Temperature
    platens: tuple[str, ...]
    pressure_settings: Mapping[Pressure, str]
    opens_itself: bool = False
    #: At the start of the week: the platen that is on it; the press is cold.
    platen_on: str = ""
    shifts: tuple[Shift, ...] = ()
