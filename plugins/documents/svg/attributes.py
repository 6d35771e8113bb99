"""What an SVG says of an element, by rule, by style, by attribute or by a group around it, in words svglib reads.

svglib looks for each attribute of each shape in all groups around it, takes apart even the dashes of a line that has
none, and misreads colours in capitals or with a name it lacks, `currentColor` of the element itself, numbers with
nothing between them, and shares in percent.
"""

import math
import re
from contextlib import suppress
from typing import Any

from PIL import ImageColor
from reportlab.lib.colors import Color
from svglib.svglib import CSSMatcher, NodeTracker, Svg2RlgAttributeConverter

from plugins.documents.svg.doubts import doubt

_PLACES = frozenset(("x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "d"))
"""Taken from attributes alone, by which the file was measured: styles say them in other words (`auto`)."""
_JOINT = re.compile(r"\.\d+(?=\.)|\d\.?(?=[-+])")
"""The end of a number where the next one begins: a second point, or a sign that is not an exponent's."""
_MOVES = frozenset(("matrix", "translate", "scale", "rotate", "skewX", "skewY"))
_MOST_MOVES = 1000
"""Of one element. The time svglib takes grows with their square."""
_NOT_FOLLOWED = {
    "filter": ("none",),
    "mix-blend-mode": ("normal",),
    "paint-order": ("normal", "fill", "fill stroke", "fill stroke markers"),
    "transform-origin": ("0", "0 0", "0px 0px", "top left", "left top"),
    "vector-effect": ("none",),
}
"""What changes a print and is drawn nowhere here, and the values that ask for nothing."""


class Reference:
    """The id in `url(#id)`, and the colour that is said behind it for want of that part."""

    _SAID = re.compile(r"""\s*url\(\s*(["']?)#([^"')\s]+)\1\s*\)""", re.IGNORECASE)

    def __init__(self, value: str) -> None:
        match = self._SAID.match(value)
        self.name = match[2] if match else ""
        self.instead = value[match.end() :].strip() if match else ""


def is_reference(value: str) -> bool:
    """True for a colour or clip that is another part of the drawing."""
    return value[:4].lower() == "url("


def share_of(said: str) -> float | None:
    """From 0 to 1, whatever number or percentage is said; None for anything else."""
    text = said.strip()
    try:
        share = float(text.removesuffix("%")) / (100 if text.endswith("%") else 1)
    except ValueError:
        return None
    return None if math.isnan(share) else min(max(share, 0.0), 1.0)


class Attributes(Svg2RlgAttributeConverter):
    """The attributes of elements as they are asked for."""

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
        # What is marked as important comes last, and stands.
        said.sort(key=lambda pair: "!" in pair[1])
        for name, value in ((name.strip().lower(), value.partition("!")[0].strip()) for name, value in said):
            if value and name not in _PLACES:
                # Not all names of styles can be names of attributes.
                with suppress(ValueError):
                    element.set(name, value)
        if _NOT_FOLLOWED.keys().isdisjoint(element.keys()):
            return
        for name in _NOT_FOLLOWED.keys() & element.keys():
            value = " ".join(element.get(name).lower().split())
            if value not in _NOT_FOLLOWED[name] and (name != "transform-origin" or element.get("transform")):
                doubt("%s is not followed", name)

    def findAttr(self, svgNode: NodeTracker, name: str) -> str:  # noqa: N802, N803 - svglib's names
        """What is said, a colour as a word. A paint that is another part is none to svglib: see `said`."""
        value = self.said(svgNode, name)
        if is_reference(value):
            return "none"
        # It is inherited as a word, and means the colour where it is used: svglib looks only around the element.
        return (self.said(svgNode, "color") or "black") if value.lower() == "currentcolor" else value

    def said(self, node: NodeTracker, name: str) -> str:
        """What is said of the element or around it, as it is written."""
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
            values[name] = self.said(parent, name)
        return values[name]

    def opacity(self, node: NodeTracker, name: str = "opacity") -> float:
        """Of the element itself, for these are not inherited."""
        said = node.etree_element.get(name)
        return 1.0 if said is None else self.convertOpacity(said)

    def convertColor(self, svgAttr: str) -> Any:  # noqa: N802, N803
        """A colour of reportlab; None for none, and for what cannot be read."""
        word = svgAttr.lower()
        if word in ImageColor.colormap:
            return Color(*(channel / 255 for channel in ImageColor.getrgb(word)))
        try:
            return super().convertColor(word)
        except ValueError:
            # Elsewhere svglib leaves it black without a word, in a gradient it gives up.
            doubt("Can't handle color: %s", svgAttr)
            return None

    def convertOpacity(self, svgAttr: str) -> float:  # noqa: N802, N803
        """From 0 to 1, whatever is said. What cannot be read counts as not said."""
        share = share_of(str(svgAttr))
        return 1.0 if share is None else share

    def convertTransform(self, svgAttr: str) -> list[tuple[str, float | tuple[float, ...]]]:  # noqa: N802, N803
        """The moves, one after the other."""
        if svgAttr.count("(") > _MOST_MOVES:
            doubt("a transform of more than %d parts is not followed", _MOST_MOVES)
            return []
        # A place may stand behind `none`: that of a `use`.
        moves = super().convertTransform(_JOINT.sub(r"\g<0> ", svgAttr.strip().removeprefix("none")))
        for move, by in moves:
            if move not in _MOVES:
                doubt("transform %s is not followed", move)
            if not all(map(math.isfinite, by if isinstance(by, tuple) else (by,))):
                raise ValueError(f"{svgAttr[:60]} leads nowhere")
        return moves

    def convertLength(self, svgAttr: str, *more: Any, **named: Any) -> Any:  # noqa: N802, N803
        """A length, or several. Raises ValueError."""
        length = super().convertLength(svgAttr, *more, **named)
        # Not a number, which a PDF cannot hold.
        if length != length:
            raise ValueError(f"{svgAttr[:60]} is no length")
        return length

    def convertDashArray(self, svgAttr: str) -> list[float | list[float]]:  # noqa: N802, N803
        """Lengths, none for an unbroken line."""
        return [] if svgAttr == "none" else super().convertDashArray(svgAttr)
