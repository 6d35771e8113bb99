"""What is pressed in one go: pieces of one print by one transfer; a long run is cut into parts."""

from collections.abc import Iterator

from attrs import frozen

from pipeline.model.order import SizeCount
from pipeline.model.prints import PrintDemand, PrintList, PrintRef
from pipeline.model.sheet import SheetPlan


@frozen(kw_only=True)
class Use:
    """Pieces of one size, the `first`th of its line (from 0) and those after it, with prints of one demand."""

    demand: PrintDemand
    size: str
    first: int
    count: int

    def overlaps(self, other: "Use") -> bool:
        """True when some piece is in both."""
        return (
            self.size == other.size
            and self.first < other.first + other.count
            and other.first < self.first + self.count
        )


@frozen(kw_only=True)
class Part:
    """What one run presses, and the prints above that for what spoils."""

    transfer: str
    uses: tuple[Use, ...]
    spares: int

    @property
    def demands(self) -> tuple[PrintDemand, ...]:
        """The demands whose prints are pressed, each once."""
        return tuple({use.demand.id: use.demand for use in self.uses}.values())

    @property
    def pieces(self) -> tuple[SizeCount, ...]:
        """Pieces by size."""
        return tuple(SizeCount(size=use.size, count=use.count) for use in self.uses)

    @property
    def quantity(self) -> int:
        """Pieces of all sizes."""
        return sum(use.count for use in self.uses)

    def shares_pieces_with(self, other: "Part") -> bool:
        """True when some piece of the line is in both."""
        return any(one.overlaps(two) for one in self.uses for two in other.uses)


def parts_by_ref(prints: PrintList, sheets: SheetPlan) -> dict[PrintRef, tuple[Part, ...]]:
    """For each print what is pressed of it, put together by transfer."""
    chosen = dict(sheets.chosen)
    found: dict[PrintRef, dict[str, list[Use]]] = {}
    counted: dict[tuple[PrintRef, str], int] = {}
    for demand in prints.demands:
        for use in demand.uses:
            first = counted.get((use.ref, use.size), 0)
            counted[use.ref, use.size] = first + use.pieces
            by_transfer = found.setdefault(use.ref, {})
            by_transfer.setdefault(chosen[demand.id], []).append(
                Use(demand=demand, size=use.size, first=first, count=use.pieces)
            )
    return {ref: tuple(_whole(*each) for each in by_transfer.items()) for ref, by_transfer in found.items()}


def _whole(transfer: str, uses: list[Use]) -> Part:
    demands = {use.demand.id: use.demand for use in uses}.values()
    return Part(transfer=transfer, uses=tuple(uses), spares=sum(demand.spares for demand in demands))


def cut(whole: Part, number: int) -> Iterator[Part]:
    """The part in so many as equal as can be, size by size, so that each has few sizes; spares likewise."""
    for part in range(number):
        begin, end = (at * whole.quantity // number for at in (part, part + 1))
        spares = (part + 1) * whole.spares // number - part * whole.spares // number
        yield Part(transfer=whole.transfer, uses=tuple(_between(whole.uses, begin, end)), spares=spares)


def _between(uses: tuple[Use, ...], begin: int, end: int) -> Iterator[Use]:
    """Of all pieces one after the other those from `begin` to `end`."""
    at = 0
    for use in uses:
        first, last = max(begin - at, 0), min(end - at, use.count)
        if first < last:
            yield Use(demand=use.demand, size=use.size, first=use.first + first, count=last - first)
        at += use.count
