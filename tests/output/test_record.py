"""run.json: complete, described by its schema, and free of anything that would differ on a second run."""

import copy
import json
from datetime import timedelta
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve
from jsonschema import Draft202012Validator

from pipeline.canonical import digest
from pipeline.ledger import Snapshot, number
from pipeline.model.cost import Prepayment
from pipeline.model.document import Document
from pipeline.model.money import Money
from pipeline.model.prints import StockUse
from pipeline.model.run import Run, RunKind
from pipeline.model.schedule import Help, HelpKind, LateOrder
from pipeline.model.without import Remaining, TakenOff, Without
from pipeline.output import deliver, papers_in
from pipeline.problems import Origin, Problem, Severity
from pipeline.record import run_record
from tests.builders import MONDAY, make_document, make_order, make_shop
from tests.plans import START, make_plan, make_run

SCHEMA: dict[str, Any] = json.loads((files("schemas") / "run.schema.json").read_text("utf-8"))
DOCUMENTS = (make_document(), make_document("sheets.csv", b"sheet"))


def full_run() -> Run:
    """A run in which every part of the record has something to say."""
    shop, orders = make_shop(), (make_order(), make_order("H-102"))
    plan = make_plan(shop, orders, surplus=2, stock_uses=(StockUse(lot=1, demand="P01", copies=1),))
    found = Help(kind=HelpKind.OVERTIME, name="", day=MONDAY, ready=START, in_time=True, delays=("H-102",))
    late = LateOrder(job="H-101", due=START, ready=START + timedelta(hours=1), waits_for="press", helps=(found,))
    plan = evolve(plan, schedule=evolve(plan.schedule, late=(late,)))
    paid = Prepayment(job="H-101", number="D2026-001", paid=MONDAY, amount=Money(1_000))
    bills = (evolve(plan.bills.bills[0], prepaid=(paid,)), *plan.bills.bills[1:])
    plan = evolve(plan, bills=evolve(plan.bills, bills=bills))
    origin = Origin(file="week/h-103.yaml", line=3, column=7)
    problem = Problem(code="W301", message="few pixels", severity=Severity.WARNING, origin=origin, job="H-102")
    off = TakenOff(job="H-104", customer="sailing-school", paid=Money(700), alone=Money(900))
    share = {
        "transfers": Money(600),
        "transfers_after": Money(650),
        "net": Money(7_200),
        "net_after": Money(7_200),
    }
    left = Remaining(job="H-101", customer="harbour-bakery", **share)
    without = Without(off=(off,), orders=(left,), purchase=Money(1_300), purchase_after=Money(650))
    run = make_run(shop=shop, plan=plan, held=("H-103",), problems=(problem,), without=without)
    return number(run, Snapshot(on=MONDAY))


def record_of(run: Run, documents: tuple[Document, ...] = DOCUMENTS) -> Document:
    """The record with two inputs."""
    inputs = {"week/h-102.yaml": "c" * 64, "week/h-101.yaml": "b" * 64}
    return run_record(run, documents, inputs, plugins=["plugins.group"], versions={"peelwright": "0.1.0"})


def parts(data: Any, path: str = "") -> dict[str, int]:
    """How often each path occurs in the record, positions in lists apart."""
    found: dict[str, int] = {}
    if isinstance(data, dict):
        inner = [(f"{path}.{name}", value) for name, value in data.items()]
    elif isinstance(data, list):
        inner = [(f"{path}[]", value) for value in data]
    else:
        inner = []
    for name, value in inner:
        found[name] = found.get(name, 0) + 1
        for deeper, times in parts(value, name).items():
            found[deeper] = found.get(deeper, 0) + times
    return found


def declared(schema: dict[str, Any], path: str = "") -> set[str]:
    """Every path that the schema names."""
    found = set()
    for name, part in schema.get("properties", {}).items():
        found |= {f"{path}.{name}", *declared(part, f"{path}.{name}")}
    if "items" in schema:
        found |= {f"{path}[]", *declared(schema["items"], f"{path}[]")}
    return found


