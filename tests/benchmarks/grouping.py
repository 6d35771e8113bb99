"""Measure the grouping of prints: `python -m tests.benchmarks.grouping --data FOLDER --seconds S`.

Prints one JSON line per instance and last one line of means per set. FOLDER holds any of `shop_weeks/`,
`cover_printing/` and `packing/` as JSON; weeks are invented with `--weeks 12,60,1000`, and with
a roll beside the sheets by `--rolls 30`. `--only NAME` keeps the instances whose name contains NAME.

The solver stops by iterations, never by time. So short runs first measure its pace and the budget is that many
iterations as should take S seconds, bound included; a safety stop at twice S is reported as `safety_stop`. The
referee judges every result: a fault ends the run.
"""

import argparse
import json
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from time import process_time
from typing import Any

from attrs import frozen

from plugins.group.baseline import one_layout_per_owner
from plugins.group.problem import Medium, Print, Problem, Sheet
from plugins.group.solve import solve
from tests.benchmarks.invented_weeks import invented_week
from tests.referee_sheets import faults_of_result

PILOT = 100
"""Iterations by which the pace is measured first."""
PARTS = (0.2, 0.6, 1)
"""Of the seconds: by each pilot's pace the next one takes a larger part, and by the last one's the search takes all.

A search begins slowly, and more than once, since no layout is known yet: few iterations have another pace than many.
"""


@frozen(kw_only=True)
class Instance:
    """A problem to measure; `best` is the stored best value, in the unit of the cost, if there is one.

    Where it is the search alone that is compared, no bound is wanted (`prove`).
    """

    name: str
    set: str
    problem: Problem
    owners: tuple[object, ...] = ()
    best: float | None = None
    stored_bound: float | None = None
    prove: bool = True


class Watch:
    """A stop rule that counts the time of a pilot, or ends after `limit` iterations; `late` seconds at most."""

    def __init__(self, limit: int, late: float) -> None:
        self.limit = limit
        self.begun: float | None = None
        self.now = 0.0
        self.late = process_time() + late
        self.stopped_by_time = False

    def __call__(self, done: int, _cost: int) -> float:
        """Say what share of the time is over."""
        self.now = now = process_time()
        self.begun = self.begun or now
        self.stopped_by_time = now > self.late and done < self.limit
        return 1.0 if self.stopped_by_time else done / self.limit


def measure(instance: Instance, seconds: float, seed: int) -> dict[str, Any]:
    """Solve one instance within the budget and have the result judged."""
    budget = PILOT
    for part in PARTS:
        budget = _iterations_in(part * seconds, instance, budget, seed)
    watch = Watch(budget, 2 * seconds)
    start = process_time()
    result = solve(instance.problem, watch, seed, prove=instance.prove)
    line: dict[str, Any] = {
        "name": instance.name,
        "set": instance.set,
        "cost": result.cost,
        "bound": result.bound,
        "to_bound": result.cost / result.bound if result.bound else None,
        "layouts": len(result.layouts),
        "seconds": round(process_time() - start, 2),
        "seconds_searching": round(watch.now - (watch.begun or watch.now), 2),
        "iterations": result.iterations,
        "seed": seed,
        "safety_stop": watch.stopped_by_time,
    }
    if instance.owners:
        simple = sum(one.cost for one in one_layout_per_owner(instance.problem, instance.owners))
        line["to_one_layout_per_customer"] = result.cost / simple
        line["to_each_copy_by_itself"] = result.cost / one_by_one(instance.problem)
    if instance.best:
        line["to_best"] = result.cost / instance.best
    if instance.stored_bound:
        line["to_stored_bound"] = result.cost / instance.stored_bound
    faults = faults_of_result(instance.problem, result)
    if faults:
        raise SystemExit(f"{instance.name}: {faults}")
    return line


def _iterations_in(seconds: float, instance: Instance, tried: int, seed: int) -> int:
    """How many iterations may take so long with all that is done beside them, by the pace of `tried`."""
    pilot = Watch(tried, seconds / 2)
    start = process_time()
    first = solve(instance.problem, pilot, seed, prove=instance.prove)
    searching = max(pilot.now - (pilot.begun or pilot.now), 1e-4)
    beside = process_time() - start - searching
    return max(PILOT, int((seconds - beside) / searching * max(first.iterations, 1)))


