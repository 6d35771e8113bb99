"""Line drawings of garments, seen flat, with the seams that placements are measured from.

Each is drawn on a grid 100 wide and 120 high, y upwards, and says how much cloth one unit is, so that a print can
be shown in true proportion to a usual adult size. Paths are written as in SVG (M, L, C, Z, absolute).
Body measures are those of common adult sizes: common practice, no source.
"""

from collections.abc import Mapping

from plugins.documents.drawings.outline import Anchor, OutlineView, both, reversed_half, sides


def _top(neck: float, hem: float, shoulder: tuple[float, float]) -> dict[str, Anchor]:
    """The anchors that every upper garment has."""
    return {
        "collar seam": Anchor(y=neck),
        "shoulder point": Anchor(x=shoulder[0], y=shoulder[1]),
        "hem": Anchor(y=hem, up=True),
    }


# --- Short sleeves: 520 mm across the chest, 740 mm long; 1 unit = 9 mm.
_TEE = (
    "M 40 97 L 24.5 91.5 C 18 88 11 79 5.5 68 L 18 61 L 22 68.5 C 21.5 50 21.5 30 21 15 C 40 13.8 60 13.8 79 15 "
    "C 78.5 30 78.5 50 78 68.5 L 82 61 L 94.5 68 C 89 79 82 88 75.5 91.5 L 60 97 "
)
_TEE_SEAMS = both("M 24.5 91.5 C 27 84 26 75 22 68.5")
_TEE_STITCHES = (*both("M 6.8 70 L 19.2 63"), "M 21.1 17.5 C 40 16.3 60 16.3 78.9 17.5")
_SHORT_SLEEVE = OutlineView(
    unit=4_400,
    shapes=("M 12 66 C 24 72 34 92 50 94 C 66 92 76 72 88 66 L 76 26 C 60 24 40 24 24 26 Z",),
    stitches=("M 23.1 30 C 40 28 60 28 76.9 30",),
    anchors={
        **dict.fromkeys(("hem", "sleeve hem", "cuff"), Anchor(y=24.5, up=True)),
        **dict.fromkeys(("shoulder seam", "shoulder point"), Anchor(y=94)),
    },
)
_TEE_VIEWS = sides(
    OutlineView(
        unit=9_000,
        shapes=(f"{_TEE} L 58 97.8 C 55.5 87.8 44.5 87.8 42 97.8 Z",),
        seams=(*_TEE_SEAMS, "M 40 97 C 42 84 58 84 60 97", "M 42 97.8 C 45 95.6 55 95.6 58 97.8"),
        stitches=_TEE_STITCHES,
        anchors=_top(87.25, 14.2, (60, 97)),
    ),
    OutlineView(
        unit=9_000,
        shapes=(f"{_TEE} L 58 97.8 C 55 96.2 45 96.2 42 97.8 Z",),
        seams=(*_TEE_SEAMS, "M 40 97 C 43 93.6 57 93.6 60 97"),
        stitches=_TEE_STITCHES,
        anchors=_top(94.45, 14.2, (60, 97)),
    ),
    _SHORT_SLEEVE,
)
_POLO_VIEWS = sides(
    OutlineView(
        unit=9_000,
        shapes=(
            f"{_TEE} C 57 93 43 93 40 97 Z",
            "M 41 98.5 C 44 95.5 56 95.5 59 98.5 L 50 88 Z",
            *both("M 41 99 C 38.5 97.5 37.5 95.5 37 93.5 L 44.5 82.5 L 50 88 C 46 91.5 43 95 41 99 Z"),
        ),
        seams=(*_TEE_SEAMS, "M 48 86 L 48 67 L 52 67 L 52 86"),
        stitches=_TEE_STITCHES,
        dots=((50, 83.5), (50, 77), (50, 70.5)),
        anchors=_top(88, 14.2, (60, 97)),
    ),
    OutlineView(
        unit=9_000,
        shapes=(
            f"{_TEE} C 57 95 43 95 40 97 Z",
            "M 40 97.5 C 43 101 57 101 60 97.5 L 63 93 C 56 90 44 90 37 93 Z",
        ),
        seams=_TEE_SEAMS,
        stitches=_TEE_STITCHES,
        anchors=_top(90.75, 14.2, (60, 97)),
    ),
    _SHORT_SLEEVE,
)

