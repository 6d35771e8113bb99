"""Generated weeks as files on a disk, of any size, the same for the same size and seed.

The shop is the sample shop with its floor and its customers multiplied, so that a week of ten times the orders is
still one week: presses, platens, pads and operators for each thirty orders. Each order is one of the sample week's
with other pieces, another customer and another day.
"""

import random
import shutil
from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import yaml

from pipeline.source import parse

SAMPLE = Path(__file__).parents[1] / "sample_jobs"
SAMPLE_WEEK = "2026-W49"
DUE = date(2026, 12, 7)
"""The first day on which everything can be in the customer's hands, by carrier."""

ORDERS_PER_FLOOR = 30
ORDERS_PER_CUSTOMER = 3


def write_week(folder: Path, orders: int, seed: int, options: Mapping[str, Any]) -> Path:
    """Write a shop of so many orders into `folder`, its stages set by `options`; return the folder of the week."""
    draw = random.Random(f"week {orders} {seed}")
    for part in ("art", "garments", "transfers"):
        shutil.copytree(SAMPLE / part, folder / part)
    floors = -(-orders // ORDERS_PER_FLOOR)
    shop = _read(SAMPLE / "shop.yaml")
    for tools in ("platens", "pads"):
        shop[tools] = [{**tool, "count": tool["count"] * floors} for tool in shop[tools]]
    shop["operators"] = [
        {**who, "name": f"{who['name']} {floor}"} for floor in range(1, floors + 1) for who in shop["operators"]
    ]
    shop["options"] = options
    _write(folder / "shop.yaml", shop)
    _presses(folder, floors)
    customers = _customers(folder, -(-orders // ORDERS_PER_CUSTOMER))
    week = folder / SAMPLE_WEEK
    _write(week / "week.yaml", _read(SAMPLE / SAMPLE_WEEK / "week.yaml"))
    for number, order in enumerate(_orders(draw, orders, customers), 1):
        _write(week / f"j-{number:05}.yaml", {"job": f"J-{number:05}", **order})
    return week


def _orders(draw: random.Random, orders: int, customers: list[str]) -> Iterator[dict[str, Any]]:
    patterns = [_read(path) for path in sorted((SAMPLE / SAMPLE_WEEK).glob("w49-*.yaml"))]
    for _ in range(orders):
        pattern = draw.choice(patterns)
        lines = [
            {**line, "pieces": {size: draw.randint(1, 24) for size in line["pieces"]}}
            for line in pattern["lines"]
        ]
        yield {
            **{key: value for key, value in pattern.items() if key != "job"},
            "customer": draw.choice(customers),
            "due": DUE + timedelta(days=draw.randint(0, 4)),
            "lines": lines,
        }


def _presses(folder: Path, floors: int) -> None:
    for path in sorted((SAMPLE / "presses").glob("*.yaml")):
        for floor in range(1, floors + 1):
            press = _read(path)
            _write(
                folder / "presses" / f"{path.stem}-{floor}.yaml", {**press, "title": f"{press['title']}, {floor}"}
            )


def _customers(folder: Path, wanted: int) -> list[str]:
    """So many customers like the sample's, one after the other; their names."""
    patterns = sorted((SAMPLE / "customers").glob("*.yaml"))
    names = []
    for number in range(wanted):
        path = patterns[number % len(patterns)]
        names.append(f"{path.stem}-{number + 1}")
        # Without certificates: one of them has expired, and would hold every order.
        customer = {key: value for key, value in _read(path).items() if key != "exemption"}
        _write(folder / "customers" / f"{names[-1]}.yaml", customer)
    return names


def _read(path: Path) -> dict[str, Any]:
    # Not yaml.safe_load: to YAML 1.1, the key `on` of a signature is a truth value.
    source = parse(path.read_bytes(), path.name).value
    assert source is not None
    data: dict[str, Any] = source.data
    return data


def _write(path: Path, data: Mapping[str, Any]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(yaml.safe_dump(dict(data), allow_unicode=True, sort_keys=False), encoding="utf-8")
