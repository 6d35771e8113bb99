"""The innermost loops: in C where they could be compiled when this was installed, else in Python.

Both give the same answers (kernel.c); compiled, grouping is several times as fast.
"""

try:
    from plugins.group.kernel import (
        change_places,
        cut_apart,
        fill_gaps,
        fill_rooms,
        knapsack,
        lay_anew,
        list_wishes,
        worth_of,
    )
except ImportError:
    from plugins.group.gaps import fill_gaps
    from plugins.group.knapsack import knapsack
    from plugins.group.pieces import cut_apart
    from plugins.group.rooms import fill_rooms, lay_anew
    from plugins.group.swaps import change_places
    from plugins.group.wishes import list_wishes, worth_of

__all__ = [
    "change_places",
    "cut_apart",
    "fill_gaps",
    "fill_rooms",
    "knapsack",
    "lay_anew",
    "list_wishes",
    "worth_of",
]
