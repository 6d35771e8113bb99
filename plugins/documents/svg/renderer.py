"""The elements of an SVG, one in the other: where svglib forgets to hide, to cut or to move one, or tells nobody."""

import math
import re
from io import BytesIO
from typing import Any

from reportlab.graphics.shapes import Drawing, Group, Rect
from svglib.svglib import Box, ClippingPath, NodeTracker, SvgRenderer

from pipeline.artwork.svg import MAX_ELEMENTS
from plugins.documents.shading import within
from plugins.documents.svg.attributes import Attributes, Reference
from plugins.documents.svg.doubts import doubt
from plugins.documents.svg.fit import fitted
from plugins.documents.svg.paths import move
from plugins.documents.svg.shapes import Shapes

_SVG = "{http://www.w3.org/2000/svg}"
_HOLDERS = frozenset(f"{_SVG}{name}" for name in ("a", "g", "svg", "switch", "use"))
_NO_CLIPS = frozenset(f"{_SVG}{name}" for name in ("polyline", "image"))
_AT_RULE = re.compile(r"@(?:media|supports|layer|container)\b[^{;]*", re.IGNORECASE)

_MOST_PARTS = 1000
"""Of one clip. The time svglib takes grows with their square."""


class Renderer(SvgRenderer):
    """One SVG, drawn once."""

    def __init__(self, source: BytesIO) -> None:
        super().__init__(source)
        self._attributes = Attributes()
        self.attrConverter = self._attributes
        self._shapes = Shapes(source, self._attributes)
        self.shape_converter = self._shapes
        self._cut = 0

    def render(self, svg_node: Any) -> Drawing:
        """The drawing. Rules and gradients are read at first, wherever they stand."""
        for style in svg_node.iter(f"{_SVG}style"):
            super().renderStyle(style)
            # What holds only on a dark screen does not hold on paper.
            if any("dark" not in rule for rule in _AT_RULE.findall(style.text or "")):
                doubt("rules in @media are not followed")
        self._shapes.gradients.read(svg_node)
        drawing = super().render(svg_node)
        # Where nothing is said. A PDF's is 10, and lets the points of lines stand out further.
        vars(drawing.contents[0])["strokeMiterLimit"] = 4
        if self.waiting_use_nodes:
            there = {element.get("id") for element in svg_node.iter()}
            for name in there & self.waiting_use_nodes.keys():
                doubt("use of %s is not drawn", name)
        return drawing

    def renderStyle(self, node: NodeTracker) -> None:  # noqa: N802 - svglib's name
        """It is read already."""

    def renderGradient(self, node: NodeTracker) -> None:  # noqa: N802
        """It is read already."""

    def renderNode(self, node: NodeTracker, parent: Group | None = None) -> None:  # noqa: N802
        """Draw an element into a group. What is hidden is drawn aside: parts of it may be used elsewhere."""
        self._attributes.settle(node)
        element = node.etree_element
        if element.tag in _HOLDERS:
            if self._attributes.opacity(node) != 1:
                doubt("opacity of a group is not followed")
            if element.get("display") == "none":
                parent = Group()
        super().renderNode(node, parent)

    def get_clippath(self, node: NodeTracker) -> Any:
        """What an element is cut to, in its own coordinates; None for nothing."""
        said = node.get("clip-path", "none")
        if said == "none":
            return None
        name = Reference(said).name
        node.set("clip-path", f"url(#{name})" if name else "none")
        source = self.definitions.get(name)
        parts = sum(1 for _ in source.etree_element.iter()) if source else 0
        self._cut += parts
        if parts > _MOST_PARTS or self._cut > MAX_ELEMENTS:
            raise ValueError("its clips hold too many elements, counted as often as they are used")
        clip = super().get_clippath(node)
        if source is None:
            if not name:
                doubt("clip-path %s is not followed", said)
            return clip
        if source.get("clipPathUnits") == "objectBoundingBox":
            if node.etree_element.tag in _HOLDERS:
                doubt("clipPathUnits objectBoundingBox is not followed")
            self._shapes.boxed = clip
        for element in source.etree_element.iter():
            if element.get("clip-path", "none") != "none":
                doubt("a clip that is clipped itself is not followed")
            if element.get("display") == "none" or element.get("visibility", "visible") != "visible":
                doubt("what is hidden in a clip is not left out")
            if element.tag in _NO_CLIPS:
                doubt("%s in a clip is left out", element.tag.removeprefix(_SVG))
        if clip is None:
            doubt("a clip that leaves nothing is not followed")
            return None
        move(clip, self._shapes.matrix(source.get("transform", "")))
        return clip

    def renderA(self, node: NodeTracker) -> Any:  # noqa: N802
        """A link, as a group."""
        return self.renderG(node, clipping=self.get_clippath(node))

    def renderSwitch(self, node: NodeTracker, clipping: Any = None) -> Group | None:  # noqa: N802
        """The first of its elements that can be drawn."""
        chosen = super().renderSwitch(node)
        if chosen is None:
            return None
        group = Group(*([clipping] if clipping else []), chosen)
        group.transform = self._shapes.matrix(node.get("transform", ""))
        return group

    def renderSvg(self, node: NodeTracker, outermost: bool = False) -> Any:  # noqa: N802
        """The drawing, or one within it, which svglib draws three quarters as large."""
        if outermost:
            if self._attributes.opacity(node) != 1:
                doubt("opacity of the drawing is not followed")
            self._shapes.gradients.box = self.get_box(node, default_box=True)
            return super().renderSvg(node, outermost)
        around = self._attributes.main_box or Box(0, 0, 0, 0)
        x, y, width, height = self._shapes.convert_length_attrs(
            node, "x", "y", "width", "height", defaults=(0.0, 0.0, around.width, around.height)
        )
        if width <= 0 or height <= 0:
            return Group()
        box = self.get_box(node)
        if not (box.width > 0 and box.height > 0 and all(map(math.isfinite, box))):
            box = Box(0, 0, width, height)
        self._attributes.set_box(box)
        clip = self.get_clippath(node)
        drawn = Group(*([clip] if clip else []))
        for child in node.iter_children():
            self.renderNode(child, drawn)
        self._attributes.set_box(around)
        fit = fitted(node.get("preserveAspectRatio", ""), (box.width, box.height), (width, height))
        drawn.transform = within(within((1, 0, 0, 1, x, y), fit), (1, 0, 0, 1, -box.x, -box.y))
        group = Group(drawn)
        if node.get("overflow", "hidden") != "visible":
            group.insert(0, ClippingPath(copy_from=self._shapes.shapeToPath(Rect(x, y, width, height))))
        group.transform = self._shapes.matrix(node.get("transform", ""))
        return group
