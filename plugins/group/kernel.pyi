# Each takes and gives what its namesake in Python does.
from collections.abc import Callable

from plugins.group.choice import choose as choose
from plugins.group.gaps import fill_gaps as fill_gaps
from plugins.group.knapsack import knapsack as knapsack
from plugins.group.misfits import misfits as misfits
from plugins.group.packer import Laid
from plugins.group.pieces import cut_apart as cut_apart
from plugins.group.rooms import fill_rooms as fill_rooms
from plugins.group.rooms import lay_anew as lay_anew
from plugins.group.swaps import change_places as change_places

# The search is called from engine.py only: a run is (stock, steps, what is laid, quantity, cost).
class Search: ...

Runs = tuple[tuple[int, int, Laid, int, int], ...]

def open_search(
    carving: bool,
    most_layouts: int,
    copies: list[int],
    company: list[int],
    worth: list[float],
    choosy: list[bool],
    least_extra: list[int],
    extra: list[int],
    order_charge: list[int],
    stocks: list[tuple[object, ...]],
    memory: int,
    seed: int,
) -> Search: ...
def first_runs(search: Search, plans: int) -> Runs: ...
def annealed(
    search: Search,
    runs: Runs,
    bound: int,
    stop: Callable[[int, int], float],
    done: int,
    begin: float,
    end: float,
    warm: float,
) -> tuple[Runs, int]: ...
def remembered(search: Search, stock: int, most: int) -> list[Laid]: ...
