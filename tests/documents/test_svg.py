"""What an SVG says is drawn as it says, or told."""

import logging
from base64 import b64encode
from io import BytesIO

import numpy as np
import pikepdf
import pytest
from svglib.svglib import svg2rlg

from pipeline.model.order import ArtworkKind
from plugins.documents.artwork import ArtworkUnreadable, raster, svg_doubts, svg_page
from plugins.documents.canvas import drawing_page
from plugins.documents.svg import renderer, svg_drawing
from tests.documents.artworks import png, svg

ONE, OTHER = '<path d="M1 1h9v9z"/>', '<rect x="9" width="9" height="9"/>'


@pytest.mark.parametrize(
    "inner",
    [
        f'<g fill="red" stroke="blue" stroke-dasharray="3 1">{ONE}<g fill="inherit">{OTHER}</g></g>',
        f'<g style="fill:#123456;stroke:none">{ONE}<g style="fill:lime">{OTHER}</g></g>',
        f'<style>.a{{fill:teal}} g path{{stroke-width:3}}</style><g class="a" stroke="red">{ONE}</g>',
        f'<g id="p">{ONE}</g><g fill="red"><use xlink:href="#p"/></g><g fill="lime"><use xlink:href="#p" x="9"/></g>',
        '<g color="teal"><rect width="9" height="9" fill="currentColor"/></g>',
        f'<g fill="no" stroke="red" stroke-width="wide" stroke-linejoin="7" stroke-linecap="x">{ONE}{OTHER}</g>',
        f'<g stroke="red" stroke-dasharray="a b" fill-rule="odd" fill-opacity="no">{ONE}</g>',
    ],
)
def test_what_is_drawn_sooner_is_what_svglib_draws(inner: str) -> None:
    """Inherited, from styles and rules, of one element used in two places, and values that svglib passes over."""
    (ours, _), theirs = svg_drawing(svg(inner)), svg2rlg(BytesIO(svg(inner)))
    assert ours is not None
    assert theirs is not None
    # The points of lines, which svglib leaves to PDF.
    vars(theirs.contents[0])["strokeMiterLimit"] = 4
    assert drawing_page(ours) == drawing_page(theirs)


def box(said: str, x: int = 0, wide: int = 40) -> str:
    """A rectangle as high as the drawing."""
    return f'<rect x="{x}" width="{wide}" height="20" {said}/>'


def blend(said: str) -> str:
    """A gradient of one colour."""
    stops = f'<stop offset="0" {said}/><stop offset="1" {said}/>'
    return f'<defs><linearGradient id="g">{stops}</linearGradient></defs>' + box('fill="url(#g)"')


CLIP = '<defs><clipPath id="c"><rect width="20" height="20"/></clipPath></defs>'
RULE = "<style>.a{{{}}}</style>"
PART = '<defs><g id="p"><rect width="20" height="20" class="a"/></g></defs>'
RED, LEFT, RIGHT = box('fill="red"'), box('fill="red"', wide=20), box('fill="red"', 20, 20)


