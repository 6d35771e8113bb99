"""Tables, purchase orders, the blanks, the week and the page that ties them together: the figures of the run."""

import base64
import csv
import hashlib
import io
import re
from datetime import datetime
from decimal import Decimal

import pytest
from attrs import evolve

from pipeline.model.cost import CostKind, MarginLevel
from pipeline.model.document import Document
from pipeline.model.money import Money
from pipeline.model.order import Blanks, Order
from pipeline.model.prints import StockUse
from pipeline.model.run import Run
from pipeline.model.schedule import LateOrder
from pipeline.problems import Origin, Problem, Severity
from pipeline.shop import Shop
from plugins.documents import index_documents, tables
from tests.builders import make_document, make_line, make_order
from tests.documents.small_shop import drawn, numbered_run, papers_of, shop_on_disk, words_of

pytestmark = pytest.mark.untraced


@pytest.fixture(name="shop", scope="module")
def _shop(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    return shop_on_disk(tmp_path_factory.mktemp("office"))


@pytest.fixture(name="run", scope="module")
def _run(shop: Shop) -> Run:
    """Two orders, as most tests want them."""
    return numbered_run(shop, two_orders(shop))


@pytest.fixture(name="papers", scope="module")
def _papers(run: Run) -> dict[str, Document]:
    """All that is made of them."""
    return papers_of(run)


def two_orders(shop: Shop) -> list[Order]:
    """Two customers who order the same tee; the second brings some of them."""
    bakery = make_order("H-1", lines=(make_line({"M": 4, "L": 2}, prints=(drawn(shop),)),))
    school = make_line({"M": 3}, prints=(drawn(shop, "burgee"),))
    brought = make_line({"S": 5}, prints=(drawn(shop, "burgee"),), blanks=Blanks.CUSTOMER)
    return [bakery, make_order("H-2", customer="sailing-school", lines=(school, brought))]


def rows(papers: dict[str, Document], name: str) -> list[dict[str, str]]:
    """A table as the csv module of the standard library reads it."""
    text = papers[f"tables/{name}.csv"].content.decode()
    return list(csv.DictReader(io.StringIO(text, newline="")))


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_no_text_in_a_table_is_run_as_a_formula(start: str) -> None:
    """What OWASP's page on CSV injection lists; a quotation mark or comma must not break out of the cell either."""
    said = f'{start}HYPERLINK("x","y")\r\n,2'
    table = tables.as_csv([{"note": said, "net": Decimal("-5.00")}, {"note": "plain", "net": Decimal("1.50")}])
    first, second = csv.DictReader(io.StringIO(table.decode(), newline=""))
    assert first == {"note": f"'{said}", "net": "-5.00"}
    assert second == {"note": "plain", "net": "1.50"}


def test_a_customers_order_number_cannot_start_a_formula(shop: Shop) -> None:
    """The one text in these tables that comes from outside."""
    order = evolve(two_orders(shop)[0], customer_order='=cmd|"/c calc"!A1')
    assert {row["customer_order"] for row in rows(papers_of(numbered_run(shop, [order])), "orders")} == {
        '\'=cmd|"/c calc"!A1'
    }


def test_the_table_of_orders_adds_up(papers: dict[str, Document]) -> None:
    """Pieces by size as ordered, money as on the invoices, in plain decimals of the currency."""
    table = rows(papers, "orders")
    assert [(r["job"], r["line"], r["size"], r["pieces"]) for r in table] == [
        ("H-1", "1", "M", "4"), ("H-1", "1", "L", "2"), ("H-2", "1", "M", "3"), ("H-2", "2", "S", "5"),
    ]  # fmt: skip
    assert [r["invoice"] for r in table] == ["2026-0001"] * 2 + ["2026-0002"] * 2
    # By hand: 6 x 12.00 = 72.00, of which 5.5 % are 3.96; 8 x 12.00 = 96.00 and 5.28.
    assert [(r["order_net"], r["order_tax"], r["order_total"]) for r in table[1:3]] == [
        ("72.00", "3.96", "75.96"), ("96.00", "5.28", "101.28"),
    ]  # fmt: skip


def test_costs_and_sheets_are_those_of_the_run(run: Run, papers: dict[str, Document]) -> None:
    """An office that adds up a column must come to the run's own sums."""
    costs = rows(papers, "costs")
    spent = sum(Decimal(r["cost"]) for r in costs if r["kind"] == CostKind.TRANSFERS)
    assert spent * 100 == run.plan.sheets.cost
    assert sum(Decimal(r["cost"]) for r in costs) * 100 == sum(line.total for line in run.plan.costs.lines)
    sheets = rows(papers, "sheets")
    assert sum(Decimal(r["layout_cost"]) for r in sheets) * 100 == run.plan.sheets.cost
    # 3 in = 76.2 mm and 0.25 in = 6.35 mm: 25.4 mm to the inch, exactly.
    assert {(r["width_mm"], r["x_mm"], r["turned"]) for r in sheets} == {("76.200", "6.350", "no")}


def test_times_in_tables_are_iso_8601(run: Run, papers: dict[str, Document]) -> None:
    """With their zone, so that no program takes them for local time (ISO 8601-1:2019, 5.4)."""
    for row, planned in zip(rows(papers, "schedule"), run.plan.schedule.runs, strict=True):
        for column in ("change_start", "start", "end", "done", "due"):
            assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d", row[column])
        assert datetime.fromisoformat(row["start"]) == planned.start
        assert datetime.fromisoformat(row["end"]) == planned.end
        assert row["order_late"] == "no"


def test_blanks_are_bought_once_for_all_orders(papers: dict[str, Document]) -> None:
    """One line for each size over all orders, at its cost; what customers bring is not bought, but counted in."""
    bought = words_of(papers["suppliers/mill-lane-blanks/purchase-order.pdf"].content)
    # By hand: 4 + 3 M and 2 L at 2.50.
    for figure in ("Cotton tee white M 7 $2.50 $17.50", "Cotton tee white L 2 $2.50 $5.00", "All blanks 9",
                   "Total by our price list, net $22.50", "Deliver to Gullhaven Press Works 9 Net Loft Lane",
                   "Wanted here by Wed 2 Dec 2026"):  # fmt: skip
        assert figure in bought
    assert " S " not in bought
    counted = words_of(papers["office/blanks.pdf"].content)
    assert "H-2 Cotton tee customer's own white S: 5 5" in counted
    assert counted.count("\N{BALLOT BOX}") == 3


def test_a_printer_learns_what_to_print_and_not_for_whom(run: Run, papers: dict[str, Document]) -> None:
    """A supplier sees sheets, prices and the total; customers and jobs are none of its business."""
    said = words_of(papers["suppliers/north-pier-prints/purchase-order.pdf"].content)
    for layout in run.plan.sheets.layouts:
        assert f"{layout.id} full-colour sheet-{layout.id.lower()}.pdf 11 × 17 in (279 × 432 mm)" in said
    # By hand: 6, 3 and 5 sheets at 6.00.
    assert "Total by our price list, net $84.00" in said
    for name in ("H-1", "H-2", "Harbour Bakery", "Sailing School", "gull.svg", "burgee"):
        assert name not in said


def test_the_week_says_what_its_margins_are(run: Run, papers: dict[str, Document]) -> None:
    """The owner's page: net, cost and what is left, by order and in all."""
    said = words_of(papers["office/week.pdf"].content)
    batch = run.plan.bills.margin(MarginLevel.BATCH)
    # By hand: 168.00 asked; 14 prints of 6.00 and 14 blanks of 2.50 in the plain plan cost 119.00.
    assert (batch.net, batch.cost) == (16_800, 11_900)
    for figure in ("Asked for, net, without freight $168.00", "Blanks -$35.00", "Transfers -$84.00",
                   "Margin (29.2%) $49.00", "Tax to pass on $9.24", "Press labour $0.00"):  # fmt: skip
        assert figure in said


def test_what_the_page_says_was_saved_is_what_its_column_comes_to(run: Run) -> None:
    """One figure under one name: what orders save against each of them bought alone."""
    costs = run.plan.costs
    dearer = (evolve(o, alone=Money(o.alone + more)) for o, more in zip(costs.orders, (300, 125), strict=True))
    plan = evolve(run.plan, costs=evolve(costs, orders=tuple(dearer)))
    page = papers_of(evolve(run, plan=plan))["index.html"].content.decode()
    said = " ".join(re.sub("<[^>]+>", " ", page).split())
    assert "Saved by sharing $4.25" in said
    for job, saved in (("H-1", "$3.00"), ("H-2", "$1.25")):
        assert re.search(rf"{job} [^$]*(\$\S+ [^$]*){{2}}{re.escape(saved)} in time", said)


def test_the_page_links_to_every_paper(papers: dict[str, Document]) -> None:
    """Nothing made may be out of reach of the page, and no link may lead nowhere."""
    links = re.findall(r'href="([^"#]+)"', papers["index.html"].content.decode())
    assert sorted(links) == sorted(set(papers) - {"index.html"})


def test_the_page_links_to_papers_of_other_plugins(shop: Shop) -> None:
    """`index_documents` gets what every plugin made: a shop's own paper must be found from the page too."""
    run = numbered_run(shop, [make_order(lines=(make_line(prints=(drawn(shop),)),))])
    slip = make_document("orders/h-101/slip.txt", job="H-101")
    (page,) = index_documents(run=run, documents=(slip,))
    assert f'href="{slip.path}"' in page.content.decode()


def test_the_page_needs_nothing_from_elsewhere(papers: dict[str, Document]) -> None:
    """It is read from a disk, perhaps without a network: nothing fetched, and no script but its own."""
    page = papers["index.html"].content.decode()
    assert not re.search(r"<script [^>]*src|<link|@import|url\(|src=\"(?!data:)|font-family: DejaVuSans", page)
    (script,) = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    # A browser runs what has the digest that the policy names (W3C Content Security Policy, level 2, 7.17.2).
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert f"script-src 'sha256-{digest}'\"" in page
    assert "default-src 'none'" in page
    assert "prefers-color-scheme: dark" in page


def test_links_within_the_page_lead_somewhere(papers: dict[str, Document]) -> None:
    """Each `#name` is the id of one element."""
    page = papers["index.html"].content.decode()
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    inner = re.findall(r'href="#([^"]+)"', page)
    assert {"h-1", "h-2", "orders", "sheets"} <= set(inner)
    assert set(inner) <= set(ids)


def test_what_a_customer_wrote_stays_text_on_the_page(shop: Shop) -> None:
    """Names reach drawings, their tips and the search; none of it may become an element or end an attribute."""
    hostile = '"><script>alert(1)</script>{0}'
    customers = tuple(evolve(customer, title=hostile) for customer in shop.customers)
    page = papers_of(numbered_run(evolve(shop, customers=customers), two_orders(shop)))[
        "index.html"
    ].content.decode()
    assert "<script>alert" not in page
    assert page.count("&lt;script&gt;alert(1)&lt;/script&gt;{0}") > 5


def test_what_is_held_and_what_is_late_stands_first(shop: Shop) -> None:
    """The two things that somebody must act upon today."""
    run = numbered_run(shop, two_orders(shop)[:1])
    problem = Problem(code="E423", severity=Severity.ERROR, message="due too soon", hint="-",
                      origin=Origin(file="w/late.yaml", line=5))  # fmt: skip
    task = run.plan.tasks.tasks[0]
    late = LateOrder(job="H-1", due=task.due, ready=task.due.replace(hour=23), waits_for="press")
    plan = evolve(run.plan, schedule=evolve(run.plan.schedule, late=(late,)))
    found = papers_of(evolve(run, plan=plan, held=("H-9",), problems=(problem,)))
    week = words_of(found["office/week.pdf"].content)
    assert "H-1: ready Fri 11 Dec 2026, 23:00, 7 h late; waits for: press." in week
    assert "w/late.yaml:5 [E423] due too soon" in week
    assert week.index("H-9") < week.index("Orders")
    assert "7 h after Fri 11 Dec 2026, 16:00" in words_of(found["floor/schedule.pdf"].content)


def test_the_week_says_where_leftover_prints_lie(run: Run, papers: dict[str, Document]) -> None:
    """Somebody must fetch them: lot, place, how many, for whom."""
    uses = (StockUse(lot=7, demand="P01", copies=3, place="drawer 4"), StockUse(lot=9, demand="P02", copies=1))
    run = evolve(run, plan=evolve(run.plan, prints=evolve(run.plan.prints, stock_uses=uses)))
    said = words_of(papers_of(run)["office/week.pdf"].content)
    assert "From the shelf" in said
    assert "7 drawer 4 gull.svg 3 × 3 in (76 × 76 mm) 3 H-1" in said
    assert "9 – burgee.svg" in said
    assert "From the shelf" not in words_of(papers["office/week.pdf"].content)
