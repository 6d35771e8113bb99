"""Unknown names come with the nearest known one; a job id stands for one order."""

import pytest

from pipeline.model.money import Money
from pipeline.problems import Origin
from pipeline.shop import GarmentSize
from tests.builders import make_garment, make_line, make_order, make_print, make_shop, make_transfer
from tests.validate.asking import ask, codes, only, with_line, with_print


@pytest.mark.parametrize(
    ("order", "code", "message", "label", "hint"),
    [
        (
            make_order(customer="harbor-bakery"),
            "E221",
            "unknown customer `harbor-bakery`",
            "expected one of: harbour-bakery, sailing-school",
            "did you mean `harbour-bakery`?",
        ),
        (
            with_line(garment="tea"),
            "E222",
            "unknown garment `tea`",
            "expected one of: tee",
            "did you mean `tee`?",
        ),
        (
            with_line(colour="nave"),
            "E223",
            "`tee` does not come in `nave`",
            "expected one of: navy, white",
            "did you mean `navy`?",
        ),
        (
            make_order(lines=(make_line({"XXL": 1}),)),
            "E224",
            "`tee` does not come in size `XXL`",
            "expected one of: L, M, S, XL",
            "did you mean `XL`?",
        ),
        (
            with_print(placement="left-chst"),
            "E225",
            "`tee` has no placement `left-chst`",
            "expected one of: back, left-chest",
            "did you mean `left-chest`?",
        ),
        (
            with_print(transfer="full colour"),
            "E226",
            "unknown transfer `full colour`",
            "expected one of: cheapest, full-colour",
            "did you mean `full-colour`?",
        ),
    ],
)
def test_an_unknown_name_is_told_with_the_nearest(order, code, message, label, hint) -> None:  # type: ignore[no-untyped-def]
    """One wrong name is one problem, and says what exists and what was probably meant."""
    problem = only(order)
    assert (problem.code, problem.message, problem.label, problem.hint) == (code, message, label, hint)
    assert problem.job == order.job


def test_a_size_by_its_other_name() -> None:
    """Spelling alone would lead from XXL to XL, and a box of shirts a size too small."""
    sizes = tuple(GarmentSize(name=name, cost=Money(250), weight=150) for name in ("L", "XL", "2XL", "3XL"))
    shop = make_shop(garments=(make_garment(sizes=sizes),))
    for written, meant in (("XXL", "2XL"), ("xxxl", "3XL")):
        (problem,) = ask(make_order(lines=(make_line({written: 1}),)), shop=shop)
        assert (problem.code, problem.hint) == ("E224", f"did you mean `{meant}`?")


def test_nothing_is_suggested_for_a_name_that_is_near_to_none() -> None:
    """A wild guess would lead astray."""
    assert only(make_order(customer="zzz")).hint == ""


def test_known_names_are_fine() -> None:
    """The usual order has nothing wrong with it, whatever transfer of the shop it names."""
    shop = make_shop(transfers=(make_transfer(), make_transfer("foil")))
    assert ask(make_order()) == ()
    assert ask(with_print(transfer="foil"), shop=shop) == ()


def test_each_unknown_name_is_told_at_its_place() -> None:
    """The caret stands under the wrong word, not under the order."""
    place = Origin(file="a.yaml", line=7, column=16, length=4)
    order = make_order(lines=(make_line(prints=(make_print(placement="cuff", marks={"placement": place}),)),))
    assert only(order).origin == place


def test_a_job_id_used_twice_holds_both_and_names_both_files() -> None:
    """Nobody can say which of the two is right, and an invoice number belongs to one job."""
    first = make_order(marks={"job": Origin(file="a.yaml", line=1, column=6)})
    second = make_order(marks={"job": Origin(file="b.yaml", line=3, column=6)}, sha256="c" * 64)
    problems = ask(first, second)
    assert [(each.code, each.origin.file, each.label) for each in problems] == [
        ("E227", "a.yaml", "also in b.yaml:3"),
        ("E227", "b.yaml", "also in a.yaml:1"),
    ]
    assert all("own id" in each.hint for each in problems)


def test_two_copies_of_one_file_are_called_that() -> None:
    """The usual cause is a file dropped in twice; then the remedy is another."""
    orders = [make_order(marks={"job": Origin(file=name, line=1, column=6)}) for name in ("a.yaml", "b.yaml")]
    assert {each.hint for each in ask(*orders)} == {"the files are the same to the letter: delete one"}


def test_different_job_ids_are_fine() -> None:
    """Two orders of one customer are the usual thing."""
    assert codes(make_order("A"), make_order("B")) == []
