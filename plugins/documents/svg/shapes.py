"""Shapes, their paint, and pictures: what svglib passes over in them is drawn or told."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from copy import copy
from io import BytesIO
from typing import Any

from attrs import evolve
from reportlab import rl_config
from reportlab.graphics.shapes import Group, Image, Path
from reportlab.lib.colors import Color, black
from svglib.svglib import NodeTracker, Svg2RlgShapeConverter

from plugins.documents.shading import Matrix, Shading, within
from plugins.documents.svg.attributes import Attributes, Reference, is_reference
from plugins.documents.svg.doubts import doubt
from plugins.documents.svg.fit import fitted
from plugins.documents.svg.gradients import Gradients
from plugins.documents.svg.paths import area, is_thin, move, turned

_THROUGH = "opacity shows the fill through the inner half of its line"
_IN_PATHS = b"MmZzLlHhVvCcSsQqTtAaEe0123456789+-., \t\r\n\f"
_FINE = 64
"""Small units in one, for lines with a shading."""
_STRETCH = 0.01
"""Of a picture, that nobody sees: programs round its size."""


@contextmanager
def checked(on: bool) -> Iterator[None]:
    """Reportlab checks each value that a shape gets, or none."""
    before = rl_config.shapeChecking
    rl_config.shapeChecking = on
    try:
        yield
    finally:
        rl_config.shapeChecking = before


class Shapes(Svg2RlgShapeConverter):
    """Elements as shapes of reportlab."""

    attrConverter: Attributes  # noqa: N815 - svglib's name

    def __init__(self, source: BytesIO, attributes: Attributes) -> None:
        super().__init__(source, attributes)
        self.gradients = Gradients(attributes, self.matrix)
        # By identity: shapes of the element in hand whose area and line cannot be drawn in one.
        self._apart: set[int] = set()
        #: The clip in hand, where it is said in parts of what it cuts.
        self.boxed: Any = None

    def convertShape(self, name: str, node: NodeTracker, clipping: Any = None) -> Any:  # noqa: N802
        """An element as a shape, in a group where it is moved or cut; or None."""
        self._apart.clear()
        shape = super().convertShape(name, node, clipping)
        if shape and clipping is not None and clipping is self.boxed:
            left, lower, right, upper = shape.contents[1].getBounds()
            move(clipping, (right - left, 0, 0, upper - lower, left, lower))
        return self._parted(shape) if self._apart and shape else shape

    def _parted(self, shape: Any) -> Any:
        """With each that is to be parted as its area, and its line above."""
        if isinstance(shape, Group):
            shape.contents = [self._parted(part) for part in shape.contents]
            return shape
        if id(shape) not in self._apart:
            return shape
        parts = Group()
        if getattr(shape, "fillColor", None) is not None:
            inside = copy(shape)
            inside.strokeColor = None
            parts.add(inside)
        if shape.strokeColor is not None:
            line = copy(shape)
            line.fillColor = None
            parts.add(self._fine(line) if isinstance(line.strokeColor, Shading) else line)
        return parts

    def matrix(self, transform: str) -> Matrix:
        """What a `transform` says, as one."""
        group = Group()
        self.applyTransformOnGroup(transform, group)
        a, b, c, d, e, f = group.transform
        return a, b, c, d, e, f

    def applyStyleOnShape(self, shape: Any, node: NodeTracker, only_explicit: bool = False) -> None:  # noqa: N802
        """Give it what the element says. Only that is checked: svglib passes over what reportlab refuses."""
        with checked(True):
            super().applyStyleOnShape(shape, node, only_explicit)
        if isinstance(shape, Group):
            return
        if isinstance(shape, Path) and shape.fillColor is not None and is_thin(shape):
            shape.fillColor = None
        opacity = self.attrConverter.opacity(node)
        if isinstance(shape, Image):
            shape.fillOpacity = opacity
            return
        paints = [self._paint(shape, node, part, opacity) for part in ("fill", "stroke")]
        if paints[1] is None:
            return
        if paints[0] is not None:
            whole = shape.strokeOpacity == opacity and not any(isinstance(paint, Shading) for paint in paints)
            if not whole:
                self._apart.add(id(shape))
            if opacity != 1 and not whole and shape.fillOpacity:
                doubt(_THROUGH)
        elif isinstance(paints[1], Shading):
            self._apart.add(id(shape))
        if getattr(shape, "strokeDashArray", None) and (
            said := self.attrConverter.said(node, "stroke-dashoffset")
        ):
            self._shift_dashes(shape, said)
        if said := self.attrConverter.said(node, "stroke-miterlimit"):
            with suppress(ValueError):
                shape.strokeMiterLimit = max(1.0, float(said))

    def _paint(self, shape: Any, node: NodeTracker, part: str, opacity: float) -> Color | Shading | None:
        """Its fill or stroke, with gradients; how transparent it is is multiplied, where svglib takes the last."""
        attributes = self.attrConverter
        colour: Color | Shading | None = getattr(shape, f"{part}Color", None)
        if colour is None:
            said = attributes.said(node, part)
            if not is_reference(said) or not hasattr(shape, f"{part}Color"):
                return None
            if part == "stroke" and shape.strokeWidth == 0:
                return None
            colour = self._referred(said, shape)
            if colour is None:
                return None
            setattr(shape, f"{part}Color", colour)
            opacity *= colour.alpha
        elif getattr(shape, f"{part}Opacity") != 1 and attributes.said(node, f"{part}-opacity"):
            opacity *= (attributes.convertColor(attributes.findAttr(node, part)) or black).alpha
        if opacity != 1:
            opacity *= getattr(shape, f"{part}Opacity")
            setattr(shape, f"{part}Opacity", opacity)
            if isinstance(colour, Color):
                colour.alpha = opacity
        return colour

    def _fine(self, line: Any) -> Any:
        """A line in small units. Painted with a shading, its curves are bent in steps of its own units by pdfium."""
        if isinstance(line, Path):
            line.points = list(line.points)
        path: Any = super().shapeToPath(line, (_FINE, 0, 0, _FINE, 0, 0))
        if path is None:
            return line
        path.strokeWidth *= _FINE
        if path.strokeDashArray:
            path.strokeDashArray = [
                [dash * _FINE for dash in part] if isinstance(part, list) else part * _FINE
                for part in path.strokeDashArray
            ]
        shading = path.strokeColor
        left, lower, right, upper = (side * _FINE for side in shading.bounds)
        matrix = within((_FINE, 0, 0, _FINE, 0, 0), shading.matrix)
        path.strokeColor = evolve(shading, matrix=matrix, bounds=(left, lower, right, upper))
        group = Group(path)
        group.scale(1 / _FINE, 1 / _FINE)
        return group

    def _referred(self, said: str, shape: Any) -> Any:
        reference = Reference(said)
        try:
            return self.gradients.paint(reference.name, shape.getBounds())
        except KeyError:
            return self.attrConverter.convertColor(reference.instead)

    def _shift_dashes(self, shape: Any, said: str) -> None:
        dashes = shape.strokeDashArray
        with suppress(ValueError, ZeroDivisionError, TypeError):
            # Twice: where their number is odd, dashes and gaps change places.
            shape.strokeDashArray = [self.attrConverter.convertLength(said) % (2 * sum(dashes)), dashes]

    def convertRect(self, node: NodeTracker) -> Any:  # noqa: N802
        """A rectangle, or None. reportlab rounds its corners by a circle, svglib even where one side is 0."""
        rectangle: Any = super().convertRect(node)
        if rectangle.width <= 0 or rectangle.height <= 0:
            return None
        if 0 in self.convert_length_attrs(node, *(name for name in ("rx", "ry") if node.get(name))):
            rectangle.rx = rectangle.ry = 0
        return rectangle if rectangle.rx == rectangle.ry else super().shapeToPath(rectangle)

    def convertCircle(self, node: NodeTracker) -> Any:  # noqa: N802
        """A circle, or None."""
        circle = super().convertCircle(node)
        return circle if circle.r > 0 else None

    def convertEllipse(self, node: NodeTracker) -> Any:  # noqa: N802
        """An ellipse, or None."""
        ellipse = super().convertEllipse(node)
        return ellipse if ellipse.rx > 0 and ellipse.ry > 0 else None

    def shapeToPath(self, shape: Any, transform: Matrix | None = None) -> Any:  # noqa: N802
        """What a clip is made of. All turn the same way: where two that turn against each other meet is a hole."""
        path: Any = super().shapeToPath(shape, transform)
        return turned(path) if path is not None and area(path) < 0 else path

    def convertPath(self, node: NodeTracker) -> Any:  # noqa: N802
        """A path, or None; where it is open, its area and its line."""
        if node.get("d", "").encode().translate(None, _IN_PATHS):
            doubt("a path that cannot be read is drawn in part")
        return self._two(super().convertPath(node), node)

    def _two(self, group: Any, node: NodeTracker) -> Any:
        two = group and len(group.contents) > 1 and group.contents[1].strokeColor is not None
        if two and self.attrConverter.opacity(node) != 1:
            doubt(_THROUGH)
        return group

    def convertPolygon(self, node: NodeTracker) -> Any:  # noqa: N802
        """A polygon, or None."""
        return _told(super().convertPolygon(node), node)

    def convertPolyline(self, node: NodeTracker) -> Any:  # noqa: N802
        """Lines, on the area between them: svglib leaves it clear where no fill is said."""
        line = _told(super().convertPolyline(node), node)
        if line is None:
            return None
        inside: Any = super().convertPolygon(node)
        self.applyStyleOnShape(inside, node)
        if inside.fillColor is None:
            return line
        inside.strokeColor = None
        return self._two(Group(inside, line.contents[1] if isinstance(line, Group) else line), node)

    def convertImage(self, node: NodeTracker) -> Any:  # noqa: N802
        """A picture in its place, which svglib fills by stretching it."""
        group = super().convertImage(node)
        (picture,) = group.contents
        pixels, said = picture.path, node.get("preserveAspectRatio", "")
        if not (pixels.width and pixels.height and picture.width and picture.height):
            return group
        if abs(picture.width * pixels.height / (picture.height * pixels.width) - 1) < _STRETCH:
            return group
        if "slice" in said:
            doubt("preserveAspectRatio %s is not followed", said)
            return group
        place = picture.width, picture.height
        across, _, _, down, left, upper = fitted(said, pixels.size, place)
        picture.width, picture.height = pixels.width * across, pixels.height * down
        # It stands upside down in its group, which turns it.
        picture.x, picture.y = picture.x + left, picture.y + place[1] - picture.height - upper
        return group


def _told(shape: Any, node: NodeTracker) -> Any:
    if shape is None and node.get("points", "").strip():
        doubt("a line of an odd number of coordinates is left out")
    return shape
