"""Gradients, found before anything is drawn, and made to measure for each shape that is painted with one.

svglib knows only those that stand before their use, passes over how they are turned, and takes none for lines.
"""

import math
from collections.abc import Callable
from itertools import pairwise
from typing import Any

from attrs import frozen
from reportlab.lib.colors import Color, black
from svglib.svglib import Box, NodeTracker

from plugins.documents.shading import Matrix, Shading, within
from plugins.documents.svg.attributes import Attributes, share_of
from plugins.documents.svg.doubts import doubt

_SVG = "{http://www.w3.org/2000/svg}"
_LINEAR, _RADIAL, _STOP = f"{_SVG}linearGradient", f"{_SVG}radialGradient", f"{_SVG}stop"
_HREFS = ("href", "{http://www.w3.org/1999/xlink}href")
_MOST_STOPS, _MOST_LIKE = 256, 20
"""Of one gradient, and others that it refers to, one by the other: each shape is painted with all of them."""
_LEAST_STEP = 1e-4
"""Between two stops. A PDF knows no two at one place, where a colour ends abruptly."""
_ACROSS = {"x1": "0%", "x2": "100%", "cx": "50%", "fx": ""}
_DOWN = {"y1": "0%", "y2": "0%", "cy": "50%", "fy": ""}
_ROUND = {"r": "50%", "fr": "0%"}
_PLACES = _ACROSS | _DOWN | _ROUND
"""Where a gradient runs, and what counts where nothing is said: `fx` and `fy` follow the centre."""

Bounds = tuple[float, float, float, float]


@frozen
class _Gradient:
    radial: bool
    said: dict[str, str]
    stops: tuple[tuple[float, Color], ...]
    like: str


