"""The small XML that a template renders: which tags there are, what each may hold and say.

| tag | attributes | holds | on paper |
|---|---|---|---|
| page | title size orientation margin text language author refresh | header? footer? blocks | the whole paper (1) |
| header, footer | first pages | words | a line on top or at the foot of each page (2) |
| h1 | | words | a heading |
| h2 h3 | id | words | headings; `id` is what `href="#..."` leads to |
| p | align class | words | a paragraph; `class` is strong or muted |
| big | label | words | large figures, read from two metres, under a small label |
| ul | mark | li | a list; `mark` is bullet (default), number or tick |
| li | find | flow | |
| table | class widths title narrow | tr | `class` is lines (default), grid or plain (3) |
| tr | id find | th td | |
| th, td | colspan align class | flow | `class` is strong, muted, total or caution |
| row | | col | things side by side |
| col | width align | flow | `width="2"` is a share |
| box | kind title | flow | a framed note (default), caution or stop |
| drawing | name alt width | | a drawing handed over with the paper, by name |
| img | name alt width height | | a picture handed over with the paper, by name |
| barcode | value kind width | | Code 128 with its text below; `kind="sscc"` a container code as GS1-128 |
| qr | value width | | QR code |
| space | height | | |
| keep | | blocks | not parted by a page break; only directly in page |
| newpage | | | only directly in page |
| search | label count | | a field that leaves only the rows and items with `find` that hold its words (4) |
| view | name | | a drawing that answers to pointer and keyboard, handed over with the page, by name (4) |
| fold | title | flow | folded away until it is asked for (4) |

(1) `size` is Letter (default), A4 or `4in 6in`; `text="large"` is for the shop floor.
(2) `first="no"` leaves page 1 out. The footer ends with `pages`: "page {page} of {pages}".
(3) `widths="3 1 1"` are shares; left out, the columns follow their content. Leading rows of th alone repeat
    on every page. `title` says what the table shows to who cannot see it. On a narrow screen it is moved from
    side to side, or with `narrow="cards"` each row is a card.
(4) In pages for a browser only. `find` holds further words by which a row or item is found; `count` is what is told
    of those that are left: "{shown} of {all}".

Words are text, b i small code, br, tick (an empty tick box) and a (`href` is relative, #, https: or mailto:).
Blocks are the tags from h1 to newpage but li tr th td col; flow is words or blocks without keep and newpage.
Lengths are `12mm`, `1.5in` or `9pt`. White space is folded as in HTML.
"""

import re
from collections.abc import Callable, Mapping

from pipeline.language import N_

POINTS = {"pt": 1.0, "mm": 72 / 25.4, "in": 72.0}
_LENGTH = re.compile(r"(\d+(?:\.\d+)?)(pt|mm|in)")
_PAPERS = {"Letter": (8.5 * 72, 11 * 72), "A4": (210 * POINTS["mm"], 297 * POINTS["mm"])}


def points(text: str) -> float:
    """`12mm`, `1.5in`, `9pt` in points. Raises ValueError."""
    match = _LENGTH.fullmatch(text)
    if match is None:
        raise ValueError("write a length such as 12mm, 1.5in or 9pt")
    return float(match[1]) * POINTS[match[2]]


def page_size(text: str) -> tuple[float, float]:
    """`Letter`, `A4` or `4in 6in` as width and height in points. Raises ValueError."""
    if text in _PAPERS:
        return _PAPERS[text]
    width, _, height = text.partition(" ")
    try:
        return points(width), points(height)
    except ValueError:
        raise ValueError("write Letter, A4 or a width and height such as `4in 6in`") from None


def shares(text: str) -> tuple[float, ...]:
    """`3 1 1` as numbers above zero. Raises ValueError."""
    values = tuple(float(part) for part in text.split() if re.fullmatch(r"\d+(\.\d+)?", part))
    if not values or len(values) != len(text.split()) or min(values) <= 0:
        raise ValueError("write shares above zero such as `3 1 1`")
    return values


def _any(text: str) -> str:
    return text


def _columns(text: str) -> int:
    if not re.fullmatch(r"[1-9]\d?", text):
        raise ValueError("write a whole number from 1")
    return int(text)


def _link(text: str) -> str:
    if re.match(r"(?!https:|mailto:)[^/?#]*:", text):
        raise ValueError("a link is relative, https: or mailto:")
    return text