# --- Long sleeves: the same body; 1 unit = 10.5 mm for a shirt, 11.2 mm for heavier wear.
_LONG = (
    "M 41.2 100 L 28 95 C 24 92.5 21 88 19.5 83 L 5 36 L 14.5 33 L 25.5 73 C 25 60 25 45 25 30 "
    "C 40 29 60 29 75 30 C 75 45 75 60 74.5 73 L 85.5 33 L 95 36 L 80.5 83 C 79 88 76 92.5 72 95 L 58.8 100 "
)
_LONG_SEAMS = both("M 28 95 C 30 88 29 80 25.5 73")
_LONG_FRONT = f"{_LONG} L 57 100.7 C 55 92.2 45 92.2 43 100.7 Z"
_LONG_BACK = f"{_LONG} L 57 100.7 C 54 99.3 46 99.3 43 100.7 Z"
_FRONT_NECK = ("M 41.2 100 C 43 89 57 89 58.8 100", "M 43 100.7 C 46 98.8 54 98.8 57 100.7")
_BACK_NECK = ("M 41.2 100 C 44 97.2 56 97.2 58.8 100",)
_RIBS = (*both("M 6.9 42.2 L 16.9 39.2"), "M 25 36 C 40 35 60 35 75 36")
_LONG_STITCHES = (*both("M 5.8 38.6 L 15.2 35.6"), "M 25 32 C 40 31 60 31 75 32")
_SLEEVE = OutlineView(
    unit=6_000,
    shapes=("M 28 100 C 36 104 42 113 50 114 C 58 113 64 104 72 100 L 59.5 8 L 40.5 8 Z",),
    stitches=("M 40 12 L 60 12",),
    anchors={
        **dict.fromkeys(("shoulder seam", "shoulder point"), Anchor(y=114)),
        **dict.fromkeys(("hem", "sleeve hem", "cuff"), Anchor(y=8, up=True)),
    },
)
_LONG_VIEWS = sides(
    OutlineView(
        unit=10_500,
        shapes=(_LONG_FRONT,),
        seams=(*_LONG_SEAMS, *_FRONT_NECK),
        stitches=_LONG_STITCHES,
        anchors=_top(91.75, 29.3, (58.8, 100)),
    ),
    OutlineView(
        unit=10_500,
        shapes=(_LONG_BACK,),
        seams=(*_LONG_SEAMS, *_BACK_NECK),
        stitches=_LONG_STITCHES,
        anchors=_top(97.9, 29.3, (58.8, 100)),
    ),
    _SLEEVE,
)
_SWEATSHIRT_VIEWS = sides(
    OutlineView(
        unit=11_200,
        shapes=(_LONG_FRONT,),
        seams=(*_LONG_SEAMS, *_FRONT_NECK, *_RIBS),
        anchors={**_top(91.75, 29.3, (58.8, 100)), "waistband": Anchor(y=35.3, up=True)},
    ),
    OutlineView(
        unit=11_200,
        shapes=(_LONG_BACK,),
        seams=(*_LONG_SEAMS, *_BACK_NECK, *_RIBS),
        anchors={**_top(97.9, 29.3, (58.8, 100)), "waistband": Anchor(y=35.3, up=True)},
    ),
    _SLEEVE,
)
_HOODIE_VIEWS = sides(
    OutlineView(
        unit=11_200,
        shapes=(
            f"{_LONG} Z",
            (
                "M 37.5 98.6 C 33 110 40 118.5 50 118.5 C 60 118.5 67 110 62.5 98.6 C 58 93 53 91 50 90 "
                "C 47 91 42 93 37.5 98.6 Z"
            ),
            "M 50 90 C 43 95 40 104 42.5 109.5 C 45 114 55 114 57.5 109.5 C 60 104 57 95 50 90 Z",
        ),
        seams=(
            *_LONG_SEAMS,
            *_RIBS,
            *both("M 47 92.5 L 46 80", "M 36.5 35.2 L 36.5 45 L 42 56 L 50 56"),
            "M 43.5 104.5 C 46 101.5 54 101.5 56.5 104.5",
        ),
        stitches=both("M 38 35.2 L 38 45 L 42.8 54.6 L 50 54.6"),
        dots=((46, 80), (54, 80)),
        anchors={
            **_top(90, 29.3, (58.8, 100)),
            "pouch seam": Anchor(y=56, up=True),
            "waistband": Anchor(y=35.3, up=True),
        },
    ),
    OutlineView(
        unit=11_200,
        shapes=(
            f"{_LONG} Z",
            "M 36.5 98.2 C 34 108 41 115 50 115 C 59 115 66 108 63.5 98.2 C 59 92.4 41 92.4 36.5 98.2 Z",
        ),
        seams=(*_LONG_SEAMS, *_RIBS, "M 50 115 L 50 93.9", "M 39 101 C 44 96.5 56 96.5 61 101"),
        anchors={**_top(93.85, 29.3, (58.8, 100)), "waistband": Anchor(y=35.3, up=True)},
    ),
    _SLEEVE,
)
_JACKET_VIEWS = sides(
    OutlineView(
        unit=11_200,
        shapes=(
            f"{_LONG} Z",
            (
                "M 41.2 100 C 41 103 41.8 105.5 43 107 C 46 105.8 54 105.8 57 107 C 58.2 105.5 59 103 58.8 100 "
                "C 57 94 43 94 41.2 100 Z"
            ),
        ),
        seams=(
            *_LONG_SEAMS,
            "M 49.2 106 L 49.2 29.4",
            "M 50.8 106 L 50.8 29.4",
            *both("M 31 53 L 36.5 41"),
            *both("M 5.8 38.6 L 15.2 35.6"),
        ),
        stitches=(*both("M 32.3 53.4 L 37.8 41.4"), "M 25 32.5 C 40 31.5 60 31.5 75 32.5"),
        anchors=_top(95.5, 29.3, (58.8, 100)),
    ),
    OutlineView(
        unit=11_200,
        shapes=(
            f"{_LONG} Z",
            (
                "M 41.2 100 C 41 103 41.8 105.5 43 107 C 46 106 54 106 57 107 C 58.2 105.5 59 103 58.8 100 "
                "C 56 97.6 44 97.6 41.2 100 Z"
            ),
        ),
        seams=(*_LONG_SEAMS, *both("M 5.8 38.6 L 15.2 35.6"), "M 27.3 85 C 40 83 60 83 72.7 85"),
        stitches=("M 25 32.5 C 40 31.5 60 31.5 75 32.5",),
        anchors={**_top(98.2, 29.3, (58.8, 100)), "yoke seam": Anchor(y=83.5)},
    ),
    _SLEEVE,
)

