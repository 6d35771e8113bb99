"""What goes with the goods and with the order: packing list, delivery note, labels, traveller."""

from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from attrs import evolve

from pipeline.ledger import Snapshot, number
from pipeline.model.document import Audience
from pipeline.model.order import Delivery
from pipeline.model.packing import Carton, PackedPieces, PackingPlan
from pipeline.model.run import Run, RunKind
from pipeline.shop import Address, Paper, Shop
from plugins.documents import shipping, traveller
from tests.builders import make_customer, make_garment, make_line, make_order
from tests.documents.papers import raster, text_of
from tests.documents.small_shop import drawn, numbered_run, papers_of, shop_on_disk, words_of

FOLDER = "orders/h-101"
NOTE, LABELS, LIST = (f"{FOLDER}/{name}.pdf" for name in ("delivery-note", "carton-labels", "packing-list"))
TRAVELLER = "floor/traveller-h-101.pdf"


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Shop:
    return shop_on_disk(tmp_path)


def with_prefix(shop: Shop, prefix: str = "9999999") -> Shop:
    """The shop with a GS1 Company Prefix."""
    return evolve(shop, packing=evolve(shop.packing, gs1_prefix=prefix))


def packed(shop: Shop, *cartons: dict[str, int], **changes: object) -> Run:
    """An order of 40 M and 8 L in these cartons, each 500 g and 150 g a piece."""
    order = make_order("H-101", lines=(make_line({"M": 40, "L": 8}, prints=(drawn(shop),)),), **changes)
    run = numbered_run(shop, [order])
    plan = PackingPlan(
        cartons=tuple(
            Carton(
                job="H-101",
                number=count,
                contents=tuple(PackedPieces(line=0, size=size, count=pieces) for size, pieces in sizes.items()),
                weight=500 + 150 * sum(sizes.values()),
            )
            for count, sizes in enumerate(cartons, 1)
        )
    )
    run = evolve(run, plan=evolve(run.plan, packing=plan), invoices=(), purchases=(), cartons=())
    return number(run, Snapshot(on=run.date))


def test_a_complete_order_says_so(shop: Shop) -> None:
    """Whoever receives it knows whether to wait for more: 48 pieces in two cartons of 7.85 kg by the packing."""
    found = papers_of(packed(shop, {"M": 40}, {"L": 8}, customer_order="PO 7/7"), shipping)
    for path in (NOTE, LIST):
        said = words_of(found[path].content)
        assert "nothing remains to follow" in said
        assert "Still to follow" not in said
        # 2 x 500 g + 48 x 150 g = 8 200 g; / 453.59237 = 18.08 lb.
        assert "18.1 lb (8.2 kg)" in said
    note = words_of(found[NOTE].content)
    for figure in ("Delivery note H-101", "Your order PO 7/7", "Harbour Bakery", "Cartons 2", "M: 40, L: 8 48 48",
                   "2 cartons, undamaged", "Signature"):  # fmt: skip
        assert figure in note
    assert "$" not in note
    listed = words_of(found[LIST].content)
    # 500 + 40 x 150 = 6 500 g = 14.33 lb; 500 + 8 x 150 = 1 700 g = 3.75 lb.
    assert "Carton 1 of 2 · 40 pieces · about 14.3 lb (6.5 kg)" in listed
    assert "Carton 2 of 2 · 8 pieces · about 3.7 lb (1.7 kg)" in listed


@pytest.mark.parametrize("paper", list(Paper))
def test_a_list_of_few_cartons_is_one_page(tmp_path: Path, paper: Paper) -> None:
    """A second page with one line on it is overlooked. Of more cartons an overview comes first."""
    shop = shop_on_disk(tmp_path, paper=paper)
    few = papers_of(packed(shop, {"M": 20}, {"M": 20}, {"L": 8}), shipping)[LIST].content
    assert len(text_of(few)) == 1
    assert "All cartons" not in words_of(few)
    many = words_of(papers_of(packed(shop, {"M": 20}, {"M": 10}, {"M": 10}, {"L": 8}), shipping)[LIST].content)
    # 500 + 20 x 150 = 3 500 g = 7.72 lb; in all 4 x 500 + 48 x 150 = 9 200 g = 20.28 lb.
    assert "1 of 4 20 7.7 lb (3.5 kg)" in many
    assert "All cartons 48 20.3 lb (9.2 kg)" in many


def test_what_is_in_no_carton_is_still_to_follow(shop: Shop) -> None:
    """A plugin may pack in two shipments: what lacks is named by size, and the note counts what comes."""
    found = papers_of(packed(shop, {"M": 30}, {"L": 8}), shipping)
    for path in (NOTE, LIST):
        said = words_of(found[path].content)
        assert "Still to follow Cotton tee, white: M: 10" in said
        assert "nothing remains" not in said
    assert "M: 40, L: 8 48 38" in words_of(found[NOTE].content)