class Gradients:
    """Those of one drawing, by id."""

    def __init__(self, attributes: Attributes, matrix: Callable[[str], Matrix]) -> None:
        self._attributes = attributes
        self._matrix = matrix
        self._known: dict[str, _Gradient] = {}
        #: The drawing's own, of which its percentages are.
        self.box = Box(0, 0, 1, 1)

    def read(self, root: Any) -> None:
        """Find all of them, wherever they stand."""
        if next(root.iter(_LINEAR, _RADIAL), None) is None:
            return
        for node in NodeTracker.from_xml_root(root).iter_subtree():
            if node.etree_element.tag in (_LINEAR, _RADIAL) and (name := node.etree_element.get("id")):
                self._known.setdefault(name, self._gradient(node))

    def _gradient(self, node: NodeTracker) -> _Gradient:
        self._attributes.settle(node)
        said = dict(node.etree_element.attrib)
        like = next((said[name].strip() for name in _HREFS if name in said), "")
        stops = [self._stop(child) for child in node.iter_children() if child.etree_element.tag == _STOP]
        if len(stops) > _MOST_STOPS:
            doubt("a gradient of more than %d stops is not followed", _MOST_STOPS)
        return _Gradient(
            node.etree_element.tag == _RADIAL, said, _in_order(stops[:_MOST_STOPS]), like.removeprefix("#")
        )

    def _stop(self, node: NodeTracker) -> tuple[float, Color]:
        self._attributes.settle(node)
        colour: Any = None
        if "stop-color" in node.etree_element.keys():  # noqa: SIM118 - no dictionary
            colour = self._attributes.convertColor(self._attributes.findAttr(node, "stop-color"))
        own: Color = (colour or black).clone()
        own.alpha *= self._attributes.opacity(node, "stop-opacity")
        return share_of(node.etree_element.get("offset", "")) or 0.0, own

    def paint(self, name: str, bounds: Bounds) -> Shading | Color | None:
        """What to paint a shape with; None for nothing. Raises KeyError when there is no such gradient."""
        gradient = self._whole(name)
        if not gradient.stops:
            return None
        boxed = gradient.said.get("gradientUnits", "objectBoundingBox").strip() != "userSpaceOnUse"
        left, lower, right, upper = bounds
        if boxed and (left == right or lower == upper):
            return None
        run = self._run(gradient, boxed)
        if len(gradient.stops) == 1 or run[:2] == run[2:] or (gradient.radial and run[-1] <= 0):
            return gradient.stops[-1][1]
        if (spread := gradient.said.get("spreadMethod", "pad").strip()) != "pad":
            doubt("spreadMethod %s is not followed", spread)
        if gradient.radial and math.dist(run[:2], run[3:5]) + run[2] > run[5]:
            doubt("a gradient that begins outside its circle is not followed")
        matrix: Matrix = (right - left, 0, 0, upper - lower, left, lower) if boxed else (1, 0, 0, 1, 0, 0)
        if turned := gradient.said.get("gradientTransform"):
            matrix = within(matrix, self._matrix(turned))
        # A line from 0 to 1, or a circle of radius 1: few places behind the point are written of coordinates.
        if gradient.radial:
            fx, fy, fr, cx, cy, r = run
            matrix, run = within(matrix, (r, 0, 0, r, cx, cy)), ((fx - cx) / r, (fy - cy) / r, fr / r, 0, 0, 1)
        else:
            x, y, across, down = run[0], run[1], run[2] - run[0], run[3] - run[1]
            matrix, run = within(matrix, (across, down, -down, across, x, y)), (0, 0, 1, 0)
        if not all(map(math.isfinite, (*run, *matrix))):
            raise ValueError(f"the gradient {name} leads nowhere")
        if not matrix[0] * matrix[3] - matrix[1] * matrix[2]:
            return None
        return Shading(run=run, stops=gradient.stops, matrix=matrix, bounds=bounds)

    def _whole(self, name: str) -> _Gradient:
        """With all that is said in the gradients that it refers to."""
        gradient, seen = self._known[name], {name}
        while (like := gradient.like) in self._known and like not in seen and len(seen) < _MOST_LIKE:
            seen.add(like)
            other = self._known[like]
            said = other.said | gradient.said
            gradient = _Gradient(gradient.radial, said, gradient.stops or other.stops, other.like)
        return gradient

    def _run(self, gradient: _Gradient, boxed: bool) -> tuple[float, ...]:
        place = {name: self._place(name, gradient.said, boxed) for name in _PLACES}
        if not gradient.radial:
            return place["x1"], place["y1"], place["x2"], place["y2"]
        focus = [place[f"f{axis}" if gradient.said.get(f"f{axis}") else f"c{axis}"] for axis in "xy"]
        return *focus, place["fr"], place["cx"], place["cy"], place["r"]

    def _place(self, name: str, said: dict[str, str], boxed: bool) -> float:
        text = (said.get(name) or _PLACES[name]).strip()
        try:
            if text.endswith("%"):
                return float(text[:-1]) / 100 * (1 if boxed else self._whole_of(name))
            return float(self._attributes.convertLength(text))
        except ValueError:
            doubt("%s of a gradient cannot be read: %s", name, text)
            return 0.0

    def _whole_of(self, name: str) -> float:
        if name in _ROUND:
            return math.hypot(self.box.width, self.box.height) / math.sqrt(2)
        return float(self.box.width if name in _ACROSS else self.box.height)


def _in_order(stops: list[tuple[float, Color]]) -> tuple[tuple[float, Color], ...]:
    """From 0 to 1, each behind the one before. None lies nearer than can be told apart."""
    if len(stops) < 2:
        return tuple(stops)
    if stops[0][0] > 0:
        stops = [(0.0, stops[0][1]), *stops]
    stops = [*stops, (1.0, stops[-1][1])] if stops[-1][0] < 1 else stops
    places = [0.0]
    for (_, _), (offset, _) in pairwise(stops):
        places.append(max(offset, places[-1] + _LEAST_STEP))
    return tuple((place / places[-1], colour) for place, (_, colour) in zip(places, stops, strict=True))
