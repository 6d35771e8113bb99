"""SVG artwork: what may stand in it, and its natural proportions.

An SVG is a program in disguise: it can hold scripts, read other files, name entities that grow without end, and
use a part thousands of times. What is drawn wrongly without a word (masks, filters, live text in a font that is
not here) is refused too. Elements of other namespaces (an editor's notes) are passed over.
"""

import re
from collections import Counter
from fractions import Fraction
from typing import Any
from xml.parsers import expat

from pipeline.artwork.unfit import Unfit
from pipeline.model.order import Artwork, ArtworkKind

MAX_BYTES = 5_000_000
MAX_ELEMENTS = 50_000
MAX_DEPTH = 100

_SVG = "http://www.w3.org/2000/svg"
_DRAWN = frozenset(
    (
        "a",
        "circle",
        "clipPath",
        "defs",
        "desc",
        "ellipse",
        "g",
        "image",
        "line",
        "linearGradient",
        "metadata",
        "path",
    )
).union(
    ("polygon", "polyline", "radialGradient", "rect", "stop", "style", "svg", "switch", "title", "use", "view")
)
_INSTEAD = {
    "script": "take it out: a drawing needs none",
    "text": "turn the text into outlines",
    "mask": "draw it without a mask, or export it as PNG with transparency",
    "filter": "draw it without a filter, or export it as PNG with transparency",
}
_LENGTH = re.compile(r"\s*([0-9]{1,7}(?:\.[0-9]{1,9})?)\s*(px|pt|pc|mm|cm|in)?\s*")
# CSS: 96 px to the inch, in units of 1/96 in.
_PIXELS = {
    "px": Fraction(1),
    "pt": Fraction(4, 3),
    "pc": Fraction(16),
    "in": Fraction(96),
    "mm": Fraction(960, 254),
    "cm": Fraction(9600, 254),
}


def measure_svg(path: str, content: bytes) -> Artwork:
    """The artwork but for its hash. Raises Unfit: E303 no SVG or no size, E304 what may not be in it, E306 size."""
    if len(content) > MAX_BYTES:
        raise Unfit(
            "E306", f"`{path}` has {len(content):,} bytes; an SVG at most {MAX_BYTES:,}", "export it as PDF"
        )
    reader = _Reader(path)
    reader.read(content)
    return Artwork(path=path, sha256="", kind=ArtworkKind.SVG, aspect=_aspect(path, reader.root))


class _Reader:
    """One pass over the elements. Raises Unfit at the first that may not be there."""

    def __init__(self, path: str) -> None:
        self.path = path
        self.root: dict[str, str] = {}
        self.open: list[str] = []
        #: How many elements stand in each element with an id, and which of them hold a `use`.
        self.sizes: Counter[str] = Counter()
        self.users: set[str] = set()
        self.uses: list[str] = []
        self.elements = 0

    def read(self, content: bytes) -> None:
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._text
        parser.StartDoctypeDeclHandler = self._doctype
        self.parser = parser
        try:
            parser.Parse(content, True)
        except expat.ExpatError as error:
            message = f"`{self.path}` is no SVG, or is cut off, at its line {error.lineno}"
            raise Unfit("E303", message, "ask for the file again, or export it again from the drawing") from error
        drawn = self.elements + sum(self.sizes[name] for name in self.uses)
        if drawn > MAX_ELEMENTS:
            message = f"`{self.path}` draws {drawn:,} elements; at most {MAX_ELEMENTS:,} are drawn"
            raise Unfit("E306", message, "simplify the drawing, or export it as PNG")
        if nested := self.users.intersection(self.uses):
            raise self._hostile(f"`use` of `{min(nested)}`, in which `use` stands again", "ungroup the copies")

    def _hostile(self, what: str, hint: str) -> Unfit:
        line = self.parser.CurrentLineNumber
        return Unfit("E304", f"`{self.path}` holds {what}, at its line {line}", hint)

    def _doctype(self, *_: object) -> None:
        raise self._hostile("a DOCTYPE", "save it again as plain SVG")

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        space, _, name = tag.rpartition(" ")
        self.elements += 1
        if not self.open:
            if space != _SVG or name != "svg":
                raise Unfit("E303", f"`{self.path}` is no SVG: it begins with `{name}`", "export it again as SVG")
            self.root = attributes
        elif len(self.open) >= MAX_DEPTH:
            raise self._hostile(f"elements more than {MAX_DEPTH} deep", "ungroup the drawing")
        if space == _SVG and name not in _DRAWN:
            raise self._hostile(f"`{name}`", _INSTEAD.get(name, "take it out, or export it as PDF or PNG"))
        self._attributes(name, attributes)
        identity = attributes.get("id", "")
        self.open.append(identity)
        for outer in filter(None, self.open):
            self.sizes[outer] += 1
        if name == "use":
            self.users.update(filter(None, self.open))
            self.uses.append(_target(attributes))

    def _end(self, _: str) -> None:
        self.open.pop()

    def _text(self, text: str) -> None:
        if "@import" in text or _outside(text):
            raise self._hostile("a style that refers to another file", "write the style out")

    def _attributes(self, element: str, attributes: dict[str, str]) -> None:
        for key, value in attributes.items():
            name = key.rpartition(" ")[2]
            if name.startswith("on"):
                raise self._hostile(f"a script (`{name}`)", "take it out: a drawing needs none")
            if name == "href" and not value.strip().startswith(("#", "data:image/png", "data:image/jpeg")):
                raise self._hostile(
                    f"a reference to another file, `{value[:60]}`", "embed the picture in the file"
                )
            if _outside(value):
                raise self._hostile("a style that refers to another file", "write the style out")
        if element in ("g", "svg", "use") and _opacity(attributes) not in ("", "1", "1.0", "100%"):
            hint = "make each shape transparent by itself, or export it as PNG with transparency"
            raise self._hostile(f"a transparent group (`{element}`)", hint)


def _target(attributes: dict[str, str]) -> str:
    return next(
        (v.strip().removeprefix("#") for k, v in attributes.items() if k.rpartition(" ")[2] == "href"), ""
    )


def _outside(value: str) -> bool:
    """True for a `url(...)` to anything but a part of the same file."""
    return any(
        not reference.startswith("#") for reference in re.findall(r"url\(\s*['\"]?([^)]*)", value, re.IGNORECASE)
    )


def _opacity(attributes: dict[str, str]) -> str:
    inline = re.search(r"(?:^|;)\s*opacity\s*:\s*([^;]+)", attributes.get("style", ""))
    return (inline[1] if inline else attributes.get("opacity", "")).strip()


def _aspect(path: str, root: dict[str, Any]) -> Fraction:
    """Width / height: of the attributes of those names, else of the view box."""
    sides = [_pixels(root.get(name, "")) for name in ("width", "height")]
    box = [_pixels(part) for part in re.split(r"[\s,]+", str(root.get("viewBox", "")).strip())[2:4]]
    for width, height in (sides, box if len(box) == 2 else [None, None]):
        if width and height:
            return width / height
    hint = 'give its first element a size, such as width="90mm" height="60mm"'
    raise Unfit("E303", f"`{path}` says neither its width and height nor its `viewBox`", hint)


def _pixels(text: str) -> Fraction | None:
    match = _LENGTH.fullmatch(text)
    return Fraction(match[1]) * _PIXELS[match[2] or "px"] if match else None