# --- Legs: 965 mm long; 1 unit = 9.6 mm.
_LEG_ANCHORS = {"waistband": Anchor(y=107.6), "hem": Anchor(y=12, up=True)}


def _legs(leg: str, details: tuple[str, ...], stitches: tuple[str, ...]) -> Mapping[str, OutlineView]:
    """Front, back and side of legwear: `leg` is the wearer's right half, seen from the front, from the waist."""
    side = OutlineView(
        unit=9_600,
        shapes=(
            (
                "M 35.5 114 L 64.5 114 C 67 104 67.5 92 66 80 C 63 52 59.5 30 58.5 12 L 41.5 12 "
                "C 40.5 30 37 52 34 80 C 32.5 92 33 104 35.5 114 Z"
            ),
        ),
        seams=("M 34 107.6 L 66 107.6", "M 50 107.6 L 50 12"),
        anchors=_LEG_ANCHORS,
    )
    whole = f"{leg} {reversed_half(leg)} Z"
    front = OutlineView(unit=9_600, shapes=(whole,), seams=details, stitches=stitches, anchors=_LEG_ANCHORS)
    back = OutlineView(
        unit=9_600,
        shapes=(whole,),
        seams=("M 31.3 107.6 L 68.7 107.6", "M 50 107.6 L 50 83"),
        stitches=stitches,
        anchors=_LEG_ANCHORS,
    )
    return sides(front, back, side)