@pytest.mark.parametrize(
    ("inner", "plain"),
    [
        (box('fill="Red" stroke="None"'), RED),
        (box('fill="RGB(100%, 0%, 0%)"'), RED),
        (box("style=\"FILL:Red !important;-x:'a:b';;fill;:\""), RED),
        (box('fill="LightGray"'), box('fill="#d3d3d3"')),
        (box('fill="rebeccapurple" stroke="Transparent"'), box('fill="#663399"')),
        # This one reportlab has wrong.
        (box('fill="darkseagreen"'), box('fill="#8fbc8f"')),
        (box('fill="currentcolor" color="red"'), RED),
        ('<g fill="currentColor" color="lime">' + box('color="red"') + "</g>", RED),
        (blend('stop-color="RED"'), RED),
        (blend('stop-color="currentColor" style="color:red"'), RED),
        (blend('stop-color="currentColor"'), box("")),
        ('<g color="red">' + blend('style="stop-color:currentColor"') + "</g>", RED),
        (RULE.format("stop-color:red") + blend('class="a"'), RED),
        (CLIP + box('fill="red" style="clip-path:url(#c)"'), LEFT),
        (f'{CLIP}<g style="clip-path:url(#c)">{RED}</g>', LEFT),
        (f'{RULE.format("clip-path:url(#c)")}{CLIP}<g class="a">{RED}</g>', LEFT),
        (CLIP + box("fill='red' clip-path=\"url( '#c' )\""), LEFT),
        (f'{RULE.format("display:none!important")}<g class="a">{RED}</g>{LEFT}', LEFT),
        # What stands in `defs` is drawn first, what stands behind last.
        (f'{RULE.format("fill:red")}{PART}<use xlink:href="#p"/>', LEFT),
        (f'{PART}<use xlink:href="#p"/>{RULE.format("fill:red")}', LEFT),
        (f'<g transform="none">{RED}</g>', RED),
        (f'{PART}<use xlink:href="#p" x="20" transform="none" fill="red"/>', RIGHT),
        (f'<g transform="translate(20-0)">{LEFT}</g>', RIGHT),
        (
            f'<g transform="translate(19.5.5)translate(.5-.5)">{LEFT}</g>',
            f'<g transform="translate(20)">{LEFT}</g>',
        ),
        (f'<g transform="matrix(1 0-0 1 2e1-1e-9)">{LEFT}</g>', RIGHT),
        # Places and sizes are attributes, by which a file is measured.
        (box('style="width:auto;height:100%" fill="red"', wide=20), LEFT),
    ],
)
def test_what_svglib_misreads_is_drawn(inner: str, plain: str) -> None:
    """Valid all of it, and written by editors and optimizers."""
    drawn, meant = (raster(svg(each), ArtworkKind.SVG, 80) for each in (inner, plain))
    assert drawn.tobytes() == meant.tobytes()
    assert svg_doubts(svg(inner)) == ()


def halves(said: str = "", right: str = 'stop-color="blue"', kind: str = "linearGradient") -> str:
    """A gradient that is red up to its middle, and there another colour at once."""
    stops = f'<stop stop-color="red"/><stop offset=".5" stop-color="red"/><stop offset="50%" {right}/>'
    return f'<{kind} id="g" {said}>{stops}</{kind}>'


def line(said: str) -> str:
    """As wide as the drawing is high."""
    return f'<path d="M0 10h40" fill="none" stroke-width="20" {said}/>'


PAINTED = box('fill="url(#g)"')
BLUE = box('fill="blue"', 20, 20)
HALVES = LEFT + BLUE
BELOW = '<rect y="10" width="40" height="10" fill="blue"/>'
PARTS = f"<defs>{halves()}{PART}</defs>{CLIP}"
SEEN = '<use xlink:href="#p" fill="red"/>'
MIRRORED = box('fill="url(#g)"', -40)
TURNED = box('fill="url(#h)"')
PIXELS = "data:image/png;base64," + b64encode(png((1, 1), (255, 0, 0, 255))).decode()


