"""Published scheduling instances, read from a folder into the scheduler's problem."""

from pathlib import Path

from plugins.schedule.model import Option, Press, Problem, Run, Weights

ALWAYS = ((0, 1 << 40),)


def set_up_instance(text: str) -> Problem:
    """Unrelated machines with set-ups by sequence and machine, makespan (format of Vallada and Ruiz 2011).

    First line `jobs machines`; a line; per job pairs `machine time`; `SSD`; per machine `Mk` and a matrix of set-ups
    (row = job before). Nothing is set up before a machine's first job.
    """
    lines = text.split("\n")
    jobs, machines = map(int, lines[0].split()[:2])
    times = [list(map(int, line.split()))[1::2] for line in lines[2 : 2 + jobs]]
    at = 2 + jobs + 1
    presses = []
    for _ in range(machines):
        rows = [tuple(map(int, line.split())) for line in lines[at + 1 : at + 1 + jobs]]
        table = (*((*row, 0) for row in rows), (0,) * (jobs + 1))
        presses.append(Press(calendar=ALWAYS, setting=jobs, changeover=table))
        at += 1 + jobs
    return Problem(
        runs=tuple(
            Run(
                options=tuple(Option(press=m, setting=job, work=times[job][m]) for m in range(machines)),
                due=1 << 40,
            )
            for job in range(jobs)
        ),
        presses=tuple(presses),
        weights=Weights(tardiness=0, changeover=0, finish=1),
    )


def set_up_folder(folder: Path) -> list[tuple[str, Problem, int]]:
    """All instances of the folder with their best known makespans."""
    known = dict(row.split(",")[0:6:5] for row in (folder / "best_known.csv").read_text().splitlines()[1:])
    return [
        (path.name, set_up_instance(path.read_text()), int(known[path.name]))
        for path in sorted(folder.glob("I_*.txt"))
    ]


def weighted_tardiness(numbers: Path, optima: Path, jobs: int = 40) -> list[tuple[str, Problem, int]]:
    """OR-Library's single-machine instances: times, weights and due dates in a row, optima beside them."""
    tokens = [int(token) for token in numbers.read_text().split()]
    best = [int(token) for token in optima.read_text().split()]
    found = []
    for index, optimum in enumerate(best):
        row = tokens[index * 3 * jobs : (index + 1) * 3 * jobs]
        times, weights, dues = row[:jobs], row[jobs : 2 * jobs], row[2 * jobs :]
        runs = tuple(
            Run(options=(Option(press=0, setting=0, work=time),), due=due, weight=weight)
            for time, weight, due in zip(times, weights, dues, strict=True)
        )
        press = Press(calendar=ALWAYS, setting=0, changeover=((0,),))
        problem = Problem(runs=runs, presses=(press,), weights=Weights(tardiness=1, changeover=0))
        found.append((f"wt40-{index + 1}", problem, optimum))
    return found
