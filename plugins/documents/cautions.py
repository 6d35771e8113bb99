"""What can hurt or spoil, said where it applies.

The equipment's manual, the transfer maker's sheet and safety data sheet, and local codes always win; electrical
and ventilation work is for licensed people.

Burn threshold: ISO 13732-1 (from memory): a touch of one second burns well below any recipe here. Guards and
pinch points: 29 CFR 1910.212(a)(1) and (a)(3)(ii); lock-out: 1910.147; care labels: 16 CFR 303 and 423. The rest
is common practice, no source.
"""

from collections.abc import Iterator

from attrs import frozen

from pipeline.shop import Garment, Peel, Placement, Press, Transfer

ENDING = (
    "The press's manual, the transfer maker's sheet and safety data sheet, and local codes win over this paper. "
    "Electrical and ventilation work: licensed people only."
)


@frozen(kw_only=True)
class Caution:
    """One thing to beware of: a word and a sentence."""

    title: str
    text: str


def cautions(
    transfer: Transfer, garment: Garment, placement: Placement, press: Press, temperature: str, child: bool
) -> Iterator[Caution]:
    """What applies to pressing this transfer on this garment with this press; the gravest first."""
    recipe = transfer.recipe
    yield Caution(
        title="Burns",
        text=f"The platen is at {temperature}. It, the garment's metal parts and a fresh print burn at a touch.",
    )
    yield Caution(
        title="Pinch and crush",
        text="One person per press; hands clear; never defeat a guard.",
    )
    if press.opens_itself:
        yield Caution(
            title="Opens by itself",
            text="Keep clear; bleed its air before work on it.",
        )
    yield Caution(title="Platen changes", text="Unplug and let it cool first.")
    yield Caution(
        title="Fumes",
        text="Air the room; stop at a sharp smell; never heat PVC or unknown coatings.",
    )
    yield Caution(title="Fire", text="Never leave it closed and unattended.")
    yield Caution(title="Moisture", text="Press dry goods: steam burns, and blisters the print.")
    yield Caution(title="Parts that melt", text="Zips, buttons, foam, elastic: off the platen.")
    if recipe.peel is Peel.COLD:
        yield Caution(title="Peel cold", text="Warm, the print lifts. Pieces on the rack are hot.")
    if recipe.peel is Peel.HOT:
        yield Caution(title="Peel hot", text="Peel at once, in one even pull; the garment is hot.")
    if garment.heat_ceiling - recipe.temperature < _NEAR:
        yield Caution(title="Scorch", text="This fabric is near its limit: test press first.")
    if garment.dye_migrates:
        yield Caution(title="Dye migration", text="The dye may wander into the print: no hotter, no longer.")
    if placement.pad:
        yield Caution(
            title="Uneven surface", text=f"Lay the pad inside ({placement.pad}): seams take pressure off."
        )
    if child:
        yield Caution(
            title="Children's wear", text="Only the transfer named here, and only with the signed release."
        )
    yield Caution(title="Lifting", text="Two people for a heavy platen or carton.")
    yield Caution(title="Labels", text="Do not cover the fibre and care labels.")


_NEAR = 10_000
"""Thousandths of a degree C: closer than this to the fabric's ceiling is near."""
