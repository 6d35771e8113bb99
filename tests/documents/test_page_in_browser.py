"""The week's page in a real browser: read, searched, pointed at, by mouse, finger and keyboard, at every width."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from attrs import evolve
from playwright.sync_api import Browser, Page, expect

from pipeline.model.document import Audience
from pipeline.model.folder import WaitingOrder
from pipeline.model.money import Money
from pipeline.model.run import Run
from pipeline.model.schedule import LateOrder
from pipeline.problems import Origin, Problem, Severity
from plugins.documents import index_documents
from tests.builders import make_document
from tests.documents.browser import axe_violations, chromium, opened
from tests.languages.test_week import the_run
from tests.watch.test_page import AT
from tests.watch.test_page import page as status_page

pytestmark = pytest.mark.untraced

PHONE = 360
# WCAG 2.2, 1.4.10 Reflow: nothing may be moved in two directions at 320 CSS pixels.
NARROWEST = 320


@pytest.fixture(name="browser", scope="module")
def _browser() -> Iterator[Browser]:
    with chromium() as browser:
        yield browser


@pytest.fixture(name="taken", scope="module")
def _taken(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Run:
    return the_run(tmp_path_factory.mktemp("week"))


@pytest.fixture(name="week", scope="module")
def _week(taken: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample week's page, with two papers for each order."""
    return write(taken, tmp_path_factory.mktemp("page"))


@pytest.fixture(name="troubled", scope="module")
def _troubled(taken: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same with an order that is late and one that was held."""
    problem = Problem(code="E423", severity=Severity.ERROR, message="due too soon", hint="-",
                      origin=Origin(file="w/late.yaml", line=5))  # fmt: skip
    task = taken.plan.tasks.tasks[-1]
    late = LateOrder(job=task.ref.job, due=task.due, ready=task.due.replace(hour=23), waits_for="press")
    plan = evolve(taken.plan, schedule=evolve(taken.plan.schedule, late=(late,)))
    run = evolve(taken, plan=plan, held=("W49-90",), problems=(problem,))
    return write(run, tmp_path_factory.mktemp("troubled"))


def write(run: Run, folder: Path) -> Path:
    """The run's page on the disk."""
    papers = tuple(
        make_document(f"orders/{order.job.lower()}/{name}.pdf", job=order.job, audience=Audience.CUSTOMER)
        for order in run.orders
        for name in ("invoice", "packing-list")
    )
    (page,) = index_documents(run=run, documents=papers)
    file = folder / "index.html"
    file.write_bytes(page.content)
    return file


def shown_orders(page: Page) -> list[str]:
    """The jobs in the table of orders that can be seen."""
    rows = page.locator("tr[data-find]")
    return [str(row.get_attribute("data-find")) for row in rows.all() if row.is_visible()]


def lit(page: Page) -> set[str]:
    """The orders whose parts are shown."""
    jobs = page.eval_on_selector_all(".part.lit", "parts => parts.map(part => part.dataset.jobs)")
    return {job for text in jobs for job in text.split()}


# Colours are the same at every width.
@pytest.mark.parametrize(
    ("width", "scheme"), [(1280, "light"), (1280, "dark"), (PHONE, "light"), (NARROWEST, "light")]
)
@pytest.mark.parametrize("which", ["week", "troubled"])
def test_axe_finds_nothing(
    browser: Browser, request: pytest.FixtureRequest, which: str, width: int, scheme: str
) -> None:
    """WCAG 2.2 AA, as far as a machine can tell, of all there is: nothing folded away, and an order pointed at."""
    with opened(browser, request.getfixturevalue(which), width, color_scheme=scheme) as page:
        for fold in page.locator("summary").all():
            fold.click()
        page.locator(".view .part").first.focus()
        assert axe_violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_axe_would_find_something(browser: Browser, week: Path) -> None:
    """The check itself: a field without a name and pale words are found."""
    with opened(browser, week) as page:
        page.evaluate(
            "document.querySelector('main').insertAdjacentHTML('beforeend',"
            " '<input><p style=\"color:#bbb;background:#fff\">pale</p>')"
        )
        assert {found.partition(":")[0] for found in axe_violations(page)} == {"label", "color-contrast"}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_on_drawings_can_be_read(browser: Browser, week: Path, scheme: str) -> None:
    """Contrast of 4.5 : 1 (WCAG 2.2, 1.4.3) of each number on its print or bar: axe looks at no SVG."""
    with opened(browser, week, color_scheme=scheme) as page:
        pairs = page.eval_on_selector_all(
            "svg .part text",
            "texts => texts.map(text => [text, text.previousElementSibling].map(e => getComputedStyle(e).fill))",
        )
    assert pairs
    assert min(contrast(*pair) for pair in pairs) >= 4.5


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours `rgb(r, g, b)` by WCAG 2.2's definition of relative luminance."""

    def luminance(colour: str) -> float:
        parts = [int(part) / 255 for part in re.findall(r"\d+", colour)]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))

    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_that_of_the_standard() -> None:
    """WCAG 2.2: black on white is 21 : 1. #767676 on white is 4.54 : 1 (the well-known grey; value from memory)."""
    assert contrast("rgb(0, 0, 0)", "rgb(255, 255, 255)") == pytest.approx(21)
    assert contrast("rgb(118, 118, 118)", "rgb(255, 255, 255)") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("width", [1280, PHONE])
