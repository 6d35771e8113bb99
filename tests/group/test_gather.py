"""As few sheets as possible where each costs the same."""

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from plugins.group.gather import can_gather
from plugins.group.plan import Board
from plugins.group.problem import Medium, Print, Problem, Sheet
from plugins.group.solve import solve
from plugins.group.stop import after
from tests.referee_sheets import faults_of_result

CLASS_1_OF_40 = """
11121315191922222228313438393a41414243444747636568697171728384929595959798a2a4a6
121313191a2527272a313637383a43475152595a62636769727276777a81828384899494959699a2
15162327283131353637393a3a3a42444555565a6467676869697479797a828284878895a1a9aaaa
132121252528293334384144454547495152545556616264667475758487898a92949598a7a8a9aa
1521222326262829292a323838393a424a5557585a636571788182848586888a8a8a959aa2a6a8aa
1214161718181a3136394144475255575761626666686a717172757576777a81828386919899a2a8
131617171a1a21222325292a3334343942454a5461626666686a6a7781818591949798a2a3a3aaaa
1213181a212a313236494a5862646767696a6a717a818588898a91919495959798989aa1a2a4a5a7
131314191a232627353636393a434445464a5157595a626367747882838385889293959597a1a2a4
1113131314171a2326272729333841424646474a53535858656667697474768484868688949496a5
"""
CLASS_4_OF_60 = """
1c1g1n2b374e647g7s869ya3alaxb8bebwccdidodqdrdse5ebekg4hij1k4
kmm5mhmtn6ndpgqgqnqurvsfslststt8tftxuavevxwqwrx6xcxhxryyz6zk
1p2g2i3k5p5p7a848b8g8u8x8z8z919j9n9qaybabhced6dre2ebf1fkg4g5
ggiyjdjmjukpkul3lpmbmtmunaninxpkq5r5rarbrmsqufv4whx1xyy2yvyy
1w294e51595r757y9daqcocydbdme2efemexf2f3fhfkg5gcglh3hahuidip
ixj7jdjtjwkdl4ldlnlsm2mdmjnuoqpoprq9qvrssdt6vbw5wnxnxsyfzczh
1q1q2n2r2w36373b4l81839kbnbrbtcccid3f6gohnhohqhzifiqjtk4k6ky
kzlllllsm3m9mnmxn1nfngnkodosp1p5papkr4rfs7uqvgvtvyw1x5yyzazr
1w2l2x3h3k3l3s3t4n4p5i5y64727h7x818b8m8q939j9kaqbdbgblcgcidg
drfahsi9ijinivizj3khkvmoncpdpxr7rvsfsqt5ujv8vdvjvtw4wjxhxjxo
1x292b2b2f2w485i5n62728t9lafalbxcedfdjdvdxeaeifmg4gpgvhehxj4
j6kaknlbmdo4ohoppepgq5q8qgr9srt4thupv6vbvfw7wkxexfxky8ytz3zt
131k2a2v3a3m4g4l61656e6u74747n8d8h8pa4a6ajapbwc5csdbe2e8e9et
fsgeh3hvi5i6j7kakrl7mdmmo1o8p5q8r7rirrrtsxt4tiunuwvxxky9yjzl
181c1t1z293b3r4l4m5b5v6y7p9oanaxc7crdddpe1e6exeyfegoh3i7iliv
kekjkqkvl8mmmun8ngnjo2o2onoqpapbpwq9qrqzr7thtivavsxfxoyszrzr
1t252d3a4n5m696k6w7p7s7w838ea8amambibvbxccd5f2fffyg9glgpi2i6
jdk1k6khm5mbmjmlmqnonzo9odq1q5qar7rpsjtatpvoxcxny4yqz6zqzyzz
3y45464h4y5l7a8y9b9qa6asaubqbsbweaedfehhhjhkj4kbkpkrktkukxle
lhlllumtn4nco8p1plpqq6rervrysasyudusv8vhvpw6wjwpxky6ynyozdzs
"""
"""Width and height of rectangles, a digit each (a is 10, z is 35)."""


