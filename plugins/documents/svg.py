"""SVG as a drawing, by svglib: with less asked and checked than svglib does, which saves a quarter of the time.

svglib looks for each attribute of each shape in all groups around it, takes apart even the dashes of a line that has
none, and lists what it did not use. reportlab checks each value that a shape gets, even its defaults: here only
what the SVG says is checked, for svglib passes over what reportlab refuses.

Some of what an SVG may say svglib misreads: colours in capitals or with a name it lacks, `currentColor` of the
element itself or in a gradient, clips and gradients out of styles and rules, numbers with nothing between them.
These are put into words that it reads.

What svglib cannot draw it leaves out or draws in another way, and says so in its log: that is caught here.
"""

import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from io import BytesIO
from typing import Any

from PIL import ImageColor
from reportlab import rl_config
from reportlab.graphics.shapes import Drawing
from reportlab.lib.colors import Color
from svglib.svglib import (
    CSSMatcher,
    NodeTracker,
    Svg2RlgAttributeConverter,
    Svg2RlgShapeConverter,
    SvgRenderer,
    load_svg_file,
)

_LOG = logging.getLogger("svglib.svglib")
# It lists what it did not use unless its own logger says otherwise, whoever listens.
_LOG.setLevel(logging.WARNING)
_LONGEST = 100
"""Characters of what is said that are kept: it may quote a value of any length."""
_PLACES = frozenset(("x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "d"))
"""Taken from attributes alone, by which the file was measured: styles say them in other words (`auto`)."""
_CLIP = re.compile(r"""\s*url\(\s*(["']?)#([^"')\s]+)\1\s*\)""", re.IGNORECASE)
_JOINT = re.compile(r"\.\d+(?=\.)|\d\.?(?=[-+])")
"""The end of a number where the next one begins: a second point, or a sign that is not an exponent's."""


def svg_drawing(data: bytes) -> tuple[Drawing | None, tuple[str, ...]]:
    """The drawing, or None when there is none, and what svglib says it drew otherwise than asked, each once.

    Of bytes, not of a path, beside which an SVG could read files.
    """
    drawing: Drawing | None = None
    with _heard() as said, _checked(False):
        root = load_svg_file(BytesIO(data))
        if root is not None:
            drawing = _Renderer(BytesIO(data)).render(root)
    return drawing, tuple(said)


@contextmanager
def _heard() -> Iterator[dict[str, None]]:
    """What is logged in here, in its order and each once; nobody else hears it."""
    listener = _Listener()
    before, _LOG.propagate = _LOG.propagate, False
    _LOG.addHandler(listener)
    try:
        yield listener.said
    finally:
        _LOG.removeHandler(listener)
        _LOG.propagate = before


class _Listener(logging.Handler):
    def __init__(self) -> None:
        super().__init__()
        self.said: dict[str, None] = {}

    def emit(self, record: logging.LogRecord) -> None:
        # An inch of 90 px. An order says how large a drawing is printed, so it hardly ever shows.
        if "90 dpi" in str(record.msg):
            return
        text = record.getMessage()
        self.said[text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"] = None


@contextmanager
def _checked(on: bool) -> Iterator[None]:
    before = rl_config.shapeChecking
    rl_config.shapeChecking = on
    try:
        yield
    finally:
        rl_config.shapeChecking = before


class _Renderer(SvgRenderer):
    def __init__(self, source: BytesIO) -> None:
        super().__init__(source)
        self._attributes = _Attributes()
        self.attrConverter = self._attributes
        self.shape_converter = _Shapes(source, self._attributes)

    def render(self, svg_node: Any) -> Drawing:
        # At first, for what stands in `defs` is drawn before a style that stands outside.
        for style in svg_node.iter("{http://www.w3.org/2000/svg}style"):
            super().renderStyle(style)
        return super().render(svg_node)

    def renderStyle(self, node: NodeTracker) -> None:  # noqa: N802 - svglib's name
        """It is read already."""

    def get_clippath(self, node: NodeTracker) -> Any:
        # Each element is asked for it before anything else.
        self._attributes.settle(node)
        if clip := _CLIP.match(node.get("clip-path", "")):
            node.set("clip-path", f"url(#{clip[2]})")
        return super().get_clippath(node)

    def renderGradient(self, node: NodeTracker) -> None:  # noqa: N802
        for stop in node.iter_children():
            self._attributes.settle(stop)
            if "stop-color" in stop.attrib:
                stop.set("stop-color", self._attributes.findAttr(stop, "stop-color"))
        super().renderGradient(node)


class _Shapes(Svg2RlgShapeConverter):
    def applyStyleOnShape(self, shape: Any, node: NodeTracker, only_explicit: bool = False) -> None:  # noqa: N802
        with _checked(True):
            super().applyStyleOnShape(shape, node, only_explicit)


class _Attributes(Svg2RlgAttributeConverter):
    def __init__(self) -> None:
        super().__init__()
        self.css_rules: CSSMatcher = CSSMatcher()
        # By identity: one element that is used in two places is equal to itself there, and inherits other things.
        self._inherited: dict[int, tuple[NodeTracker, dict[str, str]]] = {}

    def settle(self, node: NodeTracker) -> None:
        """Put what rules and its style say into the element, where svglib looks for it."""
        element = node.etree_element
        if element.get("__rules_applied") is not None:
            return
        element.set("__rules_applied", "1")
        said = [pair for match in self.css_rules.match(node) for pair in match[-1][1].items()]
        said += [part.partition(":")[::2] for part in element.attrib.pop("style", "").split(";")]
        for name, value in ((name.strip().lower(), value.partition("!")[0].strip()) for name, value in said):
            if value and name not in _PLACES:
                # Not all names of styles can be names of attributes.
                with suppress(ValueError):
                    element.set(name, value)

    def findAttr(self, svgNode: NodeTracker, name: str) -> str:  # noqa: N802, N803 - svglib's names
        value = self._found(svgNode, name)
        # It is inherited as a word, and means the colour where it is used: svglib looks only around the element.
        return (self._found(svgNode, "color") or "black") if value.lower() == "currentcolor" else value

    def _found(self, node: NodeTracker, name: str) -> str:
        self.settle(node)
        own, parent = node.etree_element.get(name), node.parent
        if own is not None:
            own = own.strip()
            if own and own != "inherit":
                return str(own)
        if parent is None:
            return ""
        known = self._inherited.get(id(parent))
        if known is None:
            known = self._inherited[id(parent)] = (parent, {})
        values = known[1]
        if name not in values:
            values[name] = self._found(parent, name)
        return values[name]

    def convertColor(self, svgAttr: str) -> Any:  # noqa: N802, N803
        word = svgAttr.lower()
        if word in ImageColor.colormap:
            return Color(*(channel / 255 for channel in ImageColor.getrgb(word)))
        try:
            return super().convertColor(word)
        except ValueError:
            # Elsewhere svglib leaves it black without a word, in a gradient it gives up.
            _LOG.warning("Can't handle color: %s", svgAttr)
            return None

    def convertTransform(self, svgAttr: str) -> list[tuple[str, float | tuple[float, ...]]]:  # noqa: N802, N803
        # A place may stand behind `none`: that of a `use`.
        return super().convertTransform(_JOINT.sub(r"\g<0> ", svgAttr.strip().removeprefix("none")))

    def convertDashArray(self, svgAttr: str) -> list[float | list[float]]:  # noqa: N802, N803
        return [] if svgAttr == "none" else super().convertDashArray(svgAttr)
