"""One order into cartons: whole sizes together, few mixed cartons, and nobody lifts too much.

The rule, in the order in which a packer follows it:

1. Take the lines as they stand in the order, and each line's sizes as they stand there. While a size has at
   least a carton full of pieces, fill cartons with nothing else. A carton is full at the shop's piece limit
   or where one more piece would pass its weight limit, the carton itself included.
2. What is left of each size, always less than a carton, stays together: it is not divided again. The heaviest
   is packed first, each into the started carton in which least weight stays free, or else into a new one. So
   no two started cartons could have been one.
3. Cartons are numbered in the order of the first size that lies in them.

A piece too heavy for any carton gets one of its own, over the limit. A piece weighs what its blank weighs,
whoever paid for it; prints and bags count nothing.
"""

from attrs import frozen

from pipeline.model.order import Order
from pipeline.model.packing import Carton, PackedPieces
from pipeline.shop import Packing, Shop


@frozen(kw_only=True)
class _Heap:
    """Pieces of one size of one line. `piece` is the weight of one in grams; `place` counts the order's sizes."""

    place: int
    line: int
    size: str
    count: int
    piece: int

    @property
    def weight(self) -> int:
        """Grams."""
        return self.count * self.piece

    def of(self, count: int) -> "_Heap":
        """So many of the same pieces."""
        return _Heap(place=self.place, line=self.line, size=self.size, count=count, piece=self.piece)


def pack_order(order: Order, shop: Shop) -> tuple[Carton, ...]:
    """The cartons of one order, numbered from 1. Raises KeyError for a garment or size that the shop lacks."""
    full: list[tuple[_Heap, ...]] = []
    rest: list[_Heap] = []
    for heap in _heaps(order, shop):
        most = _most(heap.piece, shop.packing)
        cartons, left = divmod(heap.count, most)
        full += [(heap.of(most),)] * cartons
        if left:
            rest.append(heap.of(left))
    packed = sorted(full + _mix(rest, shop.packing), key=lambda heaps: heaps[0].place)
    return tuple(
        Carton(
            job=order.job,
            number=number,
            contents=tuple(PackedPieces(line=heap.line, size=heap.size, count=heap.count) for heap in heaps),
            weight=shop.packing.carton_weight + sum(heap.weight for heap in heaps),
        )
        for number, heaps in enumerate(packed, start=1)
    )


def _heaps(order: Order, shop: Shop) -> list[_Heap]:
    heaps: list[_Heap] = []
    for number, line in enumerate(order.lines):
        garment = shop.garment(line.garment)
        for pieces in line.pieces:
            size = garment.size(pieces.size)
            if size is None:
                raise KeyError(pieces.size)
            heaps.append(
                _Heap(place=len(heaps), line=number, size=size.name, count=pieces.count, piece=size.weight)
            )
    return heaps


def _most(piece: int, packing: Packing) -> int:
    """How many pieces of this weight fill a carton; never less than one."""
    by_weight = (packing.carton_limit - packing.carton_weight) // piece if piece else packing.carton_pieces
    return max(1, min(by_weight, packing.carton_pieces))


def _mix(rest: list[_Heap], packing: Packing) -> list[tuple[_Heap, ...]]:
    """Heaps that do not fill a carton into few cartons, none divided."""
    cartons: list[list[_Heap]] = []
    for heap in sorted(rest, key=lambda heap: (-heap.weight, -heap.count, heap.place)):
        fitting = [carton for carton in cartons if _fits([*carton, heap], packing)]
        if fitting:
            max(fitting, key=_weight).append(heap)
        else:
            cartons.append([heap])
    return [tuple(sorted(carton, key=lambda heap: heap.place)) for carton in cartons]


def _weight(heaps: list[_Heap]) -> int:
    return sum(heap.weight for heap in heaps)


def _fits(heaps: list[_Heap], packing: Packing) -> bool:
    pieces = sum(heap.count for heap in heaps)
    return pieces <= packing.carton_pieces and packing.carton_weight + _weight(heaps) <= packing.carton_limit
