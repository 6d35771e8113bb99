"""The bounded knapsack, by dynamic programming over the room."""

import numpy as np


def knapsack(items: list[tuple[int, int, float]], room: int) -> tuple[float, list[int]]:
    """Return the most worth of items (print, cells, worth) that fit into `room` cells, and their prints."""
    best = np.zeros(room + 1)
    taken = np.zeros((len(items), room + 1), dtype=bool)
    for row, (_, cells, worth) in enumerate(items):
        if cells == 0:
            best += worth
            taken[row] = True
        elif cells <= room:
            with_it = best[:-cells] + worth
            better = with_it > best[cells:]
            taken[row, cells:] = better
            np.copyto(best[cells:], with_it, where=better)
    at, chosen = room, []
    for row in range(len(items) - 1, -1, -1):
        if taken[row, at]:
            chosen.append(items[row][0])
            at -= items[row][1]
    return float(best[room]), chosen
