"""The best set of prints for a sheet, of those not known to be impossible: a knapsack with forbidden sets."""

Item = tuple[int, int, float, int]
"""A print, the cells that a copy takes, what that is worth, and how many copies must be there before it."""
Misfit = tuple[tuple[int, int], ...]
"""Copies of some prints, (print, copies), that do not fit together."""


def choose(
    items: list[Item], counts: list[int], room: int, misfits: list[Misfit], floor: float, steps: int
) -> tuple[float, float, list[int] | None]:
    """Return what no set is worth more than, and the best set found: what it is worth, and its counts, if any.

    The items stand in the order of worth by room, the copies of a print with falling worth. `counts` are there
    already, and take none of the `room`. Only sets worth more than `floor` are looked for, in so many steps of a
    branch and bound at most, each misfit looked at counted; its bounds are those of the linear knapsack.
    """
    return _Choice(items, counts, misfits, floor, steps).run(room)


class _Choice:
    def __init__(
        self, items: list[Item], counts: list[int], misfits: list[Misfit], floor: float, steps: int
    ) -> None:
        self.items = items
        self.counts = list(counts)
        self.shut = [0] * len(counts)
        self.best: list[int] | None = None
        self.worth = self.open = floor
        self.left = steps
        self.reaching: dict[tuple[int, int], list[Misfit]] = {}
        for misfit in misfits:
            for pair in misfit:
                self.reaching.setdefault(pair, []).append(misfit)

    def run(self, room: int) -> tuple[float, float, list[int] | None]:
        self.search(0, room, 0.0)
        return max(self.open, self.worth), self.worth, self.best

    def search(self, at: int, room: int, worth: float) -> None:
        bound = self.bound(at, room, worth)
        if bound <= self.worth:
            return
        if self.left <= 0:
            self.open = max(self.open, bound)
            return
        self.left -= 1
        while at < len(self.items) and (self.shut[self.items[at][0]] or self.items[at][1] > room):
            at += 1
        if at == len(self.items):
            if worth > self.worth:
                self.worth = worth
                self.best = list(self.counts)
            return
        k, cells, gain, before = self.items[at]
        if self.counts[k] == before:
            self.counts[k] += 1
            if not self.impossible(k):
                self.search(at + 1, room - cells, worth + gain)
            self.counts[k] -= 1
        self.shut[k] += 1
        self.search(at + 1, room, worth)
        self.shut[k] -= 1

    def bound(self, at: int, room: int, worth: float) -> float:
        for k, cells, gain, _ in self.items[at:]:
            if self.shut[k]:
                continue
            if cells > room:
                return worth + gain * room / cells
            worth += gain
            room -= cells
        return worth

    def impossible(self, k: int) -> bool:
        counts = self.counts
        for misfit in self.reaching.get((k, counts[k]), ()):
            self.left -= 1
            if all(counts[other] >= n for other, n in misfit):
                return True
        return False
