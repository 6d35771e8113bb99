"""A paragraph that does nothing twice: most of a paper's time goes into its paragraphs."""

import re
from functools import cache
from typing import Any

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

_MARKUP = re.compile("[<&]")
_LINES = ("width", "height", "blPara", "_width_max", "_wrapWidths")


class Words(Paragraph):
    """reportlab's paragraph, but text without markup is not parsed, and not broken again at a width known already.

    A table asks for each cell's widest, then for its height, then draws it.
    """

    def _setup(self, text: str | None, style: ParagraphStyle, bullet: Any, frags: Any, cleaner: Any) -> None:
        self._broken: dict[float, tuple[tuple[float, float], dict[str, Any]]] = {}
        if frags is None and text and not _MARKUP.search(text):
            frags = [_plain(style).clone(text=cleaner(text))]
        super()._setup(text, style, bullet, frags, cleaner)  # type: ignore[misc]

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Break into lines of this width in points; the size. How much height there is makes no difference."""
        if width in self._broken:
            size, lines = self._broken[width]
            self.__dict__.update(lines)
            return size
        size = super().wrap(width, height)
        # Of several fragments (kind 1) reportlab makes others as it breaks them: those it must break each time.
        broken = self.__dict__.get("blPara")
        if broken is not None and broken.kind == 0:
            self._broken[width] = size, {name: self.__dict__[name] for name in _LINES}
        return size


@cache
def _plain(style: ParagraphStyle) -> Any:
    """What reportlab's parser makes of a word in this style."""
    (fragment,) = Paragraph("x", style).frags
    return fragment
