"""Laying prints on a sheet, and cutting it apart."""

from hypothesis import given
from hypothesis import strategies as st

from plugins.group.cuts import cutting_sequence
from plugins.group.packer import Packer
from plugins.group.problem import Placement, Print, Sheet
from plugins.group.weigh import weigh


def packer(width: int, height: int, *sizes: tuple[int, int], **changes: object) -> Packer:
    """A packer for one copy each of prints of these sizes."""
    free = {key: changes.pop(key) for key in ("guillotine",) if key in changes}
    turn = changes.pop("may_turn", True)
    prints = tuple(Print(width=w, height=h, copies=1, may_turn=bool(turn)) for w, h in sizes)
    return Packer(Sheet(width=width, height=height, prices=((1, 1),), **changes), prints, **free)


def test_margin_and_gap_are_kept() -> None:
    """Two prints of 40 with a gap of 10 need a margin of 5 on each side of a sheet of 100; 101 is not there."""
    assert packer(100, 50, (40, 40), margin=5, gap=10).pack((0, 0)) is not None
    assert packer(99, 50, (40, 40), margin=5, gap=10).pack((0, 0)) is None


def test_a_print_turns_only_if_it_may() -> None:
    """A print of 2 x 5 fits on a sheet of 5 x 2 lying down."""
    assert packer(5, 2, (2, 5)).pack((0,)) is not None
    assert packer(5, 2, (2, 5), may_turn=False).pack((0,)) is None
    assert not packer(5, 2, (2, 5), may_turn=False).fits_alone(0)


def test_a_pinwheel_needs_free_layouts() -> None:
    """Four prints of 1 x 2 round a hole fill a sheet of 3 x 3: no straight cut parts them."""
    spots = ((0, 0, 2, 1), (2, 0, 1, 2), (1, 2, 2, 1), (0, 1, 1, 2))
    wheel = [Placement(x=x, y=y, width=w, height=h, print=0, turned=False) for x, y, w, h in spots]
    assert cutting_sequence(wheel, 3, 3) is None


def test_a_grid_is_cut_in_two_stages() -> None:
    """Six prints in two rows: one level cut, then the rows upright, each cut midway in the gap."""
    spots = [(x, y) for x in (0, 12, 24) for y in (0, 12)]
    grid = [Placement(x=x, y=y, width=10, height=10, print=0, turned=False) for x, y in spots]
    cuts = cutting_sequence(grid, 34, 22)
    assert cuts is not None
    assert [(c.stage, c.x1, c.y1, c.x2, c.y2) for c in cuts] == [
        (1, 0, 11, 34, 11),
        (2, 11, 0, 11, 11),
        (2, 23, 0, 23, 11),
        (2, 11, 11, 11, 22),
        (2, 23, 11, 23, 22),
    ]


def test_a_single_print_needs_no_cut() -> None:
    """It is by itself already."""
    assert cutting_sequence([Placement(x=1, y=1, width=2, height=2, print=0, turned=False)], 9, 9) == ()


def test_what_a_wide_print_wastes_counts() -> None:
    """Nothing fits beside a print of 8 on a sheet of 10 x 10 when the narrowest is 3: it takes the whole width."""
    board = packer(10, 10, (8, 5), (3, 3), may_turn=False)
    shares = weigh(board, (0, 1), (10, 1))
    assert round(shares[0], 4) == 0.5


def test_shares_are_worth_more_than_area() -> None:
    """Squares of 6 on a sheet of 10 x 10: one to a sheet, though by area nearly three would go."""
    assert weigh(packer(10, 10, (6, 6)), (0,), (5,))[0] > 0.999


sizes = st.lists(st.tuples(st.integers(1, 9), st.integers(1, 9)), min_size=1, max_size=9)


@given(sizes=sizes, guillotine=st.booleans())
def test_whatever_was_packed_has_shares_of_at_most_one(sizes: list[tuple[int, int]], guillotine: bool) -> None:
    """The shares prove what cannot be packed; so no packing that exists may break them."""
    board = packer(12, 10, *sizes, guillotine=guillotine)
    shares = weigh(board, range(len(sizes)), [1] * len(sizes))
    packing = board.empty
    for i in range(len(sizes)):
        packing = board.extend(packing, i) or packing
    assert sum(shares[spot[1]] for spot in packing.spots) <= 1 + 1e-9
