"""A picture must be good enough for the size at which it is printed."""

from collections.abc import Iterator
from fractions import Fraction

from pipeline.model.measure import inches
from pipeline.model.show import percent
from pipeline.problems import Problem
from pipeline.shop import Shop
from plugins.validate.cases import Case
from plugins.validate.found import error, warning
from plugins.validate.sizes import at_most
from plugins.validate.words import Words


def check_artwork(found: tuple[Case, ...], shop: Shop) -> Iterator[Problem]:
    """E331, W331 pixels per inch at the largest print; E332 white background; E333 proportions."""
    words = Words.of(shop)
    for case in found:
        yield from _pixels(case, shop, words)
        yield from _proportions(case, shop, words)
        yield from _background(case)


def resolution(case: Case) -> Fraction:
    """Pixels per inch of the largest print of a case, in the direction in which there are fewer. For pictures."""
    picture = case.print.picture
    return min(picture.width_px / inches(case.width), picture.height_px / inches(case.height))


def _pixels(case: Case, shop: Shop, words: Words) -> Iterator[Problem]:
    picture, options = case.print.picture, shop.options.validate
    if not picture.width_px:
        return
    ppi = resolution(case)
    refused = ppi < options.refuse_under_ppi
    if not refused and ppi >= options.warn_under_ppi:
        return
    needed = options.refuse_under_ppi if refused else options.warn_under_ppi
    wanted = max(options.warn_under_ppi, needed)
    pixels = -(-inches(case.width) * wanted // 1)
    yield (error if refused else warning)(
        case.order,
        "E331" if refused else "W331",
        f"`{case.print.artwork}` has {int(ppi)} ppi at {words.length(case.width)} wide; {needed} are "
        f"{'needed' if refused else 'wanted'}",
        case.print.at("artwork"),
        label=f"{picture.width_px} × {picture.height_px} px",
        hint=f"print it at most {at_most(case, ppi / needed, words)}, or send a picture {pixels} px wide",
    )


def _proportions(case: Case, shop: Shop, words: Words) -> Iterator[Problem]:
    width, height, aspect = case.print.width, case.print.height, case.print.picture.aspect
    if not width or not height:
        return
    stretched = Fraction(width, height) / aspect
    off = max(stretched, 1 / stretched) - 1
    if off > shop.options.validate.proportions:
        message = (
            f"{words.size(width, height)} does not have the picture's proportions: it would be {percent(off)} off"
        )
        hint = f"leave out `height` ({words.written(round(width / aspect))} follows from the picture)"
        yield error(case.order, "E333", message, case.print.at("height"), hint=hint)


def _background(case: Case) -> Iterator[Problem]:
    if case.print.picture.white_background:
        message = f"`{case.print.artwork}` has an opaque white background: it would be printed as a white box"
        hint = "send it with a transparent background (PNG, SVG or PDF); a JPEG cannot have one"
        yield error(case.order, "E332", message, case.print.at("artwork"), hint=hint)
