"""Colours that run from one into another, on pages of PDF.

reportlab can only fill a page with them, cut to a shape. Here they are colours like others, of areas and of lines:
patterns, which stand in the page's own coordinates (ISO 32000-1, 8.7.4, from memory). Where they fade, a mask of
the same run in grey is laid over what is drawn (11.6.5).
"""

from itertools import pairwise
from typing import Any

from attrs import field, frozen
from reportlab.graphics.transform import mmult
from reportlab.lib.colors import Color
from reportlab.pdfbase.pdfdoc import (
    PDFArray,
    PDFAxialShading,
    PDFDictionary,
    PDFExponentialFunction,
    PDFName,
    PDFRadialShading,
    PDFResourceDictionary,
    PDFStitchingFunction,
    PDFStream,
)
from reportlab.pdfgen.canvas import Canvas

Matrix = tuple[float, float, float, float, float, float]
Stops = tuple[tuple[float, Color], ...]


def within(outer: Matrix, inner: Matrix) -> Matrix:
    """What stands in `inner`, which stands in `outer`."""
    both: Matrix = mmult(outer, inner)  # type: ignore[no-untyped-call]
    return both


@frozen(kw_only=True)
class Shading:
    """Colours along a line (two points), or between two circles (two centres, each with a radius)."""

    run: tuple[float, ...] = field()
    #: From 0 to 1, both of them there, and each larger than the one before.
    stops: Stops
    #: From its own coordinates to those of what is drawn.
    matrix: Matrix
    #: Of what is drawn, in its own coordinates: left, lower, right, upper.
    bounds: tuple[float, float, float, float]

    @run.validator
    def _check(self, _: object, run: tuple[float, ...]) -> None:
        if len(run) not in (4, 6):
            raise ValueError(f"neither a line nor two circles: {run}")

    @property
    def fades(self) -> bool:
        """True where some of it is more transparent than the rest."""
        return len({colour.alpha for _, colour in self.stops}) > 1

    @property
    def alpha(self) -> float:
        """Of all of it, but for what fades."""
        return 1.0 if self.fades else float(self.stops[0][1].alpha)


class ShadingCanvas(Canvas):
    """A canvas of one page whose areas and lines may have a shading for a colour."""

    def __init__(self, *settings: Any, **more: Any) -> None:
        super().__init__(*settings, **more)
        self._patterns: dict[str, Any] = {}
        self._masks: dict[str, Any] = {}
        # By identity: many shapes are painted with one gradient.
        self._functions: dict[tuple[int, str], tuple[Stops, Any]] = {}

    def set_shading(self, shading: Shading, *, stroke: bool) -> None:
        """Fill areas, or stroke lines, with it from now on."""
        document = self._doc  # type: ignore[attr-defined]
        here = within(self._currentMatrix, shading.matrix)  # type: ignore[attr-defined]
        pattern = {
            "Type": PDFName("Pattern"),
            "PatternType": 2,
            "Shading": document.Reference(self._run(shading, "DeviceRGB")),
            "Matrix": PDFArray(here),
        }
        name = f"P{len(self._patterns)}"
        self._patterns[name] = PDFDictionary(pattern)
        self._say(f"/Pattern CS /{name} SCN" if stroke else f"/Pattern cs /{name} scn")
        if shading.fades:
            name = f"M{len(self._masks)}"
            self._masks[name] = PDFDictionary({"SMask": self._mask(shading, document)})
            self._say(f"/{name} gs")

    def _run(self, shading: Shading, space: str) -> Any:
        kind: Any = PDFAxialShading if len(shading.run) == 4 else PDFRadialShading
        key = (id(shading.stops), space)
        if key not in self._functions:
            self._functions[key] = (shading.stops, _function(shading.stops, space))
        return kind(*shading.run, Function=self._functions[key][1], ColorSpace=space, Extend="[true true]")

    def _mask(self, shading: Shading, document: Any) -> PDFDictionary:
        left, lower, right, upper = shading.bounds
        # The line around it lies outside, and may be as wide as the whole.
        wide, high = right - left + 1e3, upper - lower + 1e3
        greys = document.Reference(self._run(shading, "DeviceGray"))
        entries = {
            "Type": PDFName("XObject"),
            "Subtype": PDFName("Form"),
            "BBox": PDFArray([left - wide, lower - high, right + wide, upper + high]),
            "Group": PDFDictionary({"S": PDFName("Transparency"), "CS": PDFName("DeviceGray")}),
            "Resources": PDFResourceDictionary(Shading={"S": greys}),
        }
        content = f"{' '.join(format(part, '.6f') for part in shading.matrix)} cm /S sh"
        form = PDFStream(dictionary=PDFDictionary(entries), content=content)
        return PDFDictionary(
            {"Type": PDFName("Mask"), "S": PDFName("Luminosity"), "G": document.Reference(form)},
        )

    def _say(self, operators: str) -> None:
        self._code.append(operators)  # type: ignore[attr-defined]

    def _setShadingUsed(self, page: Any) -> None:  # noqa: N802 - reportlab's name
        super()._setShadingUsed(page)  # type: ignore[misc]
        before = page.check_format

        # A page gathers what its content names only when it is written, and knows no patterns.
        def check_format(document: Any) -> None:
            before(document)
            page.Resources.Pattern = self._patterns
            if self._masks:
                states = page.ExtGState.dict if page.ExtGState else {}
                page.Resources.ExtGState = PDFDictionary({**states, **self._masks})

        if self._patterns:
            page.check_format = check_format


def _function(stops: Stops, space: str) -> Any:
    parts = [
        (colour.alpha,) if space == "DeviceGray" else (colour.red, colour.green, colour.blue)
        for _, colour in stops
    ]
    functions = [PDFExponentialFunction(N=1, C0=one, C1=other) for one, other in pairwise(parts)]
    if len(functions) == 1:
        return functions[0]
    bounds = [place for place, _ in stops[1:-1]]
    return PDFStitchingFunction(functions, bounds, [0, 1] * len(functions), Domain="[0.0 1.0]")
