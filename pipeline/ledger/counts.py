"""What the floor counted of an order, held against what the run had planned: what is left over, what is missing."""

from collections.abc import Mapping
from typing import Any

from attrs import frozen


@frozen(kw_only=True)
class LineCount:
    """One line: pieces that went out by size, and prints used beside them by place (from 0) and size."""

    shipped: Mapping[str, int]
    spoiled: Mapping[tuple[int, str], int]


@frozen(kw_only=True)
class Counts:
    """What was counted of one job, line by line."""

    job: str
    lines: tuple[LineCount, ...]

    def used(self, line: int, place: int, size: str) -> int:
        """Prints of one place used up on pieces of one size, good and bad. `line` and `place` count from 0."""
        count = self.lines[line]
        return count.shipped.get(size, 0) + count.spoiled.get((place, size), 0)

    def data(self) -> dict[str, Any]:
        """As plain data, to be kept."""
        return {
            "lines": [
                {
                    "shipped": dict(line.shipped),
                    "spoiled": [
                        {"print": place, "size": size, "prints": prints}
                        for (place, size), prints in sorted(line.spoiled.items())
                    ],
                }
                for line in self.lines
            ]
        }


def counts_of(job: str, data: Mapping[str, Any]) -> Counts:
    """What `Counts.data` gave."""
    return Counts(
        job=job,
        lines=tuple(
            LineCount(
                shipped=line["shipped"],
                spoiled={(item["print"], item["size"]): item["prints"] for item in line["spoiled"]},
            )
            for line in data["lines"]
        ),
    )
