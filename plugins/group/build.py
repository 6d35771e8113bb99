"""Complete a plan: add copies to spare room, raise quantities, and design new layouts until nothing is short.

A new layout is the best of a few drawn at random. It is judged by the worth of the copies that it brings and
that are still needed, per unit of cost, at the quantity where that is highest.
"""

from random import Random

from plugins.group.packer import Packing
from plugins.group.plan import Board, Plan, Run, make_run

CANDIDATES = 10
"""Layouts drawn before the best is taken."""
CROWD = 40
"""Most prints that compete for a place on one layout."""
REPACKS = 2
"""Failed attempts to lay a sheet anew before only the room that is left is used."""


class Builder:
    """Completes plans on one board."""

    def __init__(self, board: Board, rng: Random) -> None:
        self.board = board
        self.rng = rng
        self.worth = board.worth

    def complete(self, plan: Plan, banned: frozenset[tuple[int, int]] = frozenset()) -> None:
        """Make `plan` cover everything. No print goes on a medium if (print, medium) is in `banned`."""
        short = plan.short()
        self.rng.shuffle(short)
        for i in short:
            if self.rng.random() < 0.7:
                self._squeeze_in(plan, i)
        while True:
            short = plan.short()
            if not short:
                break
            self._take_best_step(plan, short, banned)
        settle(plan)

    def _squeeze_in(self, plan: Plan, i: int) -> None:
        """Cover the rest of print `i` by room on layouts that are there, if that can be done for nothing."""
        board = self.board
        order = list(range(len(plan.runs)))
        self.rng.shuffle(order)
        for position in order:
            missing = board.need[i] - plan.cover[i]
            if missing <= 0:
                return
            run = plan.runs[position]
            if not self._may_join(plan, i, run):
                continue
            copies = -(-missing // run.quantity)
            if copies > 3 or copies * board.stocks[run.stock].packer.areas[i] > run.packing.room:
                continue
            packing = self._with_copies(run, i, copies)
            if packing is not None:
                joined = make_run(board, run.stock, packing, run.quantity)
                if joined.cost <= run.cost:
                    plan.replace(position, joined)

    def _with_copies(self, run: Run, i: int, copies: int) -> Packing | None:
        packing = run.packing
        for _ in range(copies):
            more = self.board.stocks[run.stock].packer.extend(packing, i)
            if more is None:
                return None
            packing = more
        return packing

    def _may_join(self, plan: Plan, i: int, run: Run) -> bool:
        board = self.board
        return (
            board.company[i] == board.company[run.counts[0][0]]
            and board.first[run.stock] in board.stocks_of[i]
            and plan.medium[i] in (-1, board.stocks[run.stock].medium)
        )

    def _take_best_step(self, plan: Plan, short: list[int], banned: frozenset[tuple[int, int]]) -> None:
        """Raise the quantity of a run or add a new one, whichever brings most for its cost."""
        board = self.board
        rest = {i: board.need[i] - plan.cover[i] for i in short}
        best_score, best_position = -1.0, -1
        best_run: Run | None = None
        for position, run in enumerate(plan.runs):
            for i, count in run.counts:
                if i in rest:
                    quantity, cost = board.stocks[run.stock].table.best(run.quantity - (-rest[i] // count))
                    score = self._worth(run.counts, quantity - run.quantity, rest) / max(cost - run.cost, 0.01)
                    score *= 0.8 + 0.4 * self.rng.random()
                    if score > best_score:
                        best_score, best_position = score, position
                        best_run = run._replace(quantity=quantity, cost=cost)
        most = board.problem.most_layouts
        if most is not None and len(plan.runs) == most - 1:
            self._add_last(plan, short, rest)
            return
        full = most is not None and len(plan.runs) >= most and best_run is not None
        for _ in range(0 if full else CANDIDATES):
            score, drawn = self._draw(plan, rest, banned)
            if score > best_score:
                best_score, best_position, best_run = score, -1, drawn
        if best_run is None:
            raise AssertionError("a print that fits on a sheet can always have a layout of its own")
        if best_position >= 0:
            plan.replace(best_position, best_run)
        else:
            plan.add(best_run)

    def _add_last(self, plan: Plan, short: list[int], rest: dict[int, int]) -> None:
        """Add the last layout that is allowed: all that is short goes on it, as far as there is room."""
        stock = self.rng.choice(self.board.stocks_of[self._pick_seed(rest)])
        medium = self.board.stocks[stock].medium
        fitting = [i for i in short if stock in self.board.stocks_of[i] and plan.medium[i] in (-1, medium)]
        if fitting:
            plan.add(even_run(self.board, stock, fitting, rest))

    def _worth(self, counts: tuple[tuple[int, int], ...], quantity: int, rest: dict[int, int]) -> float:
        return sum(self.worth[i] * min(count * quantity, rest.get(i, 0)) for i, count in counts)

    def _draw(self, plan: Plan, rest: dict[int, int], banned: frozenset[tuple[int, int]]) -> tuple[float, Run]:
        """Design one layout at random around one print; return its score and the run."""
        board, rng = self.board, self.rng
        seed = self._pick_seed(rest)
        stocks = [k for k in board.stocks_of[seed] if self._allowed(plan, seed, board.stocks[k].medium, banned)]
        stocks = stocks or board.stocks_of[seed]
        stock = rng.choice(stocks)
        medium = board.stocks[stock].medium
        guess = -(-rest[seed] // rng.choice((1, 1, 1, 2, 2, 3, 4, 6)))
        guess = board.stocks[stock].table.best(guess)[0]
        crowd = [
            i
            for i in rest
            if i != seed
            and board.company[i] == board.company[seed]
            and stock in board.stocks_of[i]
            and self._allowed(plan, i, medium, banned)
        ]
        if len(crowd) > CROWD:
            crowd = rng.sample(crowd, CROWD)
        fill = self._fill_piece if board.stocks[stock].roll else self._fill
        packing = fill(stock, seed, crowd, guess, rest)
        return self._at_best_quantity(plan, stock, packing, rest)

    def _pick_seed(self, rest: dict[int, int]) -> int:
        """Pick a print to design a layout around: those with much still to do come first."""
        some = self.rng.choices(list(rest), k=3)
        return max(some, key=lambda i: (self.worth[i] * rest[i], i))

    def _allowed(self, plan: Plan, i: int, medium: int, banned: frozenset[tuple[int, int]]) -> bool:
        if plan.medium[i] >= 0:
            return plan.medium[i] == medium
        return (i, medium) not in banned

    def _fill(self, stock: int, seed: int, crowd: list[int], quantity: int, rest: dict[int, int]) -> Packing:
        """Lay the seed and then as many of the crowd as there is room for, as if `quantity` were bought."""
        rng, packer = self.rng, self.board.stocks[stock].packer
        areas = packer.areas
        by_size = rng.random() < 0.6
        noise = rng.choice((0.1, 0.4, 1.0))

        def appeal(i: int) -> float:
            use = min(1.0, rest[i] / quantity)
            copies = min(-(-rest[i] // quantity), 4)
            density = self.worth[i] / areas[i] * min(use, rest[i] / (copies * quantity))
            return density * (1 + noise * rng.random()) * (areas[i] if by_size else 1)

        packing = packer.empty
        misses = 0
        for i in (seed, *sorted(crowd, key=appeal, reverse=True)):
            copies = 0
            while copies * quantity < rest[i] and areas[i] <= packing.room:
                more = packer.extend(packing, i, thorough=misses < REPACKS)
                if more is None:
                    misses += 1
                    break
                packing = more
                copies += 1
        return packing

    def _fill_piece(
        self, stock: int, seed: int, crowd: list[int], quantity: int, rest: dict[int, int]
    ) -> Packing:
        """Lay the seed and then as many of the crowd as make a piece of a length picked at random.

        Room on a roll is not there to be filled, it is bought: no copies beyond the need are laid.
        """
        rng, packer = self.rng, self.board.stocks[stock].packer
        quantity = rng.choice((1, 1, 1, quantity, rng.randint(1, max(1, rest[seed]))))
        room = packer.empty.room * rng.choice((1.0, 1.0, rng.random())) - packer.areas[seed]
        more: list[int] = []
        rng.shuffle(crowd)
        for i in (seed, *crowd):
            copies = min(rest[i] // quantity - (i == seed), int(room // packer.areas[i]))
            if copies > 0:
                more += [i] * copies
                room -= copies * packer.areas[i]
        while (packing := packer.draw((seed, *more), rng)) is None:
            more = rng.sample(more, len(more) * 9 // 10)
        return packing

    def _at_best_quantity(
        self, plan: Plan, stock: int, packing: Packing, rest: dict[int, int]
    ) -> tuple[float, Run]:
        """Return the run of this packing at the quantity that brings most for its cost."""
        board = self.board
        medium = board.stocks[stock].medium
        run = make_run(board, stock, packing, 1)
        table = board.stocks[run.stock].table
        extra = 0 if plan.runs_of_medium[medium] else board.problem.media[medium].order_charge
        for i, _ in run.counts:
            if plan.medium[i] < 0:
                extra += board.extra[i][medium] - min(board.extra[i].values())
        best = (-1.0, 0, 0)
        for needed in {*(-(-rest[i] // count) for i, count in run.counts), *table.steps()}:
            quantity, cost = table.best(needed)
            score = self._worth(run.counts, quantity, rest) / max(cost + extra, 0.01)
            best = max(best, (score, quantity, cost))
        if board.stocks[stock].roll:
            return best[0], make_run(board, stock, packing, best[1])
        return best[0], run._replace(quantity=best[1], cost=best[2])


def even_run(board: Board, stock: int, prints: list[int], rest: dict[int, int]) -> Run:
    """Lay one copy of as many prints as fit, the largest first, then copies of whichever needs most sheets.

    Of all these layouts, return the run that is cheapest for `rest` of each print on it.
    """
    packer = board.stocks[stock].packer
    packing = packer.empty
    for i in sorted(prints, key=lambda i: (-packer.areas[i], i)):
        packing = packer.extend(packing, i) or packing
    best: Run | None = None
    more: Packing | None = packing
    while more is not None:
        run = make_run(board, stock, more, 1)
        needed, most_wanted = max((-(-rest[i] // count), i) for i, count in run.counts)
        run = make_run(board, stock, more, needed)
        if best is None or run.cost < best.cost:
            best = run
        more = packer.extend(more, most_wanted)
    if best is None:
        raise AssertionError("a print that fits on a sheet was laid on it")
    return best


def merge(plan: Plan) -> None:
    """Make one run of runs of the same prints on the same kind of sheet: together they cost no more."""
    groups: dict[tuple[int, tuple[tuple[int, int], ...]], list[Run]] = {}
    for run in plan.runs:
        groups.setdefault((run.stock, run.counts), []).append(run)
    if len(groups) == len(plan.runs):
        return
    while plan.runs:
        plan.remove(len(plan.runs) - 1)
    for (stock, _), runs in groups.items():
        quantity, cost = plan.board.stocks[stock].table.best(sum(run.quantity for run in runs))
        plan.add(runs[0]._replace(quantity=quantity, cost=cost))


def settle(plan: Plan) -> None:
    """Lower the quantities as far as everything stays covered, and drop runs that are not needed."""
    merge(plan)
    board = plan.board
    changed = True
    while changed:
        changed = False
        best_gain, best_position, best_run = 0, -1, None
        for position, run in enumerate(plan.runs):
            least = 0
            for i, count in run.counts:
                missing = board.need[i] - plan.cover[i] + count * run.quantity
                if missing > 0:
                    least = max(least, -(-missing // count))
            if least >= run.quantity:
                continue
            quantity, cost = board.stocks[run.stock].table.best(least) if least else (0, 0)
            if run.cost - cost > best_gain:
                best_gain, best_position = run.cost - cost, position
                best_run = run._replace(quantity=quantity, cost=cost)
        if best_run is not None:
            changed = True
            if best_run.quantity:
                plan.replace(best_position, best_run)
            else:
                plan.remove(best_position)
