"""The innermost loops: in C where they could be compiled when this was installed, else in Python.

Both give the same answers (loops/); compiled, grouping is several times as fast. What would take minutes in Python
is left out there: looking into sheets for the lower bound (bound.py), so that of few prints less is proven.
"""

try:
    from plugins.group.kernel import (
        change_places,
        choose,
        cut_apart,
        fill_gaps,
        fill_rooms,
        knapsack,
        lay_anew,
        misfits,
    )

    COMPILED = True
except ImportError:
    from plugins.group.choice import choose
    from plugins.group.gaps import fill_gaps
    from plugins.group.knapsack import knapsack
    from plugins.group.misfits import misfits
    from plugins.group.pieces import cut_apart
    from plugins.group.rooms import fill_rooms, lay_anew
    from plugins.group.swaps import change_places

    COMPILED = False

__all__ = [
    "COMPILED",
    "change_places",
    "choose",
    "cut_apart",
    "fill_gaps",
    "fill_rooms",
    "knapsack",
    "lay_anew",
    "misfits",
]