def test_the_schema_describes_the_record() -> None:
    """A run and a quote keep to it; it is a good schema itself."""
    Draft202012Validator.check_schema(SCHEMA)
    check = Draft202012Validator(SCHEMA)
    quote = make_run(kind=RunKind.QUOTE)
    for run in (full_run(), quote):
        assert list(check.iter_errors(json.loads(record_of(run).content))) == []


def test_the_schema_names_nothing_that_is_not_written() -> None:
    """Whoever reads the schema may rely on it: each path occurs in a full record (no cuts on the plain sheets)."""
    written = set(parts(json.loads(record_of(full_run()).content)))
    unwritten = {path for path in declared(SCHEMA) - written if not path.startswith(".sheets[].cuts[]")}
    assert unwritten - {".schedule[].changes[]", ".tasks[].after[]"} == set()


def test_every_part_is_described() -> None:
    """Title and description stand at each property, here as in the other schemas."""
    assert {"title", "description"} <= set(SCHEMA)
    queue = [SCHEMA]
    while queue:
        part = queue.pop()
        for inner in (*part.get("properties", {}).values(), *part.get("$defs", {}).values()):
            assert "$ref" in inner or (inner["title"] and inner["description"].endswith(".")), inner
            queue.append(inner)
        if isinstance(part.get("items"), dict):
            queue.append(part["items"])


@pytest.mark.parametrize("change", [("orders", 0, "invoice"), ("documents", 0, "sha256"), ("sheets", 0, "cost")])
def test_the_schema_notices(change: tuple[str, int, str]) -> None:
    """A record that lacks something or has it in another shape is refused: the schema is no empty promise."""
    good = json.loads(record_of(full_run()).content)
    check = Draft202012Validator(SCHEMA)
    name, index, key = change
    wrong: tuple[object, ...] = (None, [], 1.5)
    for value in wrong:
        bad = copy.deepcopy(good)
        bad[name][index][key] = value
        assert not check.is_valid(bad)
    del good[name][index][key]
    assert not check.is_valid(good)


def test_what_it_says() -> None:
    """Numbers, totals, hashes: as in the run, with nothing of the machine or of the time."""
    record = record_of(full_run())
    data = json.loads(record.content)
    assert record.path == "run.json"
    assert [(order["job"], order["invoice"]) for order in data["orders"]] == [
        ("H-101", "2026-0001"),
        ("H-102", "2026-0002"),
    ]
    # Six tees at $12.00 and 5.5 % tax: 72.00 + 3.96.
    assert [order["bill"]["total"] for order in data["orders"]] == [7596, 7596]
    assert data["purchases"] == [
        {"supplier": "north-pier-prints", "number": "P2026-001"},
        {"supplier": "mill-lane-blanks", "number": "P2026-002"},
    ]
    assert [item["path"] for item in data["inputs"]] == ["week/h-101.yaml", "week/h-102.yaml"]
    assert [item["sha256"] for item in data["documents"]] == [digest(d.content) for d in DOCUMENTS]
    assert [(run["job"], run["order_line"], run["print"]) for run in data["schedule"]] == [
        ("H-101", 1, 1),
        ("H-102", 1, 1),
    ]
    assert data["problems"][0]["file"] == "week/h-103.yaml"


def test_the_shops_folder_leaves_no_trace() -> None:
    """The same shop on another machine gives the same bytes."""
    run = full_run()
    moved = evolve(run, shop=evolve(run.shop, root=Path("/elsewhere")))
    assert record_of(moved) == record_of(run)


def test_a_runs_folder_is_recognised(tmp_path: Path) -> None:
    """Papers are found by their record, even in a folder that was renamed; a quote's do not count."""
    run, quote = full_run(), make_run(kind=RunKind.QUOTE, label="quote-2026-W49")
    for made in (run, quote):
        deliver(tmp_path / made.label, [*DOCUMENTS, record_of(made)])
    (tmp_path / run.label).rename(tmp_path / "last week")
    (papers,) = papers_in(tmp_path)
    assert (papers.folder, papers.label, papers.invoices) == ("last week", "2026-W49", ("2026-0001", "2026-0002"))