def one_by_one(problem: Problem) -> int:
    """A baseline by a packing library: every copy packed by itself, equal sheets merged, priced by the table."""
    import rectpack

    sheet = problem.media[0].sheets[0]
    packer = rectpack.newPacker(rotation=True)
    for i, item in enumerate(problem.prints):
        for _ in range(item.copies):
            packer.add_rect(item.width + sheet.gap, item.height + sheet.gap, i)
    packer.add_bin(
        sheet.width - 2 * sheet.margin + sheet.gap, sheet.height - 2 * sheet.margin + sheet.gap, float("inf")
    )
    packer.pack()
    equal = Counter(tuple(sorted(rect.rid for rect in one)) for one in packer)
    return sum(_cheapest(sheet, quantity) for quantity in equal.values())


def _cheapest(sheet: Sheet, needed: int) -> int:
    reached = max(start for start, _ in sheet.prices if start <= needed)
    return sheet.set_up + min(price * max(start, needed) for start, price in sheet.prices if start >= reached)


def say(line: dict[str, Any]) -> None:
    """Print one line at once."""
    sys.stdout.write(json.dumps(line) + "\n")
    sys.stdout.flush()


# --- the formats -----------------------------------------------------------------------------------------


def shop_weeks(folder: Path) -> Iterator[Instance]:
    """Weeks of prints in inches with a proven bound and what simple methods paid."""
    for week in json.loads((folder / "group_weeks.json").read_text())["instances"]:
        sheet = Sheet(
            width=_um(week["sheet"][0]),
            height=_um(week["sheet"][1]),
            margin=_um(week["margin"]),
            gap=_um(week["gap"]),
            prices=tuple((start, round(price * 100)) for start, price in week["breaks"]),
        )
        prints = tuple(Print(width=_um(p["w"]), height=_um(p["h"]), copies=p["demand"]) for p in week["prints"])
        known = week["reference"]
        for guillotine in (True, False):
            yield Instance(
                name=week["name"] + ("" if guillotine else "_free"),
                set="shop weeks" + ("" if guillotine else ", free layouts"),
                problem=Problem(prints=prints, media=(Medium(sheets=(sheet,)),), guillotine=guillotine),
                owners=tuple(p["customer"] for p in week["prints"]),
                stored_bound=known["lower_bound"] * 100,
                best=100 * min(known["first_prototype_free_10s"], known["first_prototype_guillotine_10s"]),
            )


def cover_printing(folder: Path) -> Iterator[Instance]:
    """Covers on plates of equal slots; templates of a fixed number; one layout in two dimensions."""
    for path in sorted(folder.glob("I*.json")):
        data = json.loads(path.read_text())
        sheet = _slots(
            data["slots_per_grid"], round(data["cost_per_impression"] * 100), data["cost_per_grid"] * 100
        )
        yield Instance(
            name=data["name"],
            set="cover printing",
            problem=Problem(prints=_covers(data["demands"]), media=(Medium(sheets=(sheet,)),)),
            best=data["best_known"]["cost"] * 100,
        )
    for data in json.loads((folder / "template_design.json").read_text())["instances"]:
        for templates in data["template_counts"]:
            yield Instance(
                name=f"{data['name']}_{templates}",
                set="template design",
                problem=Problem(
                    prints=_covers(data["demands"]),
                    media=(Medium(sheets=(_slots(data["slots"], 1, 0),)),),
                    most_layouts=templates,
                ),
                best=data.get("published_optimum", {}).get(str(templates)),
            )
    for data in json.loads((folder / "ganging_one_layout.json").read_text())["instances"]:
        sheet = Sheet(width=data["sheet"][0], height=data["sheet"][1], prices=((1, 1),))
        prints = tuple(Print(width=p["w"], height=p["h"], copies=p["demand"]) for p in data["items"])
        yield Instance(
            name=data["name"],
            set="one layout",
            problem=Problem(prints=prints, media=(Medium(sheets=(sheet,)),), guillotine=False, most_layouts=1),
            stored_bound=data["area_lb_sheets"],
        )


