"""SVG as a drawing, by svglib: with its attributes looked up once, which saves a sixth of the time.

svglib looks for each attribute of each shape in all groups around it, and takes apart even the dashes of a line that
has none.
"""

from io import BytesIO

from reportlab.graphics.shapes import Drawing
from svglib.svglib import NodeTracker, Svg2RlgAttributeConverter, SvgRenderer, load_svg_file


def svg_drawing(data: bytes) -> Drawing | None:
    """The drawing, or None when there is none. Of bytes, not of a path, beside which an SVG could read files."""
    root = load_svg_file(BytesIO(data))
    if root is None:
        return None
    renderer = SvgRenderer(BytesIO(data))
    converter = _Converter()
    converter.css_rules = renderer.attrConverter.css_rules
    renderer.attrConverter = renderer.shape_converter.attrConverter = converter
    drawing: Drawing = renderer.render(root)
    return drawing


class _Converter(Svg2RlgAttributeConverter):
    def __init__(self) -> None:
        super().__init__()
        # By identity: one element that is used in two places is equal to itself there, and inherits other things.
        self._inherited: dict[tuple[int, str], tuple[NodeTracker, str]] = {}

    def findAttr(self, svgNode: NodeTracker, name: str) -> str:  # noqa: N802, N803 - svglib's names
        element, parent = svgNode.etree_element, svgNode.parent
        if parent is None or element.get("__rules_applied") is None:
            # It puts the values of styles and rules into the element, and marks it.
            return super().findAttr(svgNode, name)
        own = element.get(name, "").strip()
        if own and own != "inherit":
            return str(own)
        if (id(parent), name) not in self._inherited:
            self._inherited[id(parent), name] = (parent, self.findAttr(parent, name))
        return self._inherited[id(parent), name][1]

    def convertDashArray(self, svgAttr: str) -> list[float | list[float]]:  # noqa: N802, N803
        return [] if svgAttr == "none" else super().convertDashArray(svgAttr)
