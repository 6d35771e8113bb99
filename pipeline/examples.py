"""What hints about an order name: things that the shop has, where the schema's examples are another shop's."""

from typing import Any

from attrs import frozen

from pipeline.shop import Garment, Shop
from pipeline.source import Path
from pipeline.stand_ins import NAMES


@frozen
class Examples:
    """The names of one shop, to be written where a job file has none, or one that cannot be read."""

    shop: Shop

    def at(self, data: Any, place: Path) -> str:
        """What could stand at `place` of a job file that reads `data`; "" where any value may, or we know none."""
        name = self._at(data, place)
        return "" if name in NAMES else name

    def _at(self, data: Any, place: Path) -> str:
        match [step for step in place if not isinstance(step, int)]:
            case ["customer"]:
                return self.shop.customers[0].name
            case ["lines", "garment"]:
                return self.shop.garments[0].name
            case ["lines", "colour"]:
                return self._garment(data, place).colours[0]
            case ["lines", "prints", "placement"]:
                return self._garment(data, place).placements[0].name
        return ""

    def _garment(self, data: Any, place: Path) -> Garment:
        """The garment of the line; the shop's first where it has none that is known."""
        try:
            named = str(data["lines"][place[1]]["garment"])
        except (KeyError, IndexError, TypeError):  # there is no such line, or none that can be read
            named = ""
        return self.shop.garment(named) if self.shop.knows("garment", named) else self.shop.garments[0]