def bins(side: int, sizes: list[tuple[int, int]], **sheet: object) -> Problem:
    """Rectangles to be laid on square sheets that cost 1 each, not to be cut by a guillotine."""
    one = Sheet(**{"width": side, "height": side, "prices": ((1, 1),), **sheet})
    prints = tuple(Print(width=width, height=height, copies=1) for width, height in sizes)
    return Problem(prints=prints, media=(Medium(sheets=(one,)),), guillotine=False)


def published(side: int, count: int, digits: str) -> list[Problem]:
    """Problems of `count` rectangles each."""
    sides = [int(digit, 36) for digit in "".join(digits.split())]
    sizes = list(zip(sides[::2], sides[1::2], strict=True))
    return [bins(side, sizes[at : at + count]) for at in range(0, len(sizes), count)]


FEW_A_SHEET, MANY_A_SHEET = published(10, 40, CLASS_1_OF_40), published(100, 60, CLASS_4_OF_60)


@pytest.mark.parametrize(("problems", "best"), [(FEW_A_SHEET, 128), (MANY_A_SHEET, 23)])
def test_two_dimensional_bins(problems: list[Problem], best: int) -> None:
    """Classes 1 and 4 of Berkey & Wang 1987 (J. Oper. Res. Soc. 38:423-429), 40 and 60 rectangles that may turn.

    Best known sums of ten problems: 128 and 23 bins (Goncalves & Resende 2013, Int. J. Prod. Econ. 145:500-510).
    """
    total = 0
    for problem in problems:
        result = solve(problem, after(600), 1, prove=False)
        assert faults_of_result(problem, result) == []
        total += result.cost
    assert total == best


@given(st.data())
def test_all_lie_on_sheets(data: st.DataObject) -> None:
    """Whatever their sizes, many or few on a sheet, cut straight or not: all prints, and none on another."""
    most, count = data.draw(st.sampled_from([(23, 12), (11, 60)]))
    sizes = data.draw(st.lists(st.tuples(*[st.integers(1, most)] * 2), min_size=count, max_size=count))
    problem = evolve(bins(24, sizes, gap=1), guillotine=data.draw(st.booleans()))
    result = solve(problem, after(10), data.draw(st.integers(0, 9)), prove=most == 23)
    assert faults_of_result(problem, result) == []


def test_a_plan_that_is_known_is_never_lost() -> None:
    """Without an iteration the plan that was given is as good as ever, though the first one made is dearer."""
    # 4 and 3 and 3 on each of two sheets; the first fit, the largest first, lays 4 and 4, 3 and 3 and 3, and 3.
    problem = bins(10, [(4, 10), (4, 10), (3, 10), (3, 10), (3, 10), (3, 10)])
    best = solve(problem, after(200), 1, prove=False)
    assert (best.cost, solve(problem, after(0), 1, prove=False).cost) == (2, 3)
    assert solve(problem, after(0), 1, best.layouts, prove=False).cost == 2


def test_what_is_paid_once_is_no_sheet_to_save() -> None:
    """Two prints of a quarter sheet need one, whatever an order of sheets costs besides; five need two."""
    for count, sheets in ((2, 1), (5, 2)):
        problem = bins(10, [(5, 5)] * count)
        (medium,) = problem.media
        result = solve(evolve(problem, media=(evolve(medium, order_charge=7),)), after(50), 1)
        assert (result.purchase, result.order_charges, result.iterations) == (sheets, 7, 0)


@pytest.mark.parametrize(
    ("sheet", "gathered"),
    [
        ({}, True),
        ({"prices": ((1, 2), (5, 1))}, False),
        ({"set_up": 1}, False),
        ({"minimum": 2}, False),
    ],
)
def test_only_where_sheets_cost_the_same(sheet: dict[str, object], gathered: bool) -> None:
    """Where more of one layout cost less each, sheets one by one would be the wrong thing to count."""
    assert can_gather(Board(bins(10, [(5, 5)], **sheet), weighed=False)) is gathered
