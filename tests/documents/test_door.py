"""What stays at the door since no sheet could show it: found later, it would stop the week of everybody."""

from hashlib import sha256
from pathlib import Path

import pytest
from reportlab.graphics.shapes import Drawing, Rect
from reportlab.lib.colors import Color
from svglib import svglib

from pipeline.artwork import measure_artwork
from pipeline.model.order import Artwork, ArtworkKind, Order
from pipeline.problems import Problem
from plugins.documents.canvas import drawing_page
from plugins.documents.door import unprintable
from plugins.documents.kept import Kept
from tests.builders import make_artwork, make_line, make_order, make_print, make_shop
from tests.documents.artworks import png, svg

GROUND = '<rect width="40" height="20" fill="{}"/>'
MOTIF = '<rect x="10" y="5" width="20" height="10" fill="rgb(20,40,220)"/>'


def asked(folder: Path, content: bytes, kind: ArtworkKind) -> list[Problem]:
    """The problems of two orders of one artwork."""
    path = f"art.{kind.value}"
    (folder / path).write_bytes(content)
    measured = measure_artwork(folder, path).value
    art: Artwork = measured or make_artwork(path, kind=kind, sha256=sha256(content).hexdigest())
    line = make_line(prints=(make_print(path, art=art),))
    orders: tuple[Order, ...] = (make_order("H-1", lines=(line,)), make_order("H-2", lines=(line, line)))
    return list(unprintable(orders, make_shop(root=folder)))


def drawn(*shapes: Rect) -> bytes:
    """A PDF of 40 x 20 pt."""
    drawing = Drawing(40, 20)
    for shape in shapes:
        shape.strokeColor = None
        drawing.add(shape)
    return drawing_page(drawing)


def white(x: int, y: int, wide: int, high: int, opacity: float = 1) -> Rect:
    """A white shape."""
    shape = Rect(x, y, wide, high)
    shape.fillColor = Color(1, 1, 1, opacity)
    return shape


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (svg(GROUND.format("white") + MOTIF), ArtworkKind.SVG),
        (svg(GROUND.format("#fdfcfd") + MOTIF), ArtworkKind.SVG),
        (drawn(white(0, 0, 40, 20), Rect(10, 5, 20, 10)), ArtworkKind.PDF),
    ],
)
def test_a_white_ground_behind_a_drawing_is_told(tmp_path: Path, content: bytes, kind: ArtworkKind) -> None:
    """Design programs put a sheet of paper behind a drawing; on a dark shirt it is a white box. Of each print."""
    found = asked(tmp_path, content, kind)
    assert [(problem.code, problem.job) for problem in found] == [
        ("W332", "H-1"),
        ("W332", "H-2"),
        ("W332", "H-2"),
    ]
    assert not any(problem.is_error for problem in found)


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (svg(MOTIF), ArtworkKind.SVG),
        (svg(GROUND.format("rgb(20,150,30)")), ArtworkKind.SVG),
        # White letters for a dark shirt.
        (svg(MOTIF.replace("rgb(20,40,220)", "white")), ArtworkKind.SVG),
        (drawn(white(2, 2, 36, 16)), ArtworkKind.PDF),
        (drawn(white(0, 0, 40, 20, 0.5)), ArtworkKind.PDF),
        # Pixels were looked at when they were measured.
        (png((40, 20), (255, 255, 255, 255)), ArtworkKind.PNG),
    ],
)
def test_a_drawing_without_a_white_ground_is_fit(tmp_path: Path, content: bytes, kind: ArtworkKind) -> None:
    """A warning that is often wrong is read by nobody."""
    assert asked(tmp_path, content, kind) == []


TURNED = '<g transform="rotate(9deg)"><rect width="9" height="9" fill="{}"/></g>'
SAID = "it may print otherwise than it was drawn: "


@pytest.mark.parametrize(
    ("inner", "said"),
    [
        (MOTIF.replace("rgb(20,40,220)", "var(--sea)"), ["Can't handle color: var(--sea)"]),
        (
            TURNED.format("a1") + TURNED.format("a2") + TURNED.format("a1"),
            [
                "Can't handle color: a1",
                "Unable to parse transform expression 'rotate(9deg)'",
                "Can't handle color: a2",
            ],
        ),
    ],
)
def test_a_drawing_that_may_print_otherwise_is_told(tmp_path: Path, inner: str, said: list[str]) -> None:
    """Else the shop sees it on the shirt. What is wrong is said once."""
    found = asked(tmp_path, svg(inner), ArtworkKind.SVG)
    assert [(problem.code, problem.job) for problem in found] == [
        ("W334", "H-1"),
        ("W334", "H-2"),
        ("W334", "H-2"),
    ]
    quoted = ", ".join(f'"{line}"' for line in said)
    assert {problem.message for problem in found} == {f"`art.svg`: {SAID}{quoted}"}
    assert not any(problem.is_error for problem in found)


