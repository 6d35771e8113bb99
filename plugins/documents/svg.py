"""SVG as a drawing, by svglib: with less asked and checked than svglib does, which saves a quarter of the time.

svglib looks for each attribute of each shape in all groups around it, takes apart even the dashes of a line that has
none, and lists what it did not use. reportlab checks each value that a shape gets, even its defaults: here only
what the SVG says is checked, for svglib passes over what reportlab refuses.

What svglib cannot draw it leaves out or draws in another way, and says so in its log: that is caught here.
"""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from typing import Any

from reportlab import rl_config
from reportlab.graphics.shapes import Drawing
from svglib.svglib import (
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
        attributes = _Attributes()
        attributes.css_rules = self.attrConverter.css_rules
        self.attrConverter = attributes
        self.shape_converter = _Shapes(source, attributes)


class _Shapes(Svg2RlgShapeConverter):
    def applyStyleOnShape(self, shape: Any, node: NodeTracker, only_explicit: bool = False) -> None:  # noqa: N802 - svglib's name
        with _checked(True):
            super().applyStyleOnShape(shape, node, only_explicit)


class _Attributes(Svg2RlgAttributeConverter):
    def __init__(self) -> None:
        super().__init__()
        # By identity: one element that is used in two places is equal to itself there, and inherits other things.
        self._inherited: dict[int, tuple[NodeTracker, dict[str, str]]] = {}

    def findAttr(self, svgNode: NodeTracker, name: str) -> str:  # noqa: N802, N803 - svglib's names
        element, parent = svgNode.etree_element, svgNode.parent
        if parent is None or element.get("__rules_applied") is None:
            # It puts the values of styles and rules into the element, and marks it.
            return super().findAttr(svgNode, name)
        own = element.get(name)
        if own is not None:
            own = own.strip()
            if own and own != "inherit":
                return str(own)
        known = self._inherited.get(id(parent))
        if known is None:
            known = self._inherited[id(parent)] = (parent, {})
        values = known[1]
        if name not in values:
            values[name] = self.findAttr(parent, name)
        return values[name]

    def convertDashArray(self, svgAttr: str) -> list[float | list[float]]:  # noqa: N802, N803
        return [] if svgAttr == "none" else super().convertDashArray(svgAttr)
