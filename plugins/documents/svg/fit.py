"""What has a size of its own, put into a place of another: `preserveAspectRatio`."""

import re

from plugins.documents.shading import Matrix

_SAID = re.compile(r"x(Min|Mid|Max)Y(Min|Mid|Max)(?:\s+(meet|slice))?")
_SHARES = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}


def fitted(said: str, size: tuple[float, float], place: tuple[float, float]) -> Matrix:
    """From the coordinates of the one to those of the other. What cannot be read counts as not said."""
    across, down = (there / own for there, own in zip(place, size, strict=True))
    if said.strip() == "none":
        return across, 0, 0, down, 0, 0
    match = _SAID.fullmatch(said.strip())
    at_x, at_y, way = match.groups() if match else ("Mid", "Mid", "meet")
    scale = max(across, down) if way == "slice" else min(across, down)
    left, upper = (
        (there - own * scale) * _SHARES[at] for there, own, at in zip(place, size, (at_x, at_y), strict=True)
    )
    return scale, 0, 0, scale, left, upper