@pytest.mark.parametrize(
    ("inner", "plain"),
    [
        (box('fill="red" opacity=".5"'), box('fill="red" fill-opacity=".5"')),
        (box('fill="red" style="opacity:50%"'), box('fill="red" fill-opacity=".5"')),
        (box('fill="rgba(255,0,0,.5)" fill-opacity=".5"'), box('fill="red" fill-opacity=".25"')),
        (box('fill="red" opacity=".5" fill-opacity="7"'), box('fill="red" fill-opacity=".5"')),
        (box('fill="red" opacity="-1"'), ""),
        (box('fill="red" opacity="much"'), RED),
        (line('stroke="red" opacity="1"'), RED),
        # Its line hides its fill where they lie on each other, and only then is it transparent.
        (box('fill="blue" stroke="red" stroke-width="40" opacity=".5"'), box('fill="red" fill-opacity=".5"')),
        # A transparent line does not hide it.
        (
            box('fill="blue" stroke="red" stroke-width="40" stroke-opacity=".5"'),
            box('fill="blue"') + box('fill="red" fill-opacity=".5"'),
        ),
        (
            f'<image width="40" height="20" preserveAspectRatio="none" opacity=".5" xlink:href="{PIXELS}"/>',
            box('fill="red" fill-opacity=".5"'),
        ),
        # Not stretched, and in the middle.
        (
            f'<image width="40" height="20" xlink:href="{PIXELS}"/>',
            box('fill="red"', 10, 20),
        ),
        (halves() + PAINTED, HALVES),
        (PAINTED + halves(), HALVES),
        (halves('gradientUnits="userSpaceOnUse"') + PAINTED, HALVES),
        (halves('gradientUnits="userSpaceOnUse" x2="40px"') + PAINTED, HALVES),
        (halves('gradientTransform="rotate(90)"') + PAINTED, RED + BELOW),
        (
            f"{halves()}<g transform='scale(-1 1)'>{MIRRORED}</g>",
            box('fill="blue"', wide=20) + RIGHT,
        ),
        (halves() + box('fill="url(#g)" transform="matrix(-1 0 0 1 40 0)"'), box('fill="blue"', wide=20) + RIGHT),
        (f'{CLIP}{halves()}<g clip-path="url(#c)">{PAINTED}</g>', LEFT),
        (CLIP + halves() + box('fill="url(#g)" clip-path="url(#c)"'), LEFT),
        (f'{halves()}<linearGradient id="h" xlink:href="#g" y2="1" x2="0"/>{TURNED}', RED + BELOW),
        (
            halves('gradientUnits="userSpaceOnUse"') + line('stroke="url(#g)"'),
            HALVES,
        ),
        (
            halves('gradientUnits="userSpaceOnUse"') + '<path d="M0 0h40v20H0z" fill="red" stroke="url(#g)"/>',
            RED
            + '<path d="M20 0h20v20H20" stroke="blue" fill="none"/>'
            + '<path d="M20 0H0v20h20" stroke="red" fill="none"/>',
        ),
        (halves(right='stop-color="red" stop-opacity="0"') + PAINTED, LEFT),
        (
            halves(right='stop-color="red"') + box('fill="url(#g)" fill-opacity=".5"'),
            box('fill="red" fill-opacity=".5"'),
        ),
        (blend('stop-color="red" stop-opacity="50%"'), box('fill="red" fill-opacity=".5"')),
        (box('fill="url(#gone) red"'), RED),
        (box('fill="url(#gone)"'), ""),
        (halves('x2="0"') + PAINTED, box('fill="blue"')),
        (halves('r="0"', kind="radialGradient") + PAINTED, box('fill="blue"')),
        (halves() + '<path d="M0 9h9" fill="none" stroke="url(#g)"/>', ""),
        ('<linearGradient id="g"><stop offset="1" stop-color="red"/></linearGradient>' + PAINTED, RED),
        ('<linearGradient id="g"/>' + PAINTED, ""),
        (f'{PARTS}{SEEN}<use xlink:href="#p" x="20" display="none"/>', LEFT),
        (f"{LEFT}<a display='none'>{RED}</a><switch style='display:none'>{RED}</switch>", LEFT),
        (f'{CLIP}<a clip-path="url(#c)">{RED}</a>', LEFT),
        (f'{CLIP}<switch transform="translate(20)" clip-path="url(#c)">{RED}</switch>', RIGHT),
        (
            CLIP.replace("<clipPath", '<clipPath transform="translate(20)"')
            + box('fill="red" clip-path="url(#c)"'),
            RIGHT,
        ),
        ('<polyline points="0,0 20,0 20,20 0,20"/>', box("", wide=20)),
        ('<polyline points="0,0 20,0 20,20 0,20" fill="none"/>', ""),
        (halves() + '<polyline points="0,0 40,0 40,20 0,20" fill="url(#g)"/>', HALVES),
        # Points of lines stand out four times as far as they are wide at most.
        (
            '<path d="M0 8l30 2l-30 2" stroke-width="4" fill="none" stroke="red"/>',
            '<path d="M0 8l30 2l-30 2" stroke-width="4" fill="none" stroke="red" stroke-linejoin="bevel"/>',
        ),
        (
            line('stroke="red" stroke-dasharray="20" stroke-dashoffset="-20"'),
            RIGHT,
        ),
        (f'<image width="40" height="20" preserveAspectRatio="xMaxYMin meet" xlink:href="{PIXELS}"/>', RIGHT),
        ('<svg x="20" width="50%"><rect width="100%" height="100%" fill="red"/></svg>', RIGHT),
        (f'<svg x="20">{LEFT}</svg>', RIGHT),
        (f'<svg width="20">{RED}</svg>', LEFT),
        (f'<svg width="20" overflow="visible">{RED}</svg>', RED),
        (
            '<svg viewBox="-9 -9 4 4"><rect x="-9" y="-9" width="4" height="4" fill="red"/></svg>',
            box('fill="red"', 10, 20),
        ),
        (
            f'{CLIP}<svg clip-path="url(#c)" transform="translate(20)">{RED}</svg><svg width="0">{RED}</svg>',
            RIGHT,
        ),
        (f'{LEFT}<svg display="none">{RED}</svg>', LEFT),
        (
            '<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/></clipPath>'
            + box('fill="red" clip-path="url(#c)"'),
            LEFT,
        ),
        # Two parts of a clip that turn against each other.
        (
            '<clipPath id="c"><path d="M0 0h20v20H0zM2 2v2h2V2z"/><path d="M1 1v18h18c0 0 0-9 0-18"/></clipPath>'
            + box('fill="red" clip-path="url(#c)"'),
            LEFT,
        ),
        ("<style>rect{fill:red!important}</style>" + box('style="fill:lime"'), RED),
        ('<path d="M0 9h40M0 12v9"/>', ""),
        (box('fill="red" rx="0" ry="9"'), RED),
        (box('fill="red" rx="20" ry=".01"'), RED),
        ('<rect width="-9" height="9"/><circle r="-9"/><ellipse rx="9"/>', ""),
        ("<style>@media (prefers-color-scheme: dark){rect{fill:lime}}</style>" + RED, RED),
    ],
)
def test_what_svglib_passes_over_is_drawn(inner: str, plain: str) -> None:
    """Each came out otherwise without a word. Between the halves a hair is mixed."""
    drawn, meant = (
        np.asarray(raster(svg(each), ArtworkKind.SVG, 160).convert("RGBa")).astype(int) for each in (inner, plain)
    )
    assert (abs(drawn - meant) > 2).mean() < 0.02
    assert svg_doubts(svg(inner)) == ()