def _pages(text: str) -> str:
    if set(re.findall(r"{.*?}", text)) - {"{page}", "{pages}"}:
        raise ValueError("only {page} and {pages} may stand in braces")
    return text


def _one_of(*choices: str) -> Callable[[str], object]:
    def check(text: str) -> str:
        if text not in choices:
            raise ValueError(f"it is one of {', '.join(choices)}")
        return text

    return check


# Said in words too, so that colour is not the only sign.
BOX_WORDS = {
    "note": "",
    "caution": N_("\N{WARNING SIGN} Caution"),
    "stop": N_("\N{HEAVY MULTIPLICATION X} Stop"),
}
WORDS = frozenset({"b", "i", "small", "code", "br", "tick", "a"})
#: What only a browser can show.
ON_SCREEN = ("search", "view", "fold")
_SOLID = frozenset(
    {
        "h1",
        "h2",
        "h3",
        "p",
        "big",
        "ul",
        "table",
        "row",
        "box",
        "drawing",
        "img",
        "barcode",
        "qr",
        "space",
        *ON_SCREEN,
    }
)
_BLOCKS = _SOLID | {"keep", "newpage"}
_FLOW = WORDS | _SOLID
_LINES = ("header", "footer", "h1", "h2", "h3", "p", "big", "b", "i", "small", "code", "a")
_FLOWS = ("li", "th", "td", "col", "box", "fold")
TEXT_IN = frozenset((*_LINES, *_FLOWS))
HOLDS: Mapping[str, frozenset[str]] = {
    "page": _BLOCKS | {"header", "footer"},
    **dict.fromkeys(_LINES, WORDS),
    **dict.fromkeys(_FLOWS, _FLOW),
    "ul": frozenset({"li"}),
    "table": frozenset({"tr"}),
    "tr": frozenset({"th", "td"}),
    "row": frozenset({"col"}),
    "keep": _SOLID,
    **dict.fromkeys(
        ("drawing", "img", "barcode", "qr", "space", "newpage", "br", "tick", "search", "view"), frozenset()
    ),
}
_CELL: Mapping[str, Callable[[str], object]] = {
    "colspan": _columns,
    "align": _one_of("left", "center", "right"),
    "class": _one_of("strong", "muted", "total", "caution"),
}
ATTRIBUTES: Mapping[str, Mapping[str, Callable[[str], object]]] = {
    "page": {
        "title": _any,
        "size": page_size,
        "orientation": _one_of("portrait", "landscape"),
        "margin": points,
        "text": _one_of("normal", "large"),
        "language": _any,
        "author": _any,
        "refresh": _columns,
    },
    "header": {"first": _one_of("yes", "no")},
    "footer": {"first": _one_of("yes", "no"), "pages": _pages},
    "p": {"align": _one_of("left", "center", "right"), "class": _one_of("strong", "muted")},
    "big": {"label": _any},
    "ul": {"mark": _one_of("bullet", "number", "tick")},
    "h2": {"id": _any},
    "h3": {"id": _any},
    "li": {"find": _any},
    "table": {
        "class": _one_of("lines", "grid", "plain"),
        "widths": shares,
        "title": _any,
        "narrow": _one_of("scroll", "cards"),
    },
    "tr": {"id": _any, "find": _any},
    "th": _CELL,
    "td": _CELL,
    "col": {"width": shares, "align": _one_of("left", "center", "right")},
    "box": {"kind": _one_of("note", "caution", "stop"), "title": _any},
    "drawing": {"name": _any, "alt": _any, "width": points},
    "img": {"name": _any, "alt": _any, "width": points, "height": points},
    "barcode": {"value": _any, "kind": _one_of("text", "sscc"), "width": points},
    "qr": {"value": _any, "width": points},
    "space": {"height": points},
    "search": {"label": _any, "count": _any},
    "view": {"name": _any},
    "fold": {"title": _any},
    "a": {"href": _link},
}
REQUIRED: Mapping[str, tuple[str, ...]] = {
    "page": ("title",),
    "drawing": ("name", "alt"),
    "img": ("name", "alt"),
    "barcode": ("value",),
    "qr": ("value",),
    "search": ("label", "count"),
    "view": ("name",),
    "fold": ("title",),
    "a": ("href",),
}
