"""The journey of a batch: who goes on, who stays, what is recorded, and what a second run does."""

from pathlib import Path
from typing import Any

import pytest

from pipeline import run as journey
from pipeline.ledger import Ledger, LedgerMoved, Snapshot
from pipeline.model.run import RunKind
from pipeline.problems import StopRun
from pipeline.request import LEDGER_FILE
from pipeline.run import TRIES, check, run
from tests.host.folder import MONDAY, add_plugin, request, write


def known(shop: Path, *jobs: str) -> Snapshot:
    """What the shop's ledger says of these jobs."""
    with Ledger.open(shop / LEDGER_FILE, create=False) as ledger:
        return ledger.read(jobs, on=MONDAY)


def codes(report: journey.Report) -> list[str]:
    """The codes of what was found."""
    return [problem.code for problem in report.problems]


def test_a_batch_is_planned_numbered_recorded_and_delivered(shop: Path) -> None:
    """The whole of what `run` promises."""
    report = run(request(shop))
    assert report.run is not None
    assert report.run.label == "week"
    assert [item.number for item in report.run.invoices] == ["2026-0001", "2026-0002"]
    assert [item.job for item in known(shop, "H-101", "H-102").recorded] == ["H-101", "H-102"]
    assert (shop / "out/week/orders/h-102.txt").read_text("utf-8") == "2026-0002 H-102 6\n"
    assert (shop / "out/week/run.json").is_file()


def test_held_orders_stay_and_the_others_go_on(shop: Path) -> None:
    """One customer's mistake must not keep the week waiting; what cannot even be read is held by its file."""
    write(shop, "H-103").write_text("job: H-103\n", "utf-8")
    bad = write(shop, "H-104")
    bad.write_text(bad.read_text("utf-8").replace("tee", "teh"), "utf-8")
    report = run(request(shop))
    assert report.held == ("H-104", "week/h-103.yaml")
    assert [order.job for order in report.orders] == ["H-101", "H-102"]
    assert report.run is not None
    assert report.run.held == report.held
    assert {item.job for item in known(shop, "H-101", "H-102", "H-104").recorded} == {"H-101", "H-102"}


def test_strict_stops_at_one_held_order(shop: Path) -> None:
    """With --strict nothing is planned, numbered or written while an order is held."""
    write(shop, "H-103").write_text("nonsense", "utf-8")
    report = run(request(shop, strict=True))
    assert (report.run, report.held) == (None, ("week/h-103.yaml",))
    assert known(shop, "H-101").recorded == ()
    assert not (shop / "out").exists()


def test_the_same_again_changes_nothing(shop: Path) -> None:
    """An invoice is given once. The same bytes again are no new order, not even among new ones."""
    run(request(shop))
    again = run(request(shop))
    assert again.run is None
    assert [(item.job, item.invoice) for item in again.repeated] == [
        ("H-101", "2026-0001"),
        ("H-102", "2026-0002"),
    ]
    assert again.restored == ()
    write(shop, "H-100")
    third = run(request(shop))
    assert third.run is not None
    assert [(item.name, item.number) for item in third.run.invoices] == [("H-100", "2026-0003")]
    assert third.run.label == "week-2"


def test_a_changed_order_is_refused_and_said_before(shop: Path) -> None:
    """What was invoiced cannot change under the same id; `check` says so, too, so that nobody learns it late."""
    run(request(shop))
    write(shop, "H-102", pieces=7)
    write(shop, "H-103")
    assert codes(check(request(shop))) == ["E601"]
    report = run(request(shop))
    assert codes(report) == ["E601"]
    assert "lines[1].pieces.M: 6 -> 7" in report.problems[0].message
    assert report.held == ("H-102",)
    assert [order.job for order in report.orders] == ["H-103"]