def packing(folder: Path) -> Iterator[Instance]:
    """Bins to be filled with rectangles that may turn. Best values are for groups of ten: see `means`."""
    for name, data in json.loads((folder / "class_1_to_5.json").read_text())["instances"].items():
        sheet = Sheet(width=data["bin"][0], height=data["bin"][1], prices=((1, 1),))
        prints = tuple(Print(width=w, height=h, copies=count) for w, h, count in data["items"])
        for guillotine in (False, True):
            yield Instance(
                name=name + ("_guillotine" if guillotine else ""),
                set=_group(name) + (" guillotine" if guillotine else ""),
                problem=Problem(prints=prints, media=(Medium(sheets=(sheet,)),), guillotine=guillotine),
                prove=False,
            )


def _group(name: str) -> str:
    """`cl01_020_03` -> `CLASS_1_20`."""
    bin_class, items, _ = name.split("_")
    return f"CLASS_{int(bin_class[2:])}_{int(items)}"


def _um(inches: float) -> int:
    return round(inches * 25_400)


def _slots(slots: int, price: int, set_up: float) -> Sheet:
    return Sheet(width=slots, height=1, prices=((1, price),), set_up=round(set_up))


def _covers(demands: list[int]) -> tuple[Print, ...]:
    return tuple(Print(width=1, height=1, copies=copies) for copies in demands)


FORMATS: dict[str, Callable[[Path], Iterator[Instance]]] = {
    "shop_weeks": shop_weeks,
    "cover_printing": cover_printing,
    "packing": packing,
}


def instances(folder: Path | None, weeks: list[int], rolls: list[int], seed: int) -> Iterator[Instance]:
    """Everything there is to measure."""
    for roll, sizes in ((False, weeks), (True, rolls)):
        for size in sizes:
            week = invented_week(size, seed, roll=roll)
            yield Instance(
                name=f"{'roll' if roll else 'week'}_{size}_{seed}",
                set="invented weeks" + (", with a roll" if roll else ""),
                problem=week.problem,
                owners=week.owners,
            )
    for name, read in FORMATS.items() if folder else ():
        assert folder is not None
        if (folder / name).is_dir():
            yield from read(folder / name)
        else:
            say({"absent": str(folder / name)})


def means(lines: list[dict[str, Any]], folder: Path | None) -> dict[str, Any]:
    """The mean of each ratio in each set; for bins their sum in each group against the best known sum."""
    table: dict[str, Any] = {}
    bins: list[tuple[int, int]] = []
    for name in dict.fromkeys(line["set"] for line in lines):
        own = [line for line in lines if line["set"] == name]
        ratios = {
            key: round(sum(line[key] for line in own) / len(own), 4)
            for key in own[0]
            if key.startswith("to_") and all(line.get(key) for line in own)
        }
        if folder and name.startswith("CLASS") and len(own) == 10:
            known = json.loads((folder / "packing" / "best_known_group_totals.json").read_text())["groups"]
            best = known[name.split()[0]]["rotation"]["best"]
            total = sum(line["cost"] for line in own)
            ratios |= {"bins": total, "best_bins": best}
            if " " not in name:
                bins.append((total, best))
        table[name] = {"instances": len(own), **ratios}
    if bins:
        table["all groups, bins to best"] = round(sum(a for a, _ in bins) / sum(b for _, b in bins), 5)
    return {"means": table}


def main() -> None:
    """Read the arguments, measure, print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--data", type=Path, help="folder with shop_weeks/, cover_printing/, packing/")
    parser.add_argument("--weeks", default="", help="sizes of invented weeks: 12,60,1000")
    parser.add_argument("--rolls", default="", help="sizes of invented weeks with a roll beside the sheets")
    parser.add_argument("--seconds", type=float, default=10)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="")
    given = parser.parse_args()
    weeks, rolls = ([int(size) for size in text.split(",") if size] for text in (given.weeks, given.rolls))
    lines = []
    for instance in instances(given.data, weeks, rolls, given.seed):
        if given.only in instance.name:
            lines.append(measure(instance, given.seconds, given.seed))
            say(lines[-1])
    say(means(lines, given.data))


if __name__ == "__main__":
    main()
