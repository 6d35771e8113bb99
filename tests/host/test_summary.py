"""What a run says at its end."""

import json
from datetime import timedelta
from typing import Any

import pytest
from attrs import evolve

from pipeline.ledger import Recorded
from pipeline.model.cost import Margin, MarginLevel
from pipeline.model.money import Money
from pipeline.model.run import Numbered, Run, RunKind
from pipeline.model.schedule import LateOrder
from pipeline.output import Delivery
from pipeline.problems import Problem
from pipeline.run import Report
from pipeline.summary import as_json, checked, summary
from tests.builders import MONDAY, make_order, make_shop
from tests.plans import START, make_run


def planned(jobs: int = 2, **changes: Any) -> Run:
    """A numbered run of so many orders, of $300 net at a cost of $180."""
    made = make_run([make_order(f"H-{number}") for number in range(101, 101 + jobs)])
    whole = Margin(level=MarginLevel.BATCH, name="", net=Money(30_000), cost=Money(18_000))
    bills = evolve(made.plan.bills, margins=(*made.plan.bills.margins, whole))
    plan = evolve(made.plan, bills=bills, **{k: v for k, v in changes.items() if k in ("sheets", "schedule")})
    numbers = tuple(Numbered(name=o.job, number=f"2026-{n:04}") for n, o in enumerate(made.orders, 1))
    rest = {k: v for k, v in changes.items() if k not in ("sheets", "schedule")}
    return evolve(made, **{"plan": plan, "invoices": numbers, **rest})


def report(run: Run | None = None, **changes: Any) -> Report:
    """A report of it."""
    given = {
        "kind": run.kind if run else RunKind.RUN,
        "shop": make_shop(),
        "problems": (),
        "sources": {},
        "orders": run.orders if run else (),
        "run": run,
        "folder": "out/2026-W49" if run else "",
        "delivery": Delivery(written=("index.html",), unchanged=()) if run else None,
    }
    return Report(**{**given, **changes})


KNOWN = Recorded(job="H-1", sha256="", run="2026-W48", invoice="2026-0001", issued=MONDAY)


def test_the_numbers_of_a_run() -> None:
    """Money with its currency and thousands; the margin as amount and share; the numbers given."""
    text = summary(report(planned()))
    assert text.startswith("Run 2026-W49, 2026-11-30: 2 orders, 12 pieces\n")
    assert "asked     300.00 USD net, without freight; cost 180.00 USD" in text
    # (300 - 180) / 300
    assert "margin    120.00 USD, 40 %" in text
    assert "invoices  2026-0001 to 2026-0002" in text
    assert "late      nothing" in text
    assert text.endswith("See it all: out/2026-W49/index.html")
    assert "out/2026-W49/suppliers/*/purchase-order.pdf" in text


def test_one_of_each_is_written_as_one() -> None:
    """`1 orders` and `2026-0001 to 2026-0001` look like a program's words."""
    text = summary(report(planned(1)))
    assert ": 1 order, 6 pieces" in text
    assert "invoice   2026-0001\n" in text


def test_nothing_to_buy() -> None:
    """`0 of 0 layouts` says nothing; and there are no sheets to send beside the purchase orders."""
    sheets = evolve(planned().plan.sheets, layouts=(), orders=())
    text = summary(report(planned(sheets=sheets)))
    assert "sheets    none to buy: the prints are in stock\n" in text
    assert "purchase-order.pdf\n" in text


def test_a_quote_says_that_nothing_was_recorded() -> None:
    """No number, no next steps on the floor."""
    run = planned(kind=RunKind.QUOTE, label="quote-2026-W49", invoices=())
    text = summary(report(run, folder="out/quote-2026-W49"))
    assert text.startswith("Quote quote-2026-W49")
    assert "Nothing was recorded. Quotes: out/quote-2026-W49" in text
    assert "invoice" not in text
    assert "Next:" not in text