def test_a_gradient_is_round_where_its_shape_is_not_square() -> None:
    """An ellipse, whose light may stand aside."""
    stops = '<stop stop-color="white"/><stop offset="1" stop-color="black"/>'
    drawn = raster(svg(f'<radialGradient id="g" fx=".25">{stops}</radialGradient>{PAINTED}'), ArtworkKind.SVG, 80)
    light = np.asarray(drawn)[..., 0].astype(int)
    assert abs(np.unravel_index(light.argmax(), light.shape)[1] - 20) <= 1
    assert light[:, 0].max() < 60
    assert light[0].max() < 90


def test_a_gradient_on_a_curve_leaves_it_round() -> None:
    """Otherwise pdfium bends it in steps as long as the units of the drawing."""
    ring = '<circle cx="20" cy="10" r="8" fill="none" stroke="{}" stroke-width="2"/>'
    drawn, meant = (
        np.asarray(raster(svg(blend('stop-color="red"') + each), ArtworkKind.SVG, 800))[..., 3].astype(int)
        for each in (ring.format("url(#g)"), ring.format("red"))
    )
    assert (abs(drawn - meant) > 128).mean() < 0.001


THROUGH = "opacity shows the fill through the inner half of its line"
CLIPPED = f'<g clip-path="url(#c)">{ONE}</g>'


