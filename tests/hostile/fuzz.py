"""Good orders with bytes changed by chance: `python -m tests.hostile.fuzz --count 200000 --seed 2`.

Each is held against the door in one process whose memory may grow by 200 MB and no more. Whatever comes in, it says
what is wrong in known codes. Prints one JSON line; ends with 1 after anything else, or more than a second of CPU.
"""

import argparse
import json
import random
import resource
import sys
import tempfile
import time
from pathlib import Path

from pipeline.codes import CODES
from pipeline.report import render
from tests.hostile.door import open_door, orders

MEMORY = 200_000_000
SECONDS = 1.0

PIECES = (
    *(b"\x00", b"\xff\xfe", b"\xc3\x28", b"\xef\xbb\xbf", b"\xe2\x80\xae", b"\x85", b"\xf0\x9f\x8e\xa8"),
    *(b"\r", b"\t", b"\x1b[31m", b"&a ", b"*a", b"!!binary ", b"? ", b"- ", b": ", b"{", b"}", b"[" * 40),
    *(b"|\n", b">-\n", b"---\n", b"...\n", b"%YAML 9\n", b"9" * 400, b"-1", b"1e999", b".nan", b"0x7f", b"~"),
    *(b"yes", b"12:30:45", b"'", b'"', b"\\u0000", b"../", b"/dev/zero", b"#"),
)  # fmt: skip
"""What readers of text stumble over."""


def mutant(content: bytes, others: list[bytes], chance: random.Random) -> bytes:
    """The order with one to three changes: a byte, a piece, a part taken out, doubled, or another order's."""
    spoilt = bytearray(content)
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(len(spoilt) + 1)
        to = min(len(spoilt), at + chance.randint(1, 40))
        match chance.randrange(6):
            case 0:
                spoilt[at : at + 1] = bytes([chance.randrange(256)])
            case 1:
                spoilt[at:at] = chance.choice(PIECES)
            case 2:
                del spoilt[at:to]
            case 3:
                spoilt[at:at] = spoilt[at:to] * chance.choice((1, 1, 2, 500))
            case 4:
                other = chance.choice(others)
                begin = chance.randrange(len(other))
                spoilt[at:to] = other[begin : begin + chance.randint(1, 60)]
            case _:
                del spoilt[at:]
    return bytes(spoilt)


def main() -> int:
    """Try so many; 1 when anything was wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    chance = random.Random(options.seed)
    contents = list(orders().values())
    wrong: list[str] = []
    good, slowest = 0, 0.0
    with tempfile.TemporaryDirectory() as folder:
        door = open_door(Path(folder) / "shop")
        for content in contents:
            if any(problem.is_error for problem in door.ask(content)):
                raise AssertionError("the orders must be good before they are spoilt")
        _limit()
        for _ in range(options.count):
            content = mutant(chance.choice(contents), contents, chance)
            begun = time.process_time()
            try:
                problems = door.ask(content)
                render(problems, {}, colour=False)
                strange = {problem.code for problem in problems} - set(CODES)
                fault = f"unknown codes {strange}" if strange else ""
            except Exception as error:
                problems, fault = (), repr(error)
            seconds = time.process_time() - begun
            slowest = max(slowest, seconds)
            good += not fault and not any(problem.is_error for problem in problems)
            if fault or seconds > SECONDS:
                wrong.append(f"{fault or f'{seconds:.1f} s'}: {content[:2000]!r}")
    told = {"tried": options.count, "good": good, "wrong": wrong[:5], "slowest_seconds": round(slowest, 3)}
    sys.stdout.write(f"{json.dumps(told)}\n")
    return int(bool(wrong))


def _limit() -> None:
    """From here on so much more memory, or MemoryError."""
    used = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (used + MEMORY, resource.RLIM_INFINITY))


if __name__ == "__main__":
    sys.exit(main())
