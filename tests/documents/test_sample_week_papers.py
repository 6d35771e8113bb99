"""The sample week's papers, all of them, as they lie in the folder: whole, private, linked, and fit to work by."""

import re
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import NamedTuple

import pikepdf
import pypdfium2
import pytest
import zxingcpp
from PIL import Image, ImageDraw

from pipeline.model.run import Run, RunKind
from pipeline.record import RECORD
from pipeline.request import Request, find_jobs
from pipeline.run import run
from plugins.documents.desk import slug
from tests.documents.papers import raster
from tests.documents.small_shop import words_of
from tests.languages.test_week import hurry
from tests.referee_tagged import read

pytestmark = pytest.mark.untraced

SAMPLE = Path(__file__).parents[2] / "sample_jobs"
WEEK = "2026-W49"
DPI = 40


class Week(NamedTuple):
    """The run, and its files by their paths."""

    run: Run
    files: dict[str, bytes]

    def words(self, path: str) -> str:
        """The text of a paper of any kind as one line."""
        content = self.files[path]
        return words_of(content) if path.endswith(".pdf") else content.decode()


@pytest.fixture(name="week", scope="module")
def _week(tmp_path_factory: pytest.TempPathFactory) -> Week:
    """The week taken through everything once, as `peelwright run` does, but for the time of the searches."""
    shop = tmp_path_factory.mktemp("sample") / "shop"
    shutil.copytree(SAMPLE, shop, ignore=shutil.ignore_patterns("out", "ledger.sqlite*"))
    hurry(shop)
    jobs, week, label = find_jobs([shop / WEEK])
    now = datetime(2031, 5, 5, 9, 41, tzinfo=UTC)
    out = shop.parent / "out"
    report = run(Request(kind=RunKind.RUN, shop=shop, files=jobs, week=week, label=label, out=out, now=now))
    assert report.run is not None
    folder = out / WEEK
    found = sorted(path for path in folder.rglob("*") if path.is_file())
    return Week(report.run, {path.relative_to(folder).as_posix(): path.read_bytes() for path in found})


def test_all_papers_can_be_read_aloud(week: Week) -> None:
    """Each is a tagged PDF with a first heading; what a printer gets is artwork, and has no words to say."""
    for path, content in week.files.items():
        if re.fullmatch(r"suppliers/.*/sheet-.*\.pdf", path):
            with pikepdf.open(BytesIO(content)) as sheet:
                assert "/StructTreeRoot" not in sheet.Root
        elif path.endswith(".pdf"):
            assert "H1" in {part.kind for part in read(content).walk()}, path


def test_nothing_is_missing(week: Week) -> None:
    """Every order has its papers, every press run its instruction, every layout map and file."""
    plan = week.run.plan
    expected = {"index.html", RECORD, "office/week.pdf", "office/blanks.pdf", "floor/schedule.pdf"}
    expected |= {"tables/week.xlsx"}
    expected |= {f"tables/{name}.csv" for name in ("orders", "sheets", "sharing", "costs", "schedule")}
    for order in plan.orders:
        folder = f"orders/{slug(order.job)}"
        number = week.run.invoice_number(order.job)
        assert number
        names = ("packing-list", "delivery-note", "carton-labels", f"invoice-{slug(number)}")
        expected |= {f"{folder}/{name}.pdf" for name in names} | {f"floor/traveller-{slug(order.job)}.pdf"}
        assert f"Invoice {number}" in week.words(f"{folder}/invoice-{slug(number)}.pdf")
    expected |= {f"floor/press-{slug(task.id)}.pdf" for task in plan.tasks.tasks}
    expected |= {f"floor/calendar-{slug(run.press)}.ics" for run in plan.schedule.runs}
    for layout in plan.sheets.layouts:
        supplier = slug(week.run.shop.transfer(layout.transfer).supplier)
        expected |= {f"floor/sheet-{slug(layout.id)}.pdf", f"suppliers/{supplier}/sheet-{slug(layout.id)}.pdf"}
    suppliers = {week.run.shop.garment(line.garment).supplier for order in plan.orders for line in order.lines}
    suppliers |= {week.run.shop.transfer(layout.transfer).supplier for layout in plan.sheets.layouts}
    expected |= {f"suppliers/{slug(supplier)}/purchase-order.pdf" for supplier in suppliers}
    made = {path for path in week.files if not path.endswith("ferry-slip.txt")}
    assert made == expected


def traces(week: Week, customer: str) -> set[str]:
    """What would give a customer away: names, people, streets, numbers of orders and pictures."""
    found = week.run.shop.customer(customer)
    addresses = [found.address, *([found.ship_to] if found.ship_to else [])]
    said = {found.name, found.title, found.contact, *(line for place in addresses for line in place.lines)}
    for order in week.run.orders:
        if order.customer == customer:
            said |= {order.job, order.customer_order, week.run.invoice_number(order.job)}
            said |= {Path(item.artwork).name for line in order.lines for item in line.prints}
    return said - {""}