def test_plain_labels_without_a_company_prefix(shop: Shop) -> None:
    """A carton is known by order and number; a made-up code might be another company's."""
    content = papers_of(packed(shop, {"M": 40}, {"L": 8}), shipping)[LABELS].content
    first, second = text_of(content)
    for page, carton, pieces in ((first, 1, "40 pieces"), (second, 2, "8 pieces")):
        said = " ".join(page.split())
        assert f"{carton} of 2" in said
        assert pieces in said
        assert "H-101" in said
        assert "Harbour Bakery 1 Quay Street" in said
        assert "(00)" not in said
    (code,) = zxingcpp.read_barcodes(raster(content, 203))
    assert code.text == "2026-W49/H-101/1"


@pytest.mark.parametrize(("paper", "inches"), [(Paper.LETTER, (4, 6)), (Paper.A4, (105 / 25.4, 148 / 25.4))])
def test_labels_with_a_container_code(tmp_path: Path, paper: Paper, inches: tuple[float, float]) -> None:
    """Each label is read by a scanner at a label printer's 203 dpi, and says the same in figures and on the list."""
    run = packed(with_prefix(shop_on_disk(tmp_path, paper=paper)), {"M": 40}, {"L": 8})
    found = papers_of(run, shipping)
    document = pypdfium2.PdfDocument(found[LABELS].content)
    assert len(document) == 2
    listed = words_of(found[LIST].content)
    for carton, page in enumerate(document, 1):
        assert page.get_size() == pytest.approx([side * 72 for side in inches], abs=0.01)
        picture = page.render(scale=203 / 72).to_pil().convert("RGB")
        codes = {code.symbology_identifier: code.text for code in zxingcpp.read_barcodes(picture)}
        sscc = run.sscc("H-101", carton)
        assert codes["]C1"] == f"(00){sscc}"
        assert f"(00){sscc}" in page.get_textpage().get_text_bounded()
        assert sscc in listed


@pytest.mark.parametrize("prefix", ["9999999", ""])
def test_the_fullest_label_is_one_page(tmp_path: Path, prefix: str) -> None:
    """A label that runs over is two labels: long names, a long address, more lines than fit."""
    garments = tuple(
        make_garment(f"jersey-{n}", title=f"Long-sleeved sailing jersey with hood no. {n}") for n in range(9)
    )
    street = ("Deck office behind the second landing stage", "Outer harbour, northern quay", "Shed 14")
    where = Address(lines=street, city="Quillmouth-under-the-Light", postcode="00000", region="ME", country="US")
    customer = make_customer(title="The Honourable Company of Lamplighters and Fog-Signal Keepers", address=where)
    shop = with_prefix(shop_on_disk(tmp_path, garments=garments, customers=(customer,)), prefix)
    lines = tuple(
        make_line({"M": 4, "L": 4}, garment=g.name, prints=(drawn(shop),), colour="white") for g in garments
    )
    run = numbered_run(
        shop, [make_order("2026-W49-JOB-0001", lines=lines, customer_order="PURCHASE-ORDER-000123")]
    )
    found = papers_of(run, shipping)["orders/2026-w49-job-0001/carton-labels.pdf"].content
    (page,) = text_of(found)
    assert "and 5 lines more: see the packing list" in " ".join(page.split())
    codes = {code.symbology_identifier for code in zxingcpp.read_barcodes(raster(found, 203))}
    assert codes == ({"]C1", "]Q1"} if prefix else {"]Q1"})


def test_a_traveller_names_every_step(shop: Shop) -> None:
    """Goods, prints, runs, cartons and the way out, with the run's and order's code; for the house alone."""
    run = packed(shop, {"M": 40}, {"L": 8}, notes="Ring <twice>")
    document = papers_of(run, traveller)[TRAVELLER]
    assert document.audience is Audience.FLOOR
    said = words_of(document.content)
    (task,) = run.plan.tasks.tasks
    for figure in ("H-101", "Fri 11 Dec 2026", "Ring <twice>", "Cotton tee white M: 40, L: 8", "gull.svg", task.id,
                   "2 cartons packed", "of 48", "Given to the carrier", "internal, not for customers"):  # fmt: skip
        assert figure in said
    (code,) = zxingcpp.read_barcodes(raster(document.content, 150))
    assert code.text == "2026-W49/H-101"


def test_what_is_fetched_is_picked_up(shop: Shop) -> None:
    """No carrier comes for it."""
    found = papers_of(packed(shop, {"M": 40}, {"L": 8}, delivery=Delivery.PICK_UP), shipping, traveller)
    assert "Picked up by" in words_of(found[TRAVELLER].content)
    assert "For pick-up" in words_of(found[LABELS].content)
    assert "To be picked up by" in words_of(found[NOTE].content)


def test_a_quote_delivers_nothing(shop: Shop) -> None:
    """A delivery note or a label of a quote might leave the house."""
    order = make_order("H-101", lines=(make_line(prints=(drawn(shop),)),))
    found = papers_of(numbered_run(with_prefix(shop), [order], kind=RunKind.QUOTE, label="quote-2026-W49"))
    assert LIST in found
    assert not {NOTE, LABELS, TRAVELLER} & set(found)
