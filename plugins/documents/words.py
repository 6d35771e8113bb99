"""The trade's fixed words as papers say them: what an enum or an outline calls by name, marked for translation."""

from pipeline.language import N_
from pipeline.model.cost import CostKind
from pipeline.model.schedule import RunState
from pipeline.shop import Peel, Pressure

COST_WORDS = {
    CostKind.BLANKS: N_("Blanks"),
    CostKind.TRANSFERS: N_("Transfers"),
    CostKind.LABOUR: N_("Press labour"),
    CostKind.SET_UP: N_("Set-up"),
    CostKind.PACKAGING: N_("Packaging"),
    CostKind.OVERHEAD: N_("Overhead"),
}
PRESSURE_WORDS = {Pressure.LIGHT: N_("light"), Pressure.MEDIUM: N_("medium"), Pressure.FIRM: N_("firm")}

PEEL_WORDS = {
    Peel.HOT: (N_("HOT"), N_("at once")),
    Peel.WARM: (N_("WARM"), N_("when you can hold it")),
    Peel.COLD: (N_("COLD"), N_("once cool")),
}
"""How the carrier is peeled off, and when that is."""

ANCHOR_WORDS = {
    anchor: anchor
    for anchor in (
        N_("bib hem"),
        N_("bottom"),
        N_("brim seam"),
        N_("collar seam"),
        N_("cuff"),
        N_("hem"),
        N_("opening"),
        N_("pocket seam"),
        N_("pouch seam"),
        N_("shoulder point"),
        N_("shoulder seam"),
        N_("sleeve hem"),
        N_("strap"),
        N_("top edge"),
        N_("top hem"),
        N_("waistband"),
        N_("yoke seam"),
    )
}
"""What a placement is measured from, by its name in a garment's file."""

STATE_WORDS = {RunState.BEGUN: N_("on the press"), RunState.FINISHED: N_("finished")}
"""Where a run stands when a week is planned again."""

WAIT_WORDS = {
    word: word
    for word in (
        N_("blanks"),
        N_("transfers"),
        N_("platen"),
        N_("operator"),
        N_("working hours"),
        N_("press"),
    )
}
"""What a late order waits for."""
