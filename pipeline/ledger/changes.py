"""A job that comes again, but changed: an invoice is for ever, so this is an error that says what differs."""

from collections.abc import Iterator, Mapping

from pipeline.canonical import Json
from pipeline.ledger.snapshot import Recorded
from pipeline.model.order import Order
from pipeline.problems import Problem

_MOST = 5
"""Differences that are named; a person who sees so many looks into the files."""


def changed_job(order: Order, known: Recorded, before: Json, now: Json) -> Problem:
    """The problem E601. `before` and `now` are the two job files as plain data."""
    found = list(differences(before, now))
    if len(found) > _MOST:
        found[_MOST:] = [f"and {len(found) - _MOST} more"]
    what = "; ".join(found) or "only how it is written, not what it says"
    given = f"{known.invoice} on {known.issued}"
    return Problem(
        code="E601",
        message=f"{order.job} was invoiced as {given}; its file has changed since: {what}",
        hint="give a new order a new job id, or put the old file back",
        origin=order.at("job"),
        job=order.job,
    )


def differences(before: Json, now: Json, where: str = "") -> Iterator[str]:
    """Where two pieces of plain data differ: `lines[1].pieces.XL: 4 -> 6`, lists counted from 1."""
    if isinstance(before, Mapping) and isinstance(now, Mapping):
        for name in dict.fromkeys((*before, *now)):
            inner = f"{where}.{name}" if where else name
            if name not in now:
                yield f"{inner} is gone"
            elif name not in before:
                yield f"{inner} is new"
            else:
                yield from differences(before[name], now[name], inner)
    elif isinstance(before, list | tuple) and isinstance(now, list | tuple):
        for number, (old, new) in enumerate(zip(before, now, strict=False), 1):
            yield from differences(old, new, f"{where}[{number}]")
        if len(before) != len(now):
            yield f"{where or 'the list'}: {len(before)} entries -> {len(now)}"
    elif before != now or type(before) is not type(now):
        yield f"{where or 'the file'}: {_shown(before)} -> {_shown(now)}"


def _shown(value: Json) -> str:
    if isinstance(value, Mapping | list | tuple):
        return "several values"
    return "nothing" if value is None else str(value)