_LEGGINGS_VIEWS = _legs(
    "M 50 114 L 32 114 L 31.3 107.6 C 29 100 27 95 27 88 C 27 65 30.5 40 33 12 L 44 12 C 44.5 40 47 65 50 83",
    ("M 31.3 107.6 L 68.7 107.6", "M 50 107.6 L 50 83"),
    both("M 32.8 14.5 L 44 14.5"),
)
_TROUSERS_VIEWS = _legs(
    "M 50 114 L 31 114 L 31.3 107.6 C 28 100 24 94 23.5 86 C 23 62 26 36 28 18 L 29 12 L 42.5 12 L 43.5 18 "
    "C 45 42 47.5 64 50 80",
    (
        "M 31.3 107.6 L 68.7 107.6",
        "M 50 107.6 L 50 80",
        *both("M 31.5 105 C 31 99 29 95 25.5 93", "M 28 18 L 43.5 18", "M 48.5 110.5 L 47.5 98"),
    ),
    (),
)

# --- Bags, caps, aprons and plain cloth.
_TOTE = OutlineView(
    unit=5_000,
    shapes=(
        *both("M 29 85 C 29 122 71 122 71 85 L 66.5 85 C 66.5 116 33.5 116 33.5 85 Z")[:1],
        "M 12 85 L 88 85 L 87 6 C 87 4.5 86 4 85 4 L 15 4 C 14 4 13 4.5 13 6 Z",
    ),
    seams=both("M 29 85 L 29 76.5 L 33.5 76.5 L 33.5 85", "M 29 76.5 L 33.5 81", "M 33.5 76.5 L 29 81"),
    stitches=("M 12.1 80.5 L 87.9 80.5",),
    anchors={**dict.fromkeys(("hem", "top hem", "top edge"), Anchor(y=85)), "bottom": Anchor(y=4, up=True)},
)
_CROWN = "M 8 48 C 8 90 30 108 50 108 C 70 108 92 90 92 48 C 75 40 25 40 8 48 Z"
_CAP_FRONT = OutlineView(
    unit=2_000,
    shapes=(_CROWN, "M 8 48 C 25 40 75 40 92 48 C 99 34 85 20 50 19 C 15 20 1 34 8 48 Z"),
    seams=("M 50 108 L 50 42", *both("M 50 108 C 30 97 23 70 22 44")),
    stitches=(
        "M 9 44.5 C 25 36.8 75 36.8 91 44.5",
        "M 9.5 40 C 26 32.5 74 32.5 90.5 40",
        "M 11 35 C 27 28 73 28 89 35",
    ),
    dots=((50, 109), (34, 88), (66, 88)),
    anchors={"brim seam": Anchor(y=42, up=True)},
)
_CAP_BACK = OutlineView(
    unit=2_000,
    shapes=(
        "M 8 44 C 8 90 30 108 50 108 C 70 108 92 90 92 44 Z",
        "M 33 44 C 33 70 67 70 67 44 Z",
        "M 30 44 L 70 44 L 70 51 L 30 51 Z",
    ),
    seams=("M 50 108 L 50 63.5", *both("M 50 108 C 30 97 23 70 22 44")),
    stitches=("M 31 48 C 31 73 69 73 69 48",),
    dots=((50, 109), (44, 47.5), (50, 47.5), (56, 47.5), (34, 88), (66, 88)),
    anchors={"opening": Anchor(y=65.5, up=True), "strap": Anchor(y=51, up=True)},
)
_CAP_LEFT = OutlineView(
    unit=2_500,
    shapes=(
        "M 23.6 46 C 21.2 78 36.4 94 50 94 C 68.4 94 77.2 73.2 76.4 46 Z",
        "M 23.6 46 L 41.2 46 C 31.6 41.2 14 35.6 3.6 37.2 C 1 38 2 40.4 4.4 41.2 C 12 43.6 19 45.2 23.6 46 Z",
    ),
    seams=("M 50 94 L 50 46", "M 50 94 C 35.6 86 33.2 65.2 33.2 46", "M 50 94 C 65.2 86 67.6 65.2 67.6 46"),
    stitches=("M 23.44 49.2 L 76.4 49.2",),
    dots=((50, 94.8), (41.2, 78), (58.8, 78)),
    anchors={**dict.fromkeys(("hem", "brim seam"), Anchor(y=46, up=True))},
)
_APRON = OutlineView(
    unit=7_200,
    shapes=(
        "M 33 104 C 31 122 69 122 67 104 L 64.5 104 C 66 118.5 34 118.5 35.5 104 Z",
        (
            "M 31 104 L 69 104 C 70 90 78 78 92 72 L 92 7 C 92 6 91.5 5.5 90.5 5.5 L 9.5 5.5 C 8.5 5.5 8 6 8 7 "
            "L 8 72 C 22 78 30 90 31 104 Z"
        ),
    ),
    seams=("M 29 52 L 71 52 L 71 28 L 29 28 Z", "M 50 52 L 50 28", *both("M 8 71 C 4 68 3 62 5 55")),
    stitches=("M 31 101.5 L 69 101.5", "M 29 49.8 L 71 49.8", "M 8 8 L 92 8"),
    anchors={
        **dict.fromkeys(("hem", "bib hem", "top hem", "top edge"), Anchor(y=104)),
        "pocket seam": Anchor(y=52, up=True),
        "bottom": Anchor(y=5.5, up=True),
    },
)
_CLOTH = OutlineView(
    unit=6_000,
    shapes=("M 10 15 L 90 15 L 90 105 L 10 105 Z",),
    stitches=("M 12 17 L 88 17 L 88 103 L 12 103 Z",),
    anchors={"hem": Anchor(y=15, up=True), **dict.fromkeys(("top hem", "top edge"), Anchor(y=105))},
)

OUTLINES: Mapping[str, Mapping[str, OutlineView]] = {
    "tee": _TEE_VIEWS,
    "long-sleeve": _LONG_VIEWS,
    "polo": _POLO_VIEWS,
    "sweatshirt": _SWEATSHIRT_VIEWS,
    "hoodie": _HOODIE_VIEWS,
    "jacket": _JACKET_VIEWS,
    "leggings": _LEGGINGS_VIEWS,
    "trousers": _TROUSERS_VIEWS,
    "tote": dict.fromkeys(("front", "back"), _TOTE),
    "cap": sides(_CAP_FRONT, _CAP_BACK, _CAP_LEFT),
    "apron": {"front": _APRON},
    "cloth": dict.fromkeys(("front", "back"), _CLOTH),
}
"""Every outline by name, and its views: front, back, left, right (the wearer's left and right)."""


def outline_view(outline: str, view: str) -> OutlineView:
    """One side of an outline. Raises ValueError with what there is."""
    if outline not in OUTLINES:
        raise ValueError(f"there is no outline {outline!r}; there are {', '.join(OUTLINES)}")
    views = OUTLINES[outline]
    if view not in views:
        raise ValueError(f"the outline {outline!r} has no {view} view; it has {', '.join(views)}")
    return views[view]
