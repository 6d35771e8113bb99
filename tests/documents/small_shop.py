"""A small shop on disk with drawings that can be read, and the papers of small runs of it by their paths."""

import hashlib
from collections.abc import Sequence
from pathlib import Path
from types import ModuleType
from typing import Any

from attrs import evolve

from pipeline.ledger.numbers import number
from pipeline.ledger.snapshot import Snapshot
from pipeline.model.cost import Margin, MarginLevel
from pipeline.model.document import Document
from pipeline.model.money import Money
from pipeline.model.order import Order, Print
from pipeline.model.run import Run, RunKind
from pipeline.shop import Shop
from plugins.documents import index_documents, make_documents
from plugins.documents.desk import Desk
from tests.builders import MONDAY, make_artwork, make_print, make_shop
from tests.documents.papers import text_of
from tests.plans import make_run

_DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="80" height="80" viewBox="0 0 80 80">'
    '<circle cx="40" cy="40" r="{radius}" fill="#1f4e79"/></svg>'
)


def shop_on_disk(root: Path, **changes: Any) -> Shop:
    """The builders' shop with a folder that its artwork and templates are read from."""
    (root / "art").mkdir(exist_ok=True)
    return make_shop(root=root, **changes)


def drawn(shop: Shop, name: str = "gull", **changes: Any) -> Print:
    """A print of a drawing that lies in the shop's folder."""
    path = f"art/{name}.svg"
    content = _DRAWING.format(radius=20 + len(name)).encode()
    (shop.root / path).write_bytes(content)
    art = make_artwork(path, sha256=hashlib.sha256(content).hexdigest())
    return make_print(path, art=art, **changes)


def numbered_run(shop: Shop, orders: Sequence[Order], **changes: Any) -> Run:
    """A run of these orders with its numbers, or a quote without."""
    run = make_run(orders, shop, **changes)
    book = run.plan.bills
    net, cost = (Money(sum(getattr(margin, part) for margin in book.margins)) for part in ("net", "cost"))
    margins = (*book.margins, Margin(level=MarginLevel.BATCH, name="", net=net, cost=cost))
    run = evolve(run, plan=evolve(run.plan, bills=evolve(book, margins=margins)))
    return run if run.kind is RunKind.QUOTE else number(run, Snapshot(on=MONDAY))


def changed_bill(run: Run, job: str, **changes: Any) -> Run:
    """The run with another bill for one order."""
    bills = tuple(evolve(bill, **changes) if bill.job == job else bill for bill in run.plan.bills.bills)
    return evolve(run, plan=evolve(run.plan, bills=evolve(run.plan.bills, bills=bills)))


def papers_of(run: Run, *parts: ModuleType) -> dict[str, Document]:
    """A run's documents by their paths, all or those of some parts; a path twice would lose one, so it fails."""
    desk = Desk(run)
    made = [document for part in parts for work in part.works(desk) for document in work()]
    if not parts:
        made += make_documents(run=run)
        made += index_documents(run=run, documents=tuple(made))
    found = {document.path: document for document in made}
    assert len(found) == len(made)
    return found


def words_of(data: bytes) -> str:
    """The text of a PDF as one line: how it is broken into lines and pages does not matter."""
    return " ".join(" ".join(text_of(data)).split())