@pytest.mark.parametrize(
    ("inner", "doubts"),
    [
        (f'<g fill="no">{ONE}{OTHER}</g>', ["Can't handle color: no"]),
        (blend('stop-color="rgb(300,0,0)"'), ["Can't handle color: rgb(300,0,0)"]),
        (f'<g transform="rotate(9deg)">{ONE}</g>', ["Unable to parse transform expression 'rotate(9deg)'"]),
        (f"{CLIPPED}<clipPath>{OTHER}</clipPath>", ["Unable to find a clipping path with id c"]),
        (f'<g fill="{"x" * 999}">{ONE}</g>', [f"Can't handle color: {'x' * 79}…"]),
        (
            CLIPPED + '<path d="M1 1h9" stroke="no"/>',
            ["Unable to find a clipping path with id c", "Can't handle color: no"],
        ),
        (halves('spreadMethod="repeat" x2=".5"') + PAINTED, ["spreadMethod repeat is not followed"]),
        (
            halves('fx="2"', kind="radialGradient") + PAINTED,
            ["a gradient that begins outside its circle is not followed"],
        ),
        (halves('x2="wide"') + PAINTED, ["x2 of a gradient cannot be read: wide"]),
        (
            f'<linearGradient id="g">{"<stop/>" * 257}</linearGradient>{PAINTED}',
            ["a gradient of more than 256 stops is not followed"],
        ),
        ('<path d="M1 1h9v9" stroke="red" opacity=".5"/>', [THROUGH]),
        ('<polyline points="1,1 9,1 9,9" stroke="red" opacity=".5"/>', [THROUGH]),
        (box('fill="red" stroke="red" stroke-opacity=".5" opacity=".5"'), [THROUGH]),
        (f'<style>.a{{opacity:.5}}</style><g class="a">{RED}</g>', ["opacity of a group is not followed"]),
        (f'<a opacity=".5">{RED}</a>', ["opacity of a group is not followed"]),
        (f"<style>svg{{opacity:.5}}</style>{RED}", ["opacity of the drawing is not followed"]),
        (
            CLIP.replace("<clipPath", '<clipPath clipPathUnits="objectBoundingBox"') + '<g clip-path="url(#c)"/>',
            ["clipPathUnits objectBoundingBox is not followed"],
        ),
        (
            CLIP.replace("<clipPath", '<clipPath clip-path="url(#d)"') + box('clip-path="url(#c)"'),
            ["Unable to find a clipping path with id d", "a clip that is clipped itself is not followed"],
        ),
        ('<clipPath id="c"/>' + box('clip-path="url(#c)"'), ["a clip that leaves nothing is not followed"]),
        (
            CLIP.replace("<rect", "<polyline points='0,0 9,0 9,9'/><rect") + box('clip-path="url(#c)"'),
            ["polyline in a clip is left out"],
        ),
        (
            CLIP.replace("<rect", "<rect visibility='hidden'") + box('clip-path="url(#c)"'),
            ["what is hidden in a clip is not left out"],
        ),
        ('<path d="M1 1h9?v9"/>', ["a path that cannot be read is drawn in part"]),
        (box('clip-path="circle(50%)"'), ["clip-path circle(50%) is not followed"]),
        (f"<style>@media print{{rect{{fill:red}}}}</style>{RED}", ["rules in @media are not followed"]),
        (box('style="mix-blend-mode:multiply"'), ["mix-blend-mode is not followed"]),
        (box('style="filter:blur(2px)"'), ["filter is not followed"]),
        (box('transform="rotate(9)" transform-origin="center"'), ["transform-origin is not followed"]),
        (box('transform="rotateX(9)"'), ["transform rotateX is not followed"]),
        (box(f'transform="{"rotate(1)" * 1001}"'), ["a transform of more than 1000 parts is not followed"]),
        ('<polygon points="1,1 9,1 9"/>', ["a line of an odd number of coordinates is left out"]),
        (
            f'<image width="9" height="20" preserveAspectRatio="xMidYMid slice" xlink:href="{PIXELS}"/>',
            ["preserveAspectRatio xMidYMid slice is not followed"],
        ),
    ],
)
def test_what_is_drawn_otherwise_is_known(inner: str, doubts: list[str]) -> None:
    """Each is said once, and not at any length; the page is the one that is printed."""
    assert list(svg_doubts(svg(inner))) == doubts
    assert svg_page(svg(inner)).startswith(b"%PDF")


