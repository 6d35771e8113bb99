"""How good the schedules are: generated weeks, or published instances, as JSON lines.

    python -m tests.benchmarks.scheduling --presses 4 --runs 150 --load 0.95 --seeds 1-5 --seconds 60
    python -m tests.benchmarks.scheduling --data FOLDER --seconds 10

Seconds are of processor time, so that other work on the machine does not count. A search of steps that took the
given time here is repeated anywhere, with the same hash, by `--steps`, with the number that is printed.
"""

import argparse
import hashlib
import json
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from plugins.schedule.bound import least_tardiness
from plugins.schedule.dispatch import best_by_atcs, by_rule, due_first
from plugins.schedule.model import Problem, Result
from plugins.schedule.solve import solve
from plugins.schedule.stop import Stop, iterations
from plugins.schedule.tables import Tables
from tests.benchmarks.published import set_up_folder, weighted_tardiness
from tests.referee_placed import violations
from tests.weeks import generated_week


def seconds(limit: float) -> Stop:
    """Stop after so much processor time from now. For measuring only: steps differ from machine to machine."""
    begin = time.process_time()
    return lambda _done: (time.process_time() - begin) / limit


def one_week(problem: Problem, limit: float, steps: int | None, seed: int) -> dict[str, Any]:
    """The measurements of one generated week."""
    tables = Tables(problem)
    begin = time.process_time()
    atcs, edd = best_by_atcs(tables).total, by_rule(tables, due_first).total
    rules = time.process_time() - begin
    short = solve(problem, iterations(steps // 12) if steps else seconds(min(5, limit)), seed)
    result = solve(problem, iterations(steps) if steps else seconds(limit), seed)
    bound = least_tardiness(problem)
    return {
        "objective": result.total,
        "atcs": atcs,
        "edd": edd,
        "of_atcs": round(result.total / atcs, 4),
        "after_5_s": short.total,
        "5_s_of_full": round(short.total / result.total, 4),
        "tardiness": result.cost.tardiness,
        "bound": "gap unknown" if bound is None else bound,
        "changeover": result.cost.changeover,
        "violations": len(violations(problem, result)),
        "rules_seconds": round(rules, 2),
        "steps": result.iterations,
        "hash": digest(result),
    }


def digest(result: Result) -> str:
    """A short name for exactly this schedule."""
    return hashlib.sha256(repr(result.placed).encode()).hexdigest()[:16]


def published(folder: Path, limit: float) -> Iterator[dict[str, Any]]:
    """Published instances against their best known values, each within the limit: half of it is the search's."""
    instances = set_up_folder(folder / "set_ups")
    instances += weighted_tardiness(folder / "wt40.txt", folder / "wtopt40.txt")
    for name, problem, known in instances:
        begin = time.process_time()
        result = solve(problem, seconds(limit / 2), 1)
        yield {
            "instance": name,
            "objective": result.total,
            "best_known": known,
            "ratio": round(result.total / known, 4) if known else None,
            "seconds": round(time.process_time() - begin, 2),
            "violations": len(violations(problem, result)),
        }


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def main() -> int:
    """Print one JSON object per line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--presses", type=int, default=4)
    parser.add_argument("--runs", type=int, default=150)
    parser.add_argument("--load", type=float, default=0.95)
    parser.add_argument("--seeds", default="1-3", help="from-to")
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--steps", type=int, help="this many steps instead of seconds: the same everywhere")
    parser.add_argument("--data", type=Path, help="folder with published instances instead")
    given = parser.parse_args()
    if given.data is not None:
        if not (given.data / "set_ups").is_dir():
            _say(f"{given.data} holds no folder set_ups with published instances")
            return 1
        for line in published(given.data, given.seconds):
            _say(json.dumps(line))
        return 0
    first, _, last = given.seeds.partition("-")
    for seed in range(int(first), int(last or first) + 1):
        problem = generated_week(given.presses, given.runs, given.load, seed)
        found = one_week(problem, given.seconds, given.steps, seed=1)
        week = {"presses": given.presses, "runs": given.runs, "load": given.load, "seed": seed}
        _say(json.dumps({**week, **found}))
    return 0


if __name__ == "__main__":
    sys.exit(main())