def test_the_search_leaves_what_holds_all_words(browser: Browser, taken: Run, week: Path, width: int) -> None:
    """Orders by customer or job, papers by their order; how many are left is told; Escape brings all back."""
    everyone = {order.job for order in taken.orders}
    ferry = {order.job for order in taken.orders if order.customer == "skerries-ferry"}
    with opened(browser, week, width) as page:
        field = page.get_by_role("searchbox")
        assert set(shown_orders(page)) == everyone
        field.fill("FERRY quill")
        assert set(shown_orders(page)) == ferry
        assert page.locator("h3 + ul a:visible").count() == 2 * len(ferry)
        expect(page.get_by_role("status")).to_have_text(f"{len(ferry)} of {len(everyone)} orders")
        bright = page.eval_on_selector_all(
            "svg .part:not(.away)", "parts => parts.map(part => part.dataset.jobs)"
        )
        assert set(bright) <= ferry
        field.fill("no such thing")
        assert shown_orders(page) == []
        field.press("Escape")
        assert set(shown_orders(page)) == everyone


def test_a_print_that_is_pointed_at_says_whose_it_is(browser: Browser, taken: Run, week: Path) -> None:
    """Every print on every sheet has a name with its order and customer; all of the order lights up."""
    with opened(browser, week) as page:
        for layout in taken.plan.sheets.layouts:
            drawn = page.get_by_role("group", name=f"Sheet {layout.id},").locator("svg .part")
            assert drawn.count() == len(layout.prints)
            for number, item in enumerate(layout.prints):
                demand = taken.plan.prints.demand(item.demand)
                name = drawn.nth(number).get_attribute("aria-label")
                assert name is not None
                for said in (
                    f"{layout.id}/{number + 1}",
                    *demand.jobs,
                    taken.shop.customer(demand.customer).title,
                ):
                    assert said in name
        first = page.locator(".view").first
        first.locator("svg .part").first.hover()
        expect(first.locator(".say")).to_contain_text("S1/1")
        job = taken.plan.prints.demand(taken.plan.sheets.layouts[0].prints[0].demand).jobs
        assert lit(page) >= set(job)
        # The presses show the same order.
        assert page.locator(".view svg .press.lit").count() >= 1
        page.mouse.move(0, 0)
        assert lit(page) == set()


