"""Numbers of cartons: the Serial Shipping Container Code (SSCC) of the GS1 General Specifications.

Eighteen digits: an extension digit, the shop's GS1 Company Prefix, a serial reference, a check digit. The extension
digit is ours to use, so it is the serial's highest digit. Serials count all cartons of a shop's ledger from 1 and
never begin again: the ledger is what remembers the last one. (GS1 forbids to use a code anew within a year.)
"""

from collections.abc import Iterator

from pipeline.ledger.snapshot import Snapshot
from pipeline.model.run import CartonCode, Run
from pipeline.problems import Problem

_DIGITS = 17  # without the check digit


def check_digit(digits: str) -> int:
    """The check digit after these digits: weights 3, 1, 3, ... from the right, up to the next ten."""
    total = sum(int(digit) * (1 if place % 2 else 3) for place, digit in enumerate(reversed(digits)))
    return -total % 10


def sscc(prefix: str, serial: int) -> str:
    """The code of the carton with this serial, from 0. Raises ValueError when it has more digits than there are."""
    if serial >= capacity(prefix):
        raise ValueError(f"the prefix {prefix} leaves room for {capacity(prefix)} cartons")
    figures = f"{serial:0{_DIGITS - len(prefix)}}"
    digits = f"{figures[0]}{prefix}{figures[1:]}"
    return f"{digits}{check_digit(digits)}"


def capacity(prefix: str) -> int:
    """How many serials a company prefix leaves room for."""
    return int(10 ** (_DIGITS - len(prefix)))


def coded(run: Run, snapshot: Snapshot) -> Iterator[CartonCode]:
    """The next codes for the run's cartons, in their order; none in a shop without a prefix."""
    prefix = run.shop.packing.gs1_prefix
    if prefix:
        for serial, carton in enumerate(run.plan.packing.cartons, snapshot.next_carton):
            yield CartonCode(job=carton.job, carton=carton.number, sscc=sscc(prefix, serial))


def carton_problems(run: Run, snapshot: Snapshot) -> tuple[Problem, ...]:
    """Whether the prefix has no code left for the run's cartons (E619)."""
    packing = run.shop.packing
    if not packing.gs1_prefix or snapshot.next_carton + len(run.plan.packing.cartons) <= capacity(
        packing.gs1_prefix
    ):
        return ()
    return (
        Problem(
            code="E619",
            message=f"the GS1 Company Prefix {packing.gs1_prefix} has no code left for so many cartons",
            hint="license a further prefix, or leave `gs1_prefix` out for plain labels",
            origin=packing.at("gs1_prefix"),
        ),
    )
