"""What can hurt or spoil, said where it applies.

The equipment's manual, the transfer maker's sheet and safety data sheet, and local codes always win; electrical
and ventilation work is for licensed people.

Burn threshold: ISO 13732-1 (from memory): a touch of one second burns well below any recipe here. Guards and
pinch points: 29 CFR 1910.212(a)(1) and (a)(3)(ii); lock-out: 1910.147; care labels: 16 CFR 303 and 423. The rest
is common practice, no source.
"""

from collections.abc import Iterator

from attrs import frozen

from pipeline.display import Display
from pipeline.language import N_
from pipeline.shop import Garment, Peel, Placement, Press, Transfer

ENDING = N_(
    "The press's manual, the transfer maker's sheet and safety data sheet, and local codes win over this paper. "
    "Electrical and ventilation work: licensed people only."
)


@frozen(kw_only=True)
class Caution:
    """One thing to beware of: a word and a sentence."""

    title: str
    text: str


def cautions(
    transfer: Transfer, garment: Garment, placement: Placement, press: Press, display: Display, child: bool
) -> Iterator[Caution]:
    """What applies to pressing this transfer on this garment with this press; the gravest first."""
    recipe, _ = transfer.recipe, display.language.gettext
    yield Caution(
        title=_("Burns"),
        text=_(
            "The platen is at %(heat)s. It, the garment's metal parts and a fresh print burn at a touch.",
            heat=display.temperature(recipe.temperature),
        ),
    )
    yield Caution(
        title=_("Pinch and crush"),
        text=_("One person per press; hands clear; never defeat a guard."),
    )
    if press.opens_itself:
        yield Caution(
            title=_("Opens by itself"),
            text=_("Keep clear; bleed its air before work on it."),
        )
    yield Caution(title=_("Platen changes"), text=_("Unplug and let it cool first."))
    yield Caution(
        title=_("Fumes"),
        text=_("Air the room; stop at a sharp smell; never heat PVC or unknown coatings."),
    )
    yield Caution(title=_("Fire"), text=_("Never leave it closed and unattended."))
    yield Caution(title=_("Moisture"), text=_("Press dry goods: steam burns, and blisters the print."))
    yield Caution(title=_("Parts that melt"), text=_("Zips, buttons, foam, elastic: off the platen."))
    if recipe.peel is Peel.COLD:
        yield Caution(title=_("Peel cold"), text=_("Warm, the print lifts. Pieces on the rack are hot."))
    if recipe.peel is Peel.HOT:
        yield Caution(title=_("Peel hot"), text=_("Peel at once, in one even pull; the garment is hot."))
    if garment.heat_ceiling - recipe.temperature < _NEAR:
        yield Caution(title=_("Scorch"), text=_("This fabric is near its limit: test press first."))
    if garment.dye_migrates:
        yield Caution(
            title=_("Dye migration"), text=_("The dye may wander into the print: no hotter, no longer.")
        )
    if placement.pad:
        yield Caution(
            title=_("Uneven surface"),
            text=_("Lay the pad inside (%(pad)s): seams take pressure off.", pad=placement.pad),
        )
    if child:
        yield Caution(
            title=_("Children's wear"), text=_("Only the transfer named here, and only with the signed release.")
        )
    yield Caution(title=_("Lifting"), text=_("Two people for a heavy platen or carton."))
    yield Caution(title=_("Labels"), text=_("Do not cover the fibre and care labels."))


_NEAR = 10_000
"""Thousandths of a degree C: closer than this to the fabric's ceiling is near."""