@pytest.mark.parametrize(
    "inner",
    [
        '<rect width="nan" height="9"/>',
        '<g transform="scale(nan)"/>',
        halves('gradientTransform="scale(1e300) scale(1e300)"') + PAINTED,
        halves('x1="nan"') + box('fill="url(#g)" stroke-miterlimit="nan"'),
        '<svg viewBox="nan 0 1 1"><path d="M0 0v1e999z"/></svg>',
    ],
)
def test_what_is_no_number_is_not_written(inner: str) -> None:
    """The sheet of all customers could not be read."""
    try:
        page = svg_page(svg(inner))
    except ArtworkUnreadable:
        return
    with pikepdf.open(BytesIO(page)) as pdf:
        assert b"nan" not in pdf.pages[0].Contents.read_bytes()
        assert b"nan" not in pdf.pages[0].Resources.unparse()


def test_a_reference_with_a_million_spaces_takes_no_time() -> None:
    """By svglib's pattern it takes the square of their number: hours."""
    inner = box(f'fill="url(#x{" " * 1_000_000}" stroke="url(#x{" " * 1_000_000}"')
    assert raster(svg(inner), ArtworkKind.SVG, 80).getbbox() is None


@pytest.mark.parametrize(("parts", "uses"), [(1001, 1), (100, 11)])
def test_clips_are_counted_as_often_as_they_are_used(
    parts: int, uses: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each use of a clip takes the square of its parts: a few thousand of both took hours."""
    monkeypatch.setattr(renderer, "MAX_ELEMENTS", 1000)
    clip = f'<clipPath id="c">{ONE * parts}</clipPath>'
    with pytest.raises(ArtworkUnreadable, match="its clips hold"):
        raster(svg(clip + box('clip-path="url(#c)"') * uses), ArtworkKind.SVG, 80)


def test_nothing_of_it_reaches_the_terminal(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """Where nobody listens, Python prints warnings: a line without file and order in the middle of a run."""
    monkeypatch.setattr(logging.getLogger(), "handlers", [])
    log = logging.getLogger("svglib.svglib")
    with pytest.raises(ValueError, match="wide"):
        svg_drawing(svg(f'{CLIPPED}<rect width="wide"/>'))
    assert svg_drawing(svg(CLIPPED))[1]
    assert capfd.readouterr() == ("", "")
    log.warning("heard again")
    assert capfd.readouterr().err == "heard again\n"
    assert not log.handlers


def test_uses_without_a_target_draw_nothing() -> None:
    """Design programs leave them behind; they are no reason to refuse."""
    drawn = raster(svg('<use xlink:href="#gone"/><rect width="40" height="20"/>'), ArtworkKind.SVG, 40)
    assert drawn.getpixel((20, 10))[3] == 255


def test_a_gradient_is_a_gradient() -> None:
    """By other ways through reportlab gradients came out black."""
    gradient = '<linearGradient id="g"><stop offset="0" stop-color="#ff0000"/><stop offset="1" stop-color="#0000ff"/></linearGradient>'  # noqa: E501
    drawn = raster(
        svg(f'<defs>{gradient}</defs><rect width="40" height="20" fill="url(#g)"/>'), ArtworkKind.SVG, 200
    )
    left, right = drawn.getpixel((10, 50)), drawn.getpixel((190, 50))
    assert left[0] > 200 > 60 > left[2]
    assert right[2] > 200 > 60 > right[0]
