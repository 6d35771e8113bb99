"""The page of a week that was planned again: no costs on it, and links to what was made with it."""

import re
from datetime import timedelta
from pathlib import Path

from attrs import evolve

from pipeline.model.document import Document
from pipeline.model.run import Replan
from pipeline.model.schedule import RunState
from plugins.documents import index_replan_documents, make_replan_documents
from tests.builders import make_line, make_order
from tests.documents.browser import axe_violations, chromium, opened
from tests.documents.small_shop import drawn, numbered_run, shop_on_disk


def planned_again(root: Path, **changes: object) -> tuple[tuple[Document, ...], Document]:
    """Papers and page of two orders, two hours later, the first run finished."""
    shop = shop_on_disk(root, **changes)
    orders = [make_order(f"H-{n}", lines=(make_line(prints=(drawn(shop),)),)) for n in (101, 102)]
    run = numbered_run(shop, orders)
    as_of = run.schedule.start + timedelta(hours=2)
    first, *rest = run.schedule.runs
    schedule = evolve(run.schedule, as_of=as_of, runs=(evolve(first, state=RunState.FINISHED), *rest))
    replan = Replan(
        label=f"{run.label}-at-1203-1000", runs=(run.label,), date=as_of.date(),
        shop=shop, orders=run.orders, tasks=run.tasks, schedule=schedule,
    )  # fmt: skip
    papers = tuple(make_replan_documents(replan=replan))
    (page,) = index_replan_documents(replan=replan, documents=papers)
    return papers, page


def test_it_leads_to_all_papers_and_back(tmp_path: Path) -> None:
    """From the floor's page to the week's, which lies in the folder beside."""
    papers, page = planned_again(tmp_path)
    links = re.findall(r'<a href="([^"]+)"', page.content.decode())
    assert page.path == "index.html"
    assert links == ["../2026-W49/index.html", *(paper.path for paper in papers)]


def test_it_shows_the_presses_and_no_money(tmp_path: Path) -> None:
    """Whoever stands at a press may look at it."""
    _, page = planned_again(tmp_path)
    said = page.content.decode().partition("<script>")[0]
    assert "2026-W49 as of Thu 3 Dec 2026, 10:00" in said
    assert "Nothing is late." in said
    assert said.count("<svg") == 2
    assert not re.search(r"Margin|[$]|Net<", said)


def test_it_is_whole_in_a_browser(tmp_path: Path) -> None:
    """The week's script finds no search on it, and axe-core no fault; in German, too."""
    with chromium() as browser:
        for language in ("en", "de"):
            _, page = planned_again(tmp_path, language=language)
            file = tmp_path / f"{language}.html"
            file.write_bytes(page.content)
            with opened(browser, file) as shown:
                assert axe_violations(shown) == []
                assert shown.locator("[role=button]").count() >= 4
