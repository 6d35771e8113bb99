"""What pieces of a sheet are worth when they are cut apart by straight cuts."""

from typing import Any

import numpy as np

Pieces = np.ndarray[Any, Any]
"""Worths (32-bit numbers) by width, wish and height, in steps; in C order."""


def cut_apart(pieces: Pieces, beside: Pieces | None) -> None:
    """Raise each of the pieces to the best that straight cuts make of it.

    One part of a cut is one of `pieces`, the other one `beside` it, or one of them as well. Cuts of one direction
    are looked for until they bring nothing, then those of the other, in turn.
    """
    table, passes, raised = pieces, 0, True
    while passes < 2 or raised:
        table = np.array(table.transpose(2, 1, 0), order="C")
        beside = None if beside is None else np.array(beside.transpose(2, 1, 0), order="C")
        before = table.copy()
        room = np.empty_like(table)
        for size in range(2, len(table)):
            most = size // 2 if beside is None else size - 1
            others = table if beside is None else beside
            parts = np.add(others[1 : most + 1], table[size - 1 : size - most - 1 : -1], out=room[:most])
            np.maximum(table[size], np.maximum.reduce(parts), out=table[size])
        passes, raised = passes + 1, not np.array_equal(table, before)
    pieces[:] = table.transpose(2, 1, 0) if passes % 2 else table
