"""Pixels per inch, proportions and white boxes."""

from fractions import Fraction
from typing import Any

import pytest
from attrs import evolve

from pipeline.model.measure import Length, parse_length
from pipeline.model.order import ArtworkKind, Order
from plugins.validate.artwork_rules import resolution
from plugins.validate.cases import cases
from tests.builders import INCH, make_artwork, make_shop
from tests.validate.asking import codes, only, with_print


def picture(width_px: int, height_px: int, **changes: Any) -> Order:
    """A print of a picture of so many pixels."""
    art = make_artwork(
        "art/gull.png", kind=ArtworkKind.PNG, width_px=width_px, height_px=height_px,
        aspect=Fraction(width_px, height_px),
    )  # fmt: skip
    return with_print(artwork="art/gull.png", art=art, placement="back", **changes)


@pytest.mark.parametrize(("ppi", "width_px", "height_px"), [(300, 3450, 5400), (150, 1725, 2700)])
def test_a_full_sheet_of_pixels(ppi: int, width_px: int, height_px: int) -> None:
    """11.5 x 18 in at 300 ppi are 3450 x 5400 px (arithmetic, and what printers of such sheets ask for)."""
    order = picture(width_px, height_px, width=parse_length("11.5in"))
    (case,) = cases((order,), make_shop())
    assert case.height == parse_length("18in") == parse_length("457.2mm")
    assert resolution(case) == ppi


@pytest.mark.parametrize(
    ("width_px", "found"),
    [(3000, []), (2999, ["W331"]), (1500, ["W331"]), (1499, ["E331"])],
)
def test_limits_of_resolution(width_px: int, found: list[str]) -> None:
    """At 10 in wide: 300 ppi is fine, below it warns, below 150 it is refused."""
    assert codes(picture(width_px, width_px, width=Length(10 * INCH))) == found


def test_too_few_pixels_come_with_both_remedies() -> None:
    """The numbers let the customer choose: a smaller print or a better file."""
    problem = only(picture(1175, 1175, width=Length(10 * INCH)))
    assert problem.message == "`art/gull.png` has 117 ppi at 10 in (254 mm) wide; 150 are needed"
    assert problem.hint == "print it at most `width: 7.83in`, or send a picture 3000 px wide"
    assert codes(picture(1175, 1175, width=parse_length("7.83in"))) == ["W331"]


def test_a_warning_names_the_size_that_is_sharp() -> None:
    """Following the hint leaves nothing to tell."""
    problem = only(picture(2000, 1000, width=Length(10 * INCH)))
    assert problem.message.endswith("has 200 ppi at 10 in (254 mm) wide; 300 are wanted")
    assert problem.hint == "print it at most `width: 6.66in`, or send a picture 3000 px wide"
    assert codes(picture(2000, 1000, width=parse_length("6.66in"))) == []


def test_both_limits_are_the_shops() -> None:
    """A shop that sells photographs asks for more, one for big banners for less."""
    shop = make_shop()
    strict = evolve(
        shop.options, validate=evolve(shop.options.validate, warn_under_ppi=400, refuse_under_ppi=320)
    )
    assert codes(picture(3000, 3000, width=Length(10 * INCH)), shop=evolve(shop, options=strict)) == ["E331"]


def test_line_artwork_has_no_resolution() -> None:
    """SVG and PDF are sharp at every size."""
    assert codes(with_print(placement="back", width=Length(10 * INCH))) == []


def test_an_opaque_white_background_is_refused() -> None:
    """It would be printed as a white box around the mark, on white garments too."""
    white = make_artwork("art/gull.jpg", kind=ArtworkKind.JPEG, has_alpha=False, white_background=True)
    problem = only(with_print(art=white))
    assert problem.code == "E332"
    assert "white box" in problem.message
    assert codes(with_print(art=evolve(white, white_background=False))) == []


@pytest.mark.parametrize(
    ("height", "found"), [("2in", []), ("2.03in", []), ("2.1in", ["E333"]), ("1.9in", ["E333"])]
)
def test_width_and_height_must_match_the_picture(height: str, found: list[str]) -> None:
    """A 3:2 picture at 3 x 2.1 in is stretched by 5 %; 2 % pass."""
    art = make_artwork(aspect=Fraction(3, 2))
    assert codes(with_print(art=art, width=Length(3 * INCH), height=parse_length(height))) == found


def test_wrong_proportions_come_with_the_right_height() -> None:
    """The hint says what follows when the height is left out."""
    problem = only(with_print(art=make_artwork(aspect=Fraction(3, 2)), height=Length(3 * INCH)))
    assert "50 % off" in problem.message
    assert problem.hint == "leave out `height` (2in follows from the picture)"