def test_of_many_faults_three_are_quoted(tmp_path: Path) -> None:
    """They seldom come alone, and all end in one new export."""
    inner = "".join(TURNED.format(f"a{number}") for number in range(5))
    message = asked(tmp_path, svg(inner), ArtworkKind.SVG)[0].message
    assert message.endswith('"Can\'t handle color: a1" and 3 more')


def test_all_that_is_doubtful_about_a_drawing_is_told(tmp_path: Path) -> None:
    """Who takes out the white ground should not hear of the next fault only then."""
    found = asked(tmp_path, svg(GROUND.format("white") + TURNED.format("a1")), ArtworkKind.SVG)
    assert [problem.code for problem in found] == ["W332", "W334"] * 3


# The namespace, in svglib, of an editor whose inch once had 90 px.
OLD = next(space for name, space in vars(svglib).items() if name.endswith("_NS") and name != "XML_NS")
CLIPPED = f'<g clip-path="url(#c)">{MOTIF}</g>'
STOPS = '<stop style="stop-color:#204060;stop-opacity:1" offset="0"/><stop offset="90%"/>'
ROUND = 'gradientUnits="userSpaceOnUse" cx="9" cy="9" r="9" gradientTransform="matrix(1,0,0,1,0,0)"'


@pytest.mark.parametrize(
    "content",
    [
        svg(f'<g style="font-family:Nowhere, sans-serif;font-size:12px">{MOTIF}</g>'),
        svg(f'<style>@font-face{{font-family:No}} .a{{mix-blend-mode:normal}}</style><g class="a">{MOTIF}</g>'),
        # A clip stands behind, or among the shapes and is a copy of one.
        svg(f'{CLIPPED}<defs><clipPath id="c"><rect width="9" height="9" fill="white"/></clipPath></defs>'),
        svg(f'<defs><g id="m">{MOTIF}</g></defs><clipPath id="c"><use href="#m"/></clipPath>{CLIPPED}'),
        svg(
            f'<defs><linearGradient id="a">{STOPS}</linearGradient><radialGradient id="b" xlink:href="#a" {ROUND}/>'
            '</defs><rect width="30" height="9" style="fill:url(#b)"/>'
        ),
        svg(f'<use href="#m" x="3"/><use xlink:href="#gone"/><defs><g id="m">{MOTIF}</g></defs>'),
        svg(f'<path d="M0 9h9" stroke="currentColor" stroke-dasharray="none" marker-end="url(#m)"/>{MOTIF}'),
        svg(f'<metadata/><e:view xmlns:e="urn:editor" e:units="mm" fill="#no" transform="no"/>{MOTIF}'),
        svg(
            f'<switch><g requiredExtensions="urn:editor"/><g transform=" scale(.5),skewX(0)">{MOTIF}</g></switch>'
        ),
        svg(MOTIF).replace(b"<svg ", f'<svg xmlns:old="{OLD}" old:version="0.48.4 r9939" '.encode()),
    ],
)
def test_what_editors_export_is_not_doubted(tmp_path: Path, content: bytes) -> None:
    """A warning that is often wrong is read by nobody."""
    assert asked(tmp_path, content, ArtworkKind.SVG) == []


def test_a_drawing_that_cannot_be_drawn_holds_its_orders(tmp_path: Path) -> None:
    """Everybody else's week goes on."""
    found = asked(tmp_path, b"%PDF-1.7 and nothing more", ArtworkKind.PDF)
    assert [(problem.code, problem.job) for problem in found] == [
        ("E303", "H-1"),
        ("E303", "H-2"),
        ("E303", "H-2"),
    ]
    assert "art.pdf" in found[0].message


def test_what_could_not_be_read_was_told_of(tmp_path: Path) -> None:
    """Its order is held already, by the reader."""
    line = make_line(prints=(make_print("art/gone.svg", art=None),))
    assert list(unprintable((make_order(lines=(line,)),), make_shop(root=tmp_path))) == []


def test_the_last_ones_used_are_kept() -> None:
    """By what they weigh, not by their number: one may be as large as a hundred others."""
    kept, made = Kept(10), list[str]()

    def get(key: str, size: int = 4) -> None:
        def make() -> bytes:
            made.append(key)
            return bytes(size)

        assert len(kept.get(key, make)) == size

    for key in ("a", "b", "a", "c", "a", "b"):
        get(key)
    assert made == ["a", "b", "c", "b"]
    get("large", 11)
    get("large", 11)
    assert made[4:] == ["large", "large"]
