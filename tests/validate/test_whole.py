"""What holds for all rules together, whatever is ordered."""

import random
from collections import Counter
from datetime import timedelta
from fractions import Fraction

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from pipeline.model.measure import Length, Percent, Temperature
from pipeline.model.order import Blanks, Delivery, Line, Order, Print, SizeCount, SizeScale
from pipeline.problems import Origin, Problem
from pipeline.shop import Hazard, Shop, Stretch
from plugins.validate import fit_transfers
from tests.builders import INCH, MONDAY, make_artwork, make_garment, make_order, make_shop, make_transfer
from tests.validate.asking import ask

pytestmark = pytest.mark.untraced

SHOP: Shop = make_shop(
    transfers=(
        make_transfer(),
        make_transfer("stretchy", stretch=Stretch.HIGH, lead_days=6),
        make_transfer("nylon-only", fabrics=("nylon",)),
    ),
    garments=(
        make_garment(),
        make_garment("legging", stretch=Stretch.HIGH),
        make_garment("thin", heat_ceiling=Temperature(120_000)),
        make_garment("apron", hazards=(Hazard.COATED,)),
    ),
)

ART = st.builds(
    make_artwork,
    path=st.just("art/gull.png"),
    aspect=st.sampled_from([Fraction(1), Fraction(3, 2), Fraction(1, 3)]),
    width_px=st.sampled_from([0, 300, 900, 3000]),
    height_px=st.sampled_from([1, 900]),
    white_background=st.booleans(),
)
LENGTHS = st.integers(0, 20 * INCH).map(Length)
SCALES = st.builds(SizeScale, size=st.sampled_from(["S", "M", "YS"]), percent=st.just(Percent(Fraction(3, 4))))
PRINTS = st.builds(
    Print,
    artwork=st.just("art/gull.png"),
    placement=st.sampled_from(["left-chest", "back", "knee"]),
    width=LENGTHS,
    height=st.none() | LENGTHS,
    transfer=st.sampled_from(["cheapest", "full-colour", "nylon-only", "foil"]),
    scale=st.lists(SCALES, max_size=1).map(tuple),
    art=st.none() | ART,
)
PIECES = st.lists(
    st.builds(SizeCount, size=st.sampled_from(["S", "M", "YS"]), count=st.integers(1, 30)),
    min_size=1,
    max_size=3,
    unique_by=lambda item: item.size,
)
LINES = st.builds(
    Line,
    garment=st.sampled_from(["tee", "legging", "thin", "apron", "cape"]),
    colour=st.sampled_from(["white", "mauve"]),
    pieces=PIECES.map(tuple),
    prints=st.lists(PRINTS, min_size=1, max_size=2).map(tuple),
    blanks=st.sampled_from(Blanks),
    price=st.sampled_from([None, Fraction(0), Fraction(900)]),
)


def placed(file: str, order: Order) -> Order:
    """The order as if it and all its parts had been read from a file."""
    place = Origin(file=file, line=1, column=1)

    def line(each: Line) -> Line:
        prints = tuple(
            evolve(print_, origin=place, scale=tuple(evolve(scale, origin=place) for scale in print_.scale))
            for print_ in each.prints
        )
        pieces = tuple(evolve(item, origin=place) for item in each.pieces)
        return evolve(each, origin=place, prints=prints, pieces=pieces)

    return evolve(order, origin=place, lines=tuple(map(line, order.lines)))


@st.composite
def batches(draw: st.DrawFn) -> tuple[Order, ...]:
    """Up to four orders, right and wrong, each from a file of its own."""
    return tuple(
        placed(
            f"{number}.yaml",
            make_order(
                f"J-{number}",
                customer=draw(st.sampled_from(["harbour-bakery", "nobody"])),
                due=MONDAY + timedelta(days=draw(st.integers(-3, 30))),
                delivery=draw(st.sampled_from(Delivery)),
                lines=tuple(draw(st.lists(LINES, min_size=1, max_size=2))),
            ),
        )
        for number in range(draw(st.integers(0, 4)))
    )


def counted(problems: tuple[Problem, ...]) -> Counter[tuple[str, str, str]]:
    """How often each problem is told of each job."""
    return Counter((problem.job, problem.code, problem.message) for problem in problems)


@given(batches(), st.randoms(use_true_random=False))
def test_the_order_of_the_files_does_not_matter(orders: tuple[Order, ...], rng: random.Random) -> None:
    """The same problems in the same sequence, however the folder was listed."""
    shuffled = list(orders)
    rng.shuffle(shuffled)
    assert ask(*shuffled, shop=SHOP) == ask(*orders, shop=SHOP)


@given(batches(), LINES)
def test_a_further_line_takes_no_problem_away(orders: tuple[Order, ...], line: Line) -> None:
    """What is wrong with one line stays wrong beside another, word for word."""
    for order in orders:
        before = counted(ask(order, shop=SHOP))
        after = counted(ask(evolve(order, lines=(*order.lines, line)), shop=SHOP))
        assert before - after == Counter()


@given(batches())
def test_orders_are_judged_apart(orders: tuple[Order, ...]) -> None:
    """With job ids of their own, the problems of a batch are those of its orders."""
    together = counted(ask(*orders, shop=SHOP))
    apart: Counter[tuple[str, str, str]] = Counter()
    for order in orders:
        apart |= counted(ask(order, shop=SHOP))
    assert together == apart


@given(batches())
def test_past_the_door_every_print_has_a_transfer(orders: tuple[Order, ...]) -> None:
    """The later stages may rely on it: an order without an error has, for each print, one that can be used."""
    problems = ask(*orders, shop=SHOP)
    held = {problem.job for problem in problems if problem.is_error}
    fits = fit_transfers(orders=orders, shop=SHOP, date=MONDAY)
    for order in orders:
        unread = any(print_.art is None for line in order.lines for print_ in line.prints)
        if order.job in held or unread:
            continue
        refs = {fit.ref for fit in fits.fits if fit.ref.job == order.job}
        assert len(refs) == sum(len(line.prints) for line in order.lines) > 0
        assert all(fits.usable(ref) for ref in refs)


@given(batches())
def test_every_problem_says_where_what_and_how_to_mend_it(orders: tuple[Order, ...]) -> None:
    """A code, a sentence without a full stop, a hint or the names that exist, and the order's own file."""
    for problem in ask(*orders, shop=SHOP):
        assert problem.message
        assert not problem.message.endswith(".")
        assert problem.hint or problem.label
        assert problem.code[0] == ("E" if problem.is_error else "W")
        assert problem.origin.file == f"{problem.job.removeprefix('J-')}.yaml"
