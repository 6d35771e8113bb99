from collections.abc import Sequence

from plugins.group.pieces import Pieces
from plugins.group.rooms import Free, Left, Limits, Spot, Try, Way
from plugins.group.wishes import Rest

def lay_anew(
    carving: bool,
    size: Way,
    queues: tuple[list[int], ...],
    ways: Sequence[tuple[Way, ...]],
    tries: tuple[Try, ...],
    limits: Limits,
    /,
) -> tuple[list[Spot], list[Free]] | None: ...
def fill_rooms(
    carving: bool,
    free: list[Free],
    wanted: list[int],
    at: int,
    ways: Sequence[tuple[Way, ...]],
    areas: Sequence[int],
    weights: Sequence[float],
    left: Left,
    least: int,
    patient: bool,
    /,
) -> tuple[list[Spot], int, Left]: ...
def fill_gaps(size: Way, ways: list[tuple[Way, ...]], queue: list[int], /) -> list[Free | None]: ...
def change_places(
    carving: bool,
    size: Way,
    ways: list[tuple[Way, ...]],
    ranks: tuple[list[int], ...],
    tries: tuple[Try, ...],
    sheets: list[list[int]],
    out: list[int],
    warmth: float,
    work: int,
    seed: int,
    /,
) -> None: ...
def knapsack(items: list[tuple[int, int, float]], room: int, /) -> tuple[float, list[int]]: ...
def list_wishes(
    first: int,
    crowd: list[int],
    quantity: int,
    rest: Rest,
    worths: Sequence[float],
    areas: Sequence[int],
    whole: int,
    by_size: bool,
    noise: float,
    seed: int,
    /,
) -> list[int]: ...
def worth_of(
    counts: tuple[tuple[int, int], ...], quantity: int, rest: Rest, worths: Sequence[float], /
) -> float: ...
def cut_apart(pieces: Pieces, beside: Pieces | None, /) -> None: ...
def misfits(ways: Sequence[tuple[Way, ...]], counts: tuple[int, ...], size: Way, /) -> list[tuple[int, ...]]: ...
def choose(
    items: list[tuple[int, int, float, int]],
    counts: list[int],
    room: int,
    misfits: list[tuple[tuple[int, int], ...]],
    floor: float,
    steps: int,
    /,
) -> tuple[float, float, list[int] | None]: ...