def test_lost_papers_come_back_beside_new_work(shop: Path) -> None:
    """Whoever runs a week again expects its papers, whether or not an order came in meanwhile."""
    run(request(shop))
    lost = shop / "out/week/orders/h-101.txt"
    before = lost.read_bytes()
    for more in (False, True):
        lost.unlink()
        if more:
            write(shop, "H-103")
        report = run(request(shop))
        assert (report.run is not None) == more
        assert lost.read_bytes() == before
        assert [Path(path).name for path in report.restored] == ["h-101.txt"]


def test_papers_of_a_run_that_was_cut_off_are_delivered_by_the_next(
    shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Recorded, then the disk failed: the numbers stand, and the next run brings the papers."""

    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(journey, "deliver_run", fails)
        with pytest.raises(OSError, match="No space"):
            run(request(shop))
    assert not (shop / "out/week").exists()
    report = run(request(shop))
    assert report.run is None
    assert (shop / "out/week/orders/h-101.txt").is_file()


@pytest.mark.parametrize("recorded", [False, True])
def test_a_quote_records_nothing(shop: Path, recorded: bool) -> None:
    """A quote gives no number, makes no ledger, and leaves one that is there as it was."""
    ledger = shop / LEDGER_FILE
    if recorded:
        run(request(shop))
    before = ledger.read_bytes() if recorded else None
    report = run(request(shop, RunKind.QUOTE))
    assert report.run is not None
    assert (report.run.label, report.run.invoices, report.repeated) == ("quote-week", (), ())
    assert (shop / "out/quote-week/orders/h-101.txt").read_text("utf-8").startswith("quote")
    assert (ledger.read_bytes() if ledger.exists() else None) == before


def test_a_quote_made_again_shows_what_is_in_it_now(shop: Path) -> None:
    """An order that was taken out must not lie there still, to be sent by mistake; strangers' files stay."""
    run(request(shop, RunKind.QUOTE))
    folder = shop / "out" / "quote-week"
    (folder / "orders" / "letter.txt").write_text("Dear", "utf-8")
    (shop / "week" / "h-102.yaml").unlink()
    run(request(shop, RunKind.QUOTE))
    assert sorted(path.name for path in folder.rglob("*.*")) == ["h-101.txt", "letter.txt", "run.json"]


def test_a_run_and_a_quote_never_share_a_folder(shop: Path) -> None:
    """Even for a week that is called `quote-week`: a run's papers are never written over, a quote's make room."""
    write(shop, "H-201", week="quote-week")
    run(request(shop, RunKind.QUOTE))
    run(request(shop, week="quote-week"))
    folder = shop / "out" / "quote-week"
    assert sorted(path.name for path in folder.rglob("*.*")) == ["h-201.txt", "run.json"]
    again = run(request(shop, RunKind.QUOTE)).run
    assert again is not None
    assert again.label == "quote-week-2"
    assert run(request(shop, week="quote-week")).restored == ()


def test_a_paper_that_was_written_on_is_not_taken_away(shop: Path) -> None:
    """Somebody's remarks on a quote are not ours to delete."""
    run(request(shop, RunKind.QUOTE))
    paper = shop / "out" / "quote-week" / "orders" / "h-102.txt"
    paper.write_text("agreed by telephone", "utf-8")
    (shop / "week" / "h-102.yaml").unlink()
    run(request(shop, RunKind.QUOTE))
    assert paper.read_text("utf-8") == "agreed by telephone"


def test_check_writes_nothing(shop: Path) -> None:
    """Whoever checks an order must not find files afterwards."""
    before = sorted(shop.rglob("*"))
    report = check(request(shop))
    assert [order.job for order in report.orders] == ["H-101", "H-102"]
    assert sorted(shop.rglob("*")) == before


def test_another_run_in_between_makes_it_plan_again(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No lock is held while a batch is planned: whoever comes second plans anew, and no number is given twice."""
    write(shop, "H-900", week="other")
    plans: list[int] = []
    plan = journey.make_plan

    def slow(*arguments: Any) -> Any:
        plans.append(len(plans))
        if len(plans) == 1:
            run(request(shop, week="other"))
        return plan(*arguments)

    monkeypatch.setattr(journey, "make_plan", slow)
    report = run(request(shop))
    # Our first plan, the other run's, our second.
    assert len(plans) == 3
    assert report.run is not None
    assert [item.number for item in report.run.invoices] == ["2026-0002", "2026-0003"]
    assert (shop / "out/week/orders/h-101.txt").read_text("utf-8") == "2026-0002 H-101 6\n"
    # What the other left over was used: the second plan stands on what the ledger says now.
    assert [use.copies for use in report.run.plan.prints.stock_uses] == [1]


def test_it_gives_up_when_others_are_always_faster(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A bound on trying: then the user is told that the ledger is busy, and nothing was recorded."""
    tries: list[str] = []

    def moved(*_: object) -> None:
        tries.append("")
        raise LedgerMoved

    monkeypatch.setattr(Ledger, "record", moved)
    with pytest.raises(LedgerMoved):
        run(request(shop))
    assert len(tries) == TRIES
    assert known(shop, "H-101").recorded == ()


def test_a_day_before_the_last_stops_before_any_work(shop: Path) -> None:
    """Numbers follow the days of issue."""
    run(request(shop))
    write(shop, "H-103")
    with pytest.raises(StopRun) as stop:
        run(request(shop, day=MONDAY.replace(day=27)))
    assert [problem.code for problem in stop.value.problems] == ["E602"]


@pytest.mark.parametrize("kind", [RunKind.RUN, RunKind.QUOTE, None])
def test_numbers_that_do_not_tell_invoices_apart_stop_every_command(shop: Path, kind: RunKind | None) -> None:
    """A fault of shop.yaml is found by `check` and `quote`, not on the day of the first invoice; its line shows."""
    file = shop / "shop.yaml"
    file.write_text(file.read_text("utf-8") + 'numbering: {invoice: "I{year}", purchase: "{year}-{number}"}\n')
    with pytest.raises(StopRun) as stop:
        run(request(shop, kind)) if kind else check(request(shop))
    (problem,) = stop.value.problems
    assert problem.code == "E604"
    assert problem.origin.file in stop.value.sources


def test_papers_that_have_no_place_stop_before_numbers_are_given(shop: Path) -> None:
    """A number for papers that cannot be written would stand in the books with nothing to show."""
    (shop / "taken").write_text("", "utf-8")
    with pytest.raises(StopRun) as stop:
        run(request(shop, out=shop / "taken"))
    assert [problem.code for problem in stop.value.problems] == ["E622"]
    with pytest.raises(OSError, match="taken"):
        run(request(shop, out=shop / "taken" / "below"))
    assert known(shop, "H-101").recorded == ()


def test_old_papers_without_their_ledger_stop_it(shop: Path) -> None:
    """A ledger that was lost or put back would give numbers a second time."""
    run(request(shop))
    (shop / LEDGER_FILE).unlink()
    write(shop, "H-103")
    with pytest.raises(StopRun) as stop:
        run(request(shop))
    assert [problem.code for problem in stop.value.problems] == ["E603"]


def test_nothing_is_recorded_when_the_papers_fail(shop: Path) -> None:
    """A fault in the last stage leaves no number behind: all or nothing."""
    add_plugin(shop, "@hookimpl\ndef make_documents(run):\n    yield 1 / 0\n")
    with pytest.raises(Exception, match="ZeroDivisionError"):
        run(request(shop))
    assert known(shop, "H-101").recorded == ()
    assert not (shop / "out/week").exists()


def test_the_order_of_the_work(shop: Path) -> None:
    """What a user is told while it works: each part once, in order."""
    told: list[str] = []
    run(request(shop), told.append)
    assert told == ["reading", "checking", "grouping", "costing", "scheduling", "documents", "writing"]
