"""A paragraph that does nothing twice: most of a paper's time goes into its paragraphs."""

from functools import cached_property
from typing import Any

from reportlab.pdfbase.pdfmetrics import getAscentDescent, stringWidth
from reportlab.platypus import Paragraph
from reportlab.platypus.paragraph import split  # type: ignore[attr-defined]


class Words(Paragraph):
    """reportlab's paragraph of fragments, but it is not broken again at the width that it has.

    A table asks for each cell's widest, then for its height, then draws it. Most cells are one line of one look,
    which is known by its width.
    """

    _lines: Any = None

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Break into lines of this width in points; the size. How much height there is makes no difference."""
        lines = self.__dict__.get("blPara")
        if lines is not None and lines is self._lines and width == self.width:
            return self.width, self.height
        size = super().wrap(width, height)
        self._lines = self.__dict__.get("blPara")
        return size

    def breakLines(self, width: list[float]) -> Any:  # type: ignore[override]  # noqa: N802 - reportlab's name
        """The lines, of which the first is `width[0]` points wide."""
        if len(self.frags) == 1 and getattr(self.frags[0], "text", None):
            wide, words = self._line
            if words and wide <= width[0]:
                (fragment,) = self.frags
                self._width_max = wide
                ascent, descent = getAscentDescent(fragment.fontName, fragment.fontSize)
                return fragment.clone(kind=0, lines=[(width[0] - wide, words)], ascent=ascent, descent=descent)
        return super().breakLines(width)

    @cached_property
    def _line(self) -> tuple[float, list[str]]:
        """All words in one line, and its width in points as reportlab adds it up."""
        (fragment,) = self.frags
        words, space = split(fragment.text), stringWidth(" ", fragment.fontName, fragment.fontSize)
        wide = -space
        for word in words:
            wide += space
            wide += stringWidth(word, fragment.fontName, fragment.fontSize)
        return wide, words
