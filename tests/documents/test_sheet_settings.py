"""What a transfer's file sets for the sheets to print: mirrored or not, cut marks or none."""

from pathlib import Path

import pytest
from attrs import evolve
from PIL import Image, ImageChops

from pipeline.model.measure import Length
from pipeline.model.run import Run
from pipeline.model.sheet import Cut
from plugins.documents import cutting, purchasing
from tests.builders import make_line, make_order
from tests.documents.papers import raster
from tests.documents.small_shop import drawn, numbered_run, papers_of, shop_on_disk, words_of

PPI = 254
"""Ten pixels to the millimetre."""
CUT = 200_000
"""Where the only cut is, in micrometres from the foot."""


def run_of(tmp_path: Path, **settings: bool) -> Run:
    """A run of one order whose only sheet is cut across once."""
    shop = shop_on_disk(tmp_path)
    shop = evolve(shop, transfers=tuple(evolve(transfer, **settings) for transfer in shop.transfers))
    run = numbered_run(shop, [make_order(lines=(make_line(prints=(drawn(shop),)),))])
    layout = run.plan.sheets.layouts[0]
    across = Cut(x1=Length(0), y1=Length(CUT), x2=layout.width, y2=Length(CUT), stage=1)
    sheets = evolve(run.plan.sheets, layouts=(evolve(layout, cuts=(across,)),))
    return evolve(run, plan=evolve(run.plan, sheets=sheets))


def inked(run: Run) -> Image.Image:
    """Where the sheet has ink, without the strip at its foot that holds its name."""
    papers = papers_of(run, purchasing)
    (path,) = (path for path in papers if path.startswith("suppliers/") and "/sheet-" in path)
    sheet = raster(papers[path].content, PPI, clear=True).getchannel("A")
    return sheet.crop((0, 0, sheet.width, sheet.height - 40))


def test_a_mirrored_sheet_is_the_plain_one_turned_left_to_right(tmp_path: Path) -> None:
    """And whoever cuts it is told how to lay it, for the map shows the plan."""
    plain, turned = run_of(tmp_path), run_of(tmp_path, mirrored=True)
    flipped = inked(turned).transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    difference = ImageChops.difference(inked(plain), flipped)
    # Edges may fall between pixels otherwise.
    assert sum(difference.histogram()[128:]) < 0.001 * difference.width * difference.height
    assert inked(plain).getbbox() != inked(turned).getbbox()
    said = [words_of(papers_of(run, cutting)["floor/sheet-s1.pdf"].content) for run in (plain, turned)]
    assert ["face down" in words for words in said] == [False, True]


@pytest.mark.parametrize("marked", [False, True])
def test_cut_marks_stand_where_they_are_wanted(tmp_path: Path, marked: bool) -> None:
    """A tick of 3 mm at each end of the cut, and nothing between."""
    ink = inked(run_of(tmp_path, cut_marks=marked))
    row = ink.height + 40 - CUT // 100
    ends = [ink.crop((left, row - 3, left + 20, row + 3)) for left in (2, ink.width - 22)]
    assert [end.getextrema()[1] > 100 for end in ends] == [marked, marked]
    assert ink.crop((40, row - 3, ink.width - 40, row + 3)).getbbox() is None