@pytest.mark.parametrize(
    ("bound", "words"),
    [
        (0, ""),
        (7200, "; the best possible"),
        # 7200 / 6776 = 1.0626
        (6776, "; within 6.3 % of the best possible"),
    ],
)
def test_what_sharing_saved(bound: int, words: str) -> None:
    """What a layout for each order would have cost more, and how far from the best the plan can be at most."""
    sheets = evolve(planned().plan.sheets, simple_cost=Money(7200 + 1234), lower_bound=Money(bound))
    assert sheets.cost == 7200
    (line,) = [text for text in summary(report(planned(sheets=sheets))).splitlines() if "  sheets" in text]
    assert line.endswith(f"72.00 USD; 12.34 USD less than a layout for each order{words}")


def test_late_orders_are_named() -> None:
    """By how much, when they will be ready, and what they wait for."""
    made = planned()
    ready = START + timedelta(hours=2)
    late = LateOrder(job="H-102", due=ready - timedelta(minutes=90), ready=ready, waits_for="platen")
    text = summary(report(planned(schedule=evolve(made.plan.schedule, late=(late,)))))
    assert "LATE      H-102 by 1.5 h: ready Thu 3 Dec 2026, 10:00, waits for platen" in text
    assert "late      nothing" not in text


def test_held_orders_are_named_with_what_to_do() -> None:
    """They are what the user works on next."""
    text = summary(report(planned(), held=("H-9", "week/x.yaml")))
    assert "Held: H-9, week/x.yaml. Mend what is named above and run again." in text
    assert summary(report(held=("H-9",))).endswith("Nothing was planned.")


def test_where_no_order_is_gathered_what_to_do_is_said() -> None:
    """Only the watched folder can have none: job files are named."""
    assert "`peelwright watch` takes in" in summary(report())


def test_a_repeated_week_says_that_there_is_nothing_to_do() -> None:
    """And where its papers are, all of them."""
    text = summary(report(repeated=(KNOWN,), earlier=("out/2026-W48", "out/2026-W49")))
    assert text.splitlines() == [
        "Already invoiced, unchanged: H-1 as 2026-0001.",
        "Nothing new: nothing to do. Papers: out/2026-W48, out/2026-W49",
    ]


def test_restored_papers_are_named() -> None:
    """Whoever lost one sees that it is back; nothing is said to be left undone."""
    lost = "out/2026-W48/index.html"
    text = summary(report(repeated=(KNOWN,), earlier=("out/2026-W48",), restored=(lost,)))
    assert f"Missing or changed, and restored: {lost}" in text
    assert "nothing to do" not in text
    assert f"restored: {lost}" in summary(report(planned(), repeated=(KNOWN,), restored=(lost,)))


def test_held_beside_repeated_is_not_nothing_to_do() -> None:
    """There is something to mend."""
    text = summary(report(repeated=(KNOWN,), earlier=("out/2026-W48",), held=("H-2",)))
    assert "nothing to do" not in text
    assert "Held: H-2." in text


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"orders": (make_order(),)}, "1 order can go on."),
        ({"orders": (make_order("H-1"), make_order("H-2")), "held": ("H-3",)}, "2 orders can go on; held: H-3."),
        ({"held": ("H-3",)}, "0 orders can go on; held: H-3."),
        ({"repeated": (KNOWN,)}, "Already invoiced, unchanged: H-1 as 2026-0001.\nNothing new."),
    ],
)
def test_what_check_says(changes: dict[str, Any], words: str) -> None:
    """One line for each thing to know."""
    assert checked(report(**changes)) == words


def test_json_says_the_same() -> None:
    """For programs: plain data, every key always there."""
    problem = Problem(code="E203", message="wrong", job="H-9")
    told = as_json(report(planned(), held=("H-9",), repeated=(KNOWN,), restored=("a",), problems=(problem,)))
    json.dumps(told)
    assert told["orders"] == [
        {"job": "H-101", "invoice": "2026-0001"},
        {"job": "H-102", "invoice": "2026-0002"},
    ]
    assert (told["kind"], told["label"], told["folder"]) == ("run", "2026-W49", "out/2026-W49")
    assert (told["held"], told["restored"], told["written"]) == (["H-9"], ["a"], ["index.html"])
    assert told["repeated"] == [{"job": "H-1", "invoice": "2026-0001", "run": "2026-W48"}]
    assert set(as_json(report())) == set(told)
