"""Taking an order off: the others' new prices are told, and nothing is recorded."""

import csv
import json
from io import StringIO
from pathlib import Path

import pytest

import plugins
from pipeline import cli
from pipeline.model.money import Money
from pipeline.model.run import RunKind
from pipeline.problems import StopRun
from pipeline.request import LEDGER_FILE
from pipeline.run import run
from pipeline.summary import as_json, summary
from pipeline.without import label_without
from tests.host.folder import request, write

REAL = plugins.STAGES
"""The stages themselves: the fixture puts plain ones in their place."""


def test_the_others_are_planned_again_and_compared(shop: Path) -> None:
    """The plain plan gives each its own sheets at 8.00: the one that is left pays as before, the other nothing."""
    report = run(request(shop, RunKind.QUOTE, without=("H-102",)))
    assert report.run is not None
    assert [order.job for order in report.run.orders] == ["H-101"]
    without = report.run.without
    assert without is not None
    # Seven sheets of 8.00 each: six pieces and one copy left over.
    assert [(o.job, o.paid, o.alone) for o in without.off] == [("H-102", 5_600, 5_600)]
    assert [(o.job, o.transfers, o.transfers_after, o.net_change) for o in without.orders] == [
        ("H-101", 5_600, 5_600, 0)
    ]
    assert (without.purchase, without.purchase_after) == (Money(11_200), Money(5_600))
    assert report.folder.endswith("quote-week-without-h-102")
    record = json.loads((shop / "out" / "quote-week-without-h-102" / "run.json").read_bytes())
    assert record["without"]["orders"] == as_json(report)["without"]["orders"]  # type: ignore[index]


def test_it_is_told_as_a_table(shop: Path) -> None:
    """Before, after and the change, with its sign; and what to do."""
    text = summary(run(request(shop, RunKind.QUOTE, without=("H-102",))))
    assert "Without H-102, in USD:" in text
    assert "H-101      56.00  56.00    0.00  54.00  54.00    0.00" in text
    assert "all transfers: 112.00, after 56.00" in text
    assert "H-102 paid 56.00 USD for its transfers; alone they cost 56.00 USD" in text
    assert "move their files out of the folder" in text


def test_nothing_is_recorded(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The command is `run`, and still there is no ledger, no number, and the folder's next run takes both."""
    monkeypatch.chdir(shop)
    assert cli.main(["run", "week", "--date", "2026-11-30", "--without", "H-102"]) == 0
    assert not (shop / LEDGER_FILE).exists()
    assert [path.name for path in (shop / "out").iterdir()] == ["quote-week-without-h-102"]
    after = run(request(shop))
    assert after.run is not None
    assert [item.number for item in after.run.invoices] == ["2026-0001", "2026-0002"]


def test_a_recorded_run_can_never_be_without_its_orders(shop: Path) -> None:
    """Whoever builds such a request is stopped before anything is read."""
    with pytest.raises(ValueError, match="never without"):
        request(shop, RunKind.RUN, without=("H-102",))


@pytest.mark.parametrize(
    ("jobs", "said"),
    [
        (("H-1O2",), ("there is no job `H-1O2`", "did you mean `H-102`?")),
        (("X",), ("there is no job `X`", "the jobs are H-101, H-102")),
        (("H-101", "H-102"), ("nothing to plan", "take off fewer")),
        (("H-103",), ("`H-103` is held", "without it as it is")),
        (("H-100",), ("`H-100` was invoiced", "invoice 2026-0001: its sheets are bought")),
    ],
)
def test_what_cannot_be_taken_off(shop: Path, jobs: tuple[str, ...], said: tuple[str, str]) -> None:
    """A misspelt, held or invoiced job, and everybody: what is wrong and what to do, and nothing is written."""
    write(shop, "H-100", week="earlier")
    run(request(shop, week="earlier"))
    (shop / "earlier/h-100.yaml").rename(shop / "week/h-100.yaml")
    held = write(shop, "H-103")
    held.write_text(held.read_text("utf-8").replace("tee", "teh"), "utf-8")
    with pytest.raises(StopRun) as caught:
        run(request(shop, RunKind.QUOTE, without=jobs))
    (problem,) = caught.value.problems
    assert problem.code == "E700"
    assert said[0] in problem.message
    assert said[1] in problem.hint
    assert [path.name for path in (shop / "out").iterdir()] == ["earlier"]


def test_the_label_names_the_jobs_or_counts_them() -> None:
    """A folder's name has an end; the order in which jobs are named does not matter."""
    assert label_without("week", ("H-2", "H-1", "H-2")) == "week-without-h-1-h-2"
    assert label_without("week", [f"H-{n}" for n in range(100)]) == "week-without-100-jobs"


@pytest.mark.untraced
def test_the_office_gets_a_paper_and_a_table(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By the real stages, at a price that follows the cost: two who share a set-up, and one of them goes."""
    monkeypatch.setattr(plugins, "STAGES", REAL)
    write(shop, "H-102", pieces=30)
    report = run(request(shop, RunKind.QUOTE, without=("H-102",)))
    folder = shop / "out" / "quote-week-without-h-102"
    assert (folder / "office/without.pdf").read_bytes().startswith(b"%PDF")
    (row,) = csv.DictReader(StringIO((folder / "tables/without.csv").read_text("utf-8"), newline=""))
    assert report.run is not None
    assert report.run.without is not None
    (left,) = report.run.without.orders
    assert left.transfers_change == left.transfers_after - left.transfers
    assert (row["job"], row["transfers_change"]) == ("H-101", f"{left.transfers_change / 100:.2f}")
    # Alone it pays what it was told that it would pay alone: the saving was no mere claim.
    (before,) = [s for s in run(request(shop, RunKind.QUOTE)).run.plan.costs.orders if s.job == "H-101"]  # type: ignore[union-attr]
    assert left.transfers_after == before.alone


def test_all_were_invoiced(shop: Path) -> None:
    """Said once: that nobody is left is no second mistake."""
    run(request(shop))
    with pytest.raises(StopRun) as caught:
        run(request(shop, RunKind.QUOTE, without=("H-101",)))
    (problem,) = caught.value.problems
    assert "`H-101` was invoiced" in problem.message