def test_no_customer_is_shown_another(week: Week) -> None:
    """Neither named nor pictured: not in the text, not in what a PDF says of itself, and no picture at all."""
    customers = {order.customer for order in week.run.orders}
    assert len(customers) >= 5
    for order in week.run.orders:
        own = traces(week, order.customer)
        others = set().union(*(traces(week, name) for name in customers - {order.customer})) - own
        papers = [path for path in week.files if path.startswith(f"orders/{slug(order.job)}/")]
        assert len(papers) >= 2
        for path in papers:
            said = f"{path} {week.words(path)} {about(week.files[path])}"
            assert week.run.shop.customer(order.customer).title in said
            assert [trace for trace in sorted(others) if re.search(rf"\b{re.escape(trace)}\b", said)] == []
            if path.endswith(".pdf"):
                assert not list(pictures(week.files[path])), f"{path} holds a picture"


def test_no_instruction_pictures_the_artwork_of_another(week: Week) -> None:
    """The packer lays it beside the goods. Pictures are compared by their pixels, whatever they are called."""
    jobs_of: dict[str, set[str]] = {}
    tasks = {f"floor/press-{slug(task.id)}.pdf": task.ref for task in week.run.plan.tasks.tasks}
    artwork = {}
    for path, ref in tasks.items():
        order = week.run.order(ref.job)
        artwork[path] = order.lines[ref.line].prints[ref.print].picture.sha256
        for digest in pixel_hashes(week.files[path]):
            jobs_of.setdefault(digest, set()).add(artwork[path])
    assert len(jobs_of) == len(set(artwork.values()))
    assert all(len(artworks) == 1 for artworks in jobs_of.values())


def pixel_hashes(content: bytes) -> Iterator[str]:
    """A hash of the pixels of each image of a PDF."""
    with pikepdf.open(BytesIO(content)) as pdf:
        for item in pdf.objects:
            if isinstance(item, pikepdf.Stream) and item.get("/Subtype") == "/Image":
                yield sha256(item.read_bytes()).hexdigest()


def about(content: bytes) -> str:
    """What a PDF says of itself."""
    if not content.startswith(b"%PDF"):
        return ""
    with pikepdf.open(BytesIO(content)) as pdf:
        return " ".join(str(value) for value in pdf.docinfo.values())


def pictures(content: bytes) -> Iterator[str]:
    """The sizes of all images of a PDF, wherever in it they are."""
    with pikepdf.open(BytesIO(content)) as pdf:
        for item in pdf.objects:
            if isinstance(item, pikepdf.Stream) and item.get("/Subtype") == "/Image":
                yield f"{item.Width} x {item.Height}"


def test_no_supplier_learns_for_whom_it_works(week: Week) -> None:
    """A printer of transfers who knew the customers could write to them."""
    said = " ".join(week.words(path) for path in week.files if path.endswith("purchase-order.pdf"))
    for order in week.run.orders:
        assert order.job not in said
        assert week.run.shop.customer(order.customer).title not in said


def test_every_link_leads_somewhere(week: Week) -> None:
    """The page is how most people will find their papers."""
    links = re.findall(r'href="([^"#]+)"', week.words("index.html"))
    assert len(links) == len(set(links))
    assert set(links) == set(week.files) - {"index.html", RECORD}


def test_every_instruction_is_one_page_that_a_scanner_knows(week: Week) -> None:
    """It hangs at the press: a second page stays at the printer. The artwork is on it."""
    for task in week.run.plan.tasks.tasks:
        content = week.files[f"floor/press-{slug(task.id)}.pdf"]
        assert len(pypdfium2.PdfDocument(content)) == 1, task.id
        assert [code.text for code in zxingcpp.read_barcodes(raster(content, 150))] == [f"{WEEK}/{task.id}"]
        assert list(pictures(content))


def test_every_map_is_one_page(week: Week) -> None:
    """Whoever cuts has one hand for paper; the list of a sheet of thirty prints is as long as its kinds."""
    for layout in week.run.plan.sheets.layouts:
        assert len(pypdfium2.PdfDocument(week.files[f"floor/sheet-{slug(layout.id)}.pdf"])) == 1, layout.id


def test_what_is_printed_lies_where_the_map_says(week: Week) -> None:
    """Every print has ink in its place, and there is none anywhere else: the sheet is cut by the map."""
    for layout in week.run.plan.sheets.layouts:
        supplier = slug(week.run.shop.transfer(layout.transfer).supplier)
        sheet = raster(week.files[f"suppliers/{supplier}/sheet-{slug(layout.id)}.pdf"], DPI, clear=True)
        ink = sheet.getchannel("A")
        # 25 400 micrometres to the inch; y counts from the bottom of the sheet, pixels from the top.
        scale = DPI / 25_400
        elsewhere = Image.new("L", ink.size, 255)
        for item in layout.prints:
            left, right = item.x * scale, (item.x + item.width) * scale
            top, bottom = ink.height - (item.y + item.height) * scale, ink.height - item.y * scale
            within = ink.crop((round(left), round(top), round(right), round(bottom)))
            assert within.getextrema()[1] == 255
            # A pixel around for the edges that fall between pixels.
            ImageDraw.Draw(elsewhere).rectangle((left - 1, top - 1, right + 1, bottom + 1), fill=0)
        beside = Image.composite(ink, Image.new("L", ink.size, 0), elsewhere)
        # Only the sheet's name stands beside, in the margin at the foot: 0.25 in, as every print leaves free.
        foot = ink.height - round(DPI / 4)
        assert beside.crop((0, 0, ink.width, foot)).getbbox() is None, layout.id
