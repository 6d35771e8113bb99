"""Invented weeks of press work, to measure the scheduler on: reproducible from a seed, published in DEVELOPERS.md.

A day is 8:00 to 17:00 with an hour's break at noon and two short ones; a week is five days, and what is left over
goes on on the next day, without a weekend. Presses take platens of six kinds, some of them scarce; twelve recipes
of temperature and pressure; four runs in ten are peeled cold; one garment in eight has a second location, pressed
after the first has cooled. Deliveries come on the first two days, orders are due at any quarter of an hour of work
from the second day on. Pieces are scaled so that pressing and one typical change-over per run fill the share
`load` of the presses' week.
"""

from __future__ import annotations

import random

from plugins.schedule.model import Operator, Option, Press, Problem, Run, Span, Tool

HOUR = 3600
PLATENS = ("16x20", "16x16", "6x6", "4x16", "cap", "bag")
CHANGE = {"platen": 600, "pad": 120, "pressure": 60, "heating": 10, "cooling": 24, "job": 180}
"""Seconds to change platen, pad and pressure, per degree C up and down, and to learn the job."""


def working_days(days: int = 5) -> tuple[Span, ...]:
    """Seconds from midnight before the first day: 8-10, 10:15-12, 13-15, 15:15-17 on each day."""
    return tuple(
        (int((day * 24 + begin) * HOUR), int((day * 24 + end) * HOUR))
        for day in range(days)
        for begin, end in ((8, 10), (10.25, 12), (13, 15), (15.25, 17))
    )


def generated_week(presses: int, runs: int, load: float, seed: int) -> Problem:
    """A week for so many presses, of so many runs, that fills the share `load` of the week."""
    draw = random.Random(f"week {presses} {runs} {load} {seed}")
    week = working_days()
    calendar = working_days(5 * (4 + 2 * presses + runs // 30))
    # settings: (platen, pad, degrees C, pressure)
    recipes = [(draw.choice((132, 138, 143, 149, 155, 160, 166, 177)), draw.randrange(3)) for _ in range(12)]
    settings = sorted(
        {
            (draw.choices(range(6), (8, 4, 3, 2, 2, 1))[0], int(draw.random() < 0.15), *draw.choice(recipes))
            for _ in range(min(40, 6 + runs // 4))
        }
    )
    cold = len(settings)
    by_hand = [index % 3 == 2 for index in range(presses)]
    floor = tuple(
        Press(
            calendar=calendar,
            setting=cold,
            changeover=_changeover([*settings, (0, 0, 20, 1)], quick=1.0 - 0.2 * (index % 2)),
            opens_itself=not by_hand[index],
        )
        for index in range(presses)
    )
    made = []
    for _ in range(runs):
        setting = draw.randrange(len(settings))
        able = [press for press in range(presses) if draw.random() < 0.8] or [draw.randrange(presses)]
        pieces = int(draw.triangular(6, 120, 18))
        cycle = draw.randint(32, 55)
        cold_peel = draw.random() < 0.4
        made.append((setting, able, pieces * cycle, cold_peel))
    capacity = presses * sum(end - begin for begin, end in week)
    pressed = sum(1.03 * work for _, _, work, _ in made)
    scale = max(0.05, (load * capacity - runs * (CHANGE["job"] + 330)) / pressed)
    jobs: list[Run] = []
    for index, (setting, able, work, cold_peel) in enumerate(made):
        second = index > 0 and not jobs[-1].after and draw.random() < 0.125
        release = 0 if draw.random() < 0.5 else draw.choice((10, 14, 24 + 10, 24 + 14)) * HOUR
        begin, end = draw.choice(week[4 * draw.choices(range(1, 5), (1, 2, 3, 4))[0] :][:4])
        due = draw.randrange(begin, end, HOUR // 4) + HOUR // 4
        pressing = CHANGE["job"] + max(60, int(work * scale))
        if second:
            release, due = jobs[-1].release, jobs[-1].due
        jobs.append(
            Run(
                options=tuple(
                    Option(press=press, setting=setting, work=pressing + by_hand[press] * pressing // 10)
                    for press in able
                ),
                release=release,
                due=due,
                weight=draw.choices((1, 2, 4), (6, 3, 1))[0],
                after=(index - 1,) if second else (),
                cool=draw.choice((45, 60, 120)),
                peel=draw.choice((60, 120, 180)) if cold_peel else 0,
                rack=draw.choice((4, 6, 8)) if cold_peel else 0,
            )
        )
    copies = (presses, max(1, presses // 2), max(1, presses // 3), *(1 + presses // 5,) * 3)
    return Problem(
        runs=tuple(jobs),
        presses=floor,
        operators=tuple(Operator(calendar=calendar, places=2) for _ in range(max(1, (presses * 3 + 3) // 4))),
        tools=tuple(Tool(copies=count, mount=CHANGE["platen"]) for count in copies),
        tools_of=(*((platen,) for platen, *_ in settings), ()),
        rack=12 * max(1, (presses * 3 + 3) // 4),
    )


def _changeover(settings: list[tuple[int, ...]], quick: float) -> tuple[tuple[int, ...], ...]:
    def change(before: tuple[int, ...], after: tuple[int, ...]) -> int:
        platen, pad, _, pressure = (new != old for new, old in zip(after, before, strict=True))
        degrees = after[2] - before[2]
        return int(
            quick
            * (
                platen * CHANGE["platen"]
                + pad * CHANGE["pad"]
                + pressure * CHANGE["pressure"]
                + max(degrees, 0) * CHANGE["heating"]
                + max(-degrees, 0) * CHANGE["cooling"]
            )
        )

    return tuple(tuple(change(before, after) for after in settings) for before in settings)