def test_a_finger_keeps_an_order_and_lets_it_go(browser: Browser, week: Path) -> None:
    """A touch has no hover: what was touched stays shown until it is touched again."""
    with opened(browser, week, PHONE, has_touch=True, is_mobile=True) as page:
        part = page.locator(".view svg .part").first
        part.tap()
        assert lit(page)
        expect(part).to_have_attribute("aria-pressed", "true")
        entry = page.locator(".key .part").last
        entry.tap()
        assert lit(page) == set(str(entry.get_attribute("data-jobs")).split())
        entry.tap()
        page.locator("h1").tap()
        assert lit(page) == set()


def test_the_keyboard_reaches_every_part(browser: Browser, taken: Run, week: Path) -> None:
    """One stop of Tab for a drawing, arrows within it, Enter keeps, Escape lets go."""
    layout = max(taken.plan.sheets.layouts, key=lambda layout: len(layout.prints))
    with opened(browser, week) as page:
        figure = page.get_by_role("group", name=f"Sheet {layout.id},").first
        assert figure.locator("svg .part[tabindex='0']").count() == 1
        figure.locator("svg .part").first.focus()
        for number in range(2, len(layout.prints) + 1):
            page.keyboard.press("ArrowRight")
            expect(page.locator(":focus")).to_have_attribute("aria-label", re.compile(f"^{layout.id}/{number} "))
        expect(figure.locator(".say")).to_contain_text(f"{layout.id}/{len(layout.prints)} ")
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        kept = figure.locator("svg .part").last
        expect(kept).to_have_attribute("aria-pressed", "true")
        page.keyboard.press("Escape")
        expect(kept).to_have_attribute("aria-pressed", "false")


def test_without_its_script_the_page_is_whole(browser: Browser, taken: Run, week: Path) -> None:
    """Some mail programs and offices run none: all orders and names are there, and no field that does nothing."""
    with opened(browser, week, java_script_enabled=False) as page:
        assert page.locator("tr[data-find]:visible").count() == len(taken.orders)
        assert not page.locator("#find").is_visible()
        assert page.locator("svg .part title").count() > sum(
            len(each.prints) for each in taken.plan.sheets.layouts
        )


def test_late_and_held_orders_stand_first(browser: Browser, taken: Run, troubled: Path) -> None:
    """Before any figure, and the late order is the first of the table."""
    with opened(browser, troubled, PHONE) as page:
        said = page.locator("main").inner_text()
        assert said.index("7 h late") < said.index("W49-90") < said.index("Saved by sharing")
        assert shown_orders(page)[0] == taken.plan.tasks.tasks[-1].ref.job


def test_paper_is_white_and_leaves_out_what_cannot_be_used(browser: Browser, week: Path) -> None:
    """Printed from a dark screen, too."""
    with opened(browser, week, color_scheme="dark") as page:
        page.emulate_media(media="print", color_scheme="dark")
        assert not page.locator("#find").is_visible()
        body = page.evaluate("getComputedStyle(document.body)")
        assert body["backgroundColor"] == "rgb(255, 255, 255)"
        assert body["color"] == "rgb(0, 0, 0)"
        assert len(page.pdf()) > 10_000


@pytest.mark.parametrize("width", [1280, NARROWEST])
def test_the_page_of_the_watched_folder_can_be_read_by_all(browser: Browser, tmp_path: Path, width: int) -> None:
    """Like the week's page, but for its table, which is moved from side to side, and that it refreshes itself.

    Axe counts a refresh as a failure of WCAG 2.2.1 (Timing Adjustable); the page holds nothing that one could lose.
    """
    order = WaitingOrder(
        job="H-101", customer="harbour-bakery", received=AT, file="done/2026-11-30/h.yaml", due=AT.date(), pieces=6,
        net=Money(9_000), held=("E423: due too soon",),
    )  # fmt: skip
    file = tmp_path / "status.html"
    file.write_text(status_page(waiting=(order,), waiting_count=1, faults=("the disk is full",)), "utf-8")
    with opened(browser, file, width) as page:
        assert {found.partition(":")[0] for found in axe_violations(page)} <= {"meta-refresh"}
        assert page.evaluate("document.documentElement.scrollWidth") <= width
