"""Complete a plan: add copies to spare room, raise quantities, and design new layouts until nothing is short.

A new layout is the best of a few drawn at random. It is judged by the worth of the copies that it brings and
that are still needed, per unit of cost, at the quantity where that is highest.
"""

from typing import NamedTuple

from plugins.group.chance import Chance
from plugins.group.packer import Packing
from plugins.group.piece import draw_piece
from plugins.group.plan import Board, Plan, Run, make_run
from plugins.group.settle import settle
from plugins.group.squeeze import evict, squeeze
from plugins.group.wishes import Rest, list_wishes, worth_of

DRAWN = 12
"""Layouts drawn before the best is taken."""
CROWD = 40
"""Most prints that compete for a place on one layout."""
RAISES = 3
"""Most quantities raised to make up for a copy that was taken away."""


class Step(NamedTuple):
    """One way to go on: a run under its number (None: a new one), and what it brings for its cost."""

    score: float
    number: int | None
    run: Run


class Builder:
    """Completes plans on one board."""

    def __init__(self, board: Board, rng: Chance) -> None:
        self.board = board
        self.rng = rng
        self.worth = board.worth

    def complete(self, plan: Plan, shut: int | None = None) -> None:
        """Make `plan` cover everything, without the medium that is `shut` where a print can do without it."""
        if plan.runs:
            squeeze(plan, self.rng, 0.7)
            if plan.short and self.rng.random() < 0.5:
                evict(plan, self.rng)
        while plan.short:
            self._take_best_step(plan, plan.missing(), shut)
        settle(plan)

    def shift(self, plan: Plan, fixed: int) -> bool:
        """Make `plan` cover everything by other runs than the one that is `fixed`; return whether that succeeded."""
        squeeze(plan, self.rng, 1.0, fixed)
        if plan.short:
            evict(plan, self.rng, fixed)
        for _ in range(RAISES):
            if not plan.short:
                break
            rest = plan.missing()
            step = self._best_raise(plan, rest, list(rest), fixed)
            if step is None or step.number is None:
                return False
            plan.put(step.number, step.run)
        if plan.short:
            return False
        settle(plan)
        return True

    def _take_best_step(self, plan: Plan, rest: Rest, shut: int | None) -> None:
        """Raise the quantity of a run or add a new one, whichever brings most for its cost."""
        prints = list(rest)
        best = self._best_raise(plan, rest, prints)
        most = self.board.problem.most_layouts
        if most is not None and len(plan.runs) == most - 1:
            self._add_last(plan, rest)
            return
        if most is None or len(plan.runs) < most or best is None:
            best = self._best_layout(plan, rest, prints, shut, best)
        if best.number is None:
            plan.add(best.run)
        else:
            plan.put(best.number, best.run)

    def _best_raise(self, plan: Plan, rest: Rest, prints: list[int], fixed: int = -1) -> Step | None:
        """Return the best way to buy more of what is there already."""
        best: Step | None = None
        for i in prints if len(prints) <= CROWD else self.rng.sample(prints, CROWD):
            for number in sorted(plan.holders[i]):
                if number == fixed:
                    continue
                run = plan.runs[number]
                count = dict(run.counts)[i]
                quantity, cost = self.board.stocks[run.stock].table.best(run.quantity - (-rest[i] // count))
                score = worth_of(run.counts, quantity - run.quantity, rest, self.worth) / max(
                    cost - run.cost, 0.01
                )
                score *= 0.8 + 0.4 * self.rng.random()
                if best is None or score > best.score:
                    best = Step(score, number, run._replace(quantity=quantity, cost=cost))
        return best

    def _best_layout(
        self, plan: Plan, rest: Rest, prints: list[int], shut: int | None, best: Step | None
    ) -> Step:
        """Return the best of some new layouts, drawn and remembered, or `best` if that is better."""
        seen: set[tuple[int, tuple[int, ...]]] = set()
        crowds: dict[tuple[int, int], list[int]] = {}
        for _ in range(min(DRAWN, 2 + 2 * len(prints))):
            seed = self._pick_seed(rest, prints)
            stock, packing = self._draw(plan, seed, rest, shut, crowds)
            if (stock, packing.key) not in seen:
                seen.add((stock, packing.key))
                best = self._better(plan, stock, packing, rest, best)
        if best is None:
            raise AssertionError("a print that fits on a sheet can always have a layout of its own")
        return best

    def _add_last(self, plan: Plan, rest: Rest) -> None:
        """Add the last layout that is allowed: all that is short goes on it, as far as there is room."""
        stock = self.rng.choice(self.board.stocks_of[self._pick_seed(rest, list(rest))])
        medium = self.board.stocks[stock].medium
        fitting = [i for i in rest if stock in self.board.stocks_of[i] and plan.medium[i] in (-1, medium)]
        if fitting:
            plan.add(even_run(self.board, stock, fitting, rest))

    def _pick_seed(self, rest: Rest, prints: list[int]) -> int:
        """Pick a print to design a layout around: those with much still to do come first."""
        some = [self.rng.choice(prints) for _ in range(3)]
        return max(some, key=lambda i: (self.worth[i] * rest[i], i))

    def _allowed(self, plan: Plan, i: int, medium: int, shut: int | None) -> bool:
        if plan.medium[i] >= 0:
            return plan.medium[i] == medium
        return medium != shut or len(self.board.problem.prints[i].media) == 1

    def _draw(
        self, plan: Plan, seed: int, rest: Rest, shut: int | None, crowds: dict[tuple[int, int], list[int]]
    ) -> tuple[int, Packing]:
        """Design one layout at random around one print. `crowds` keeps who may share a sheet."""
        board, rng = self.board, self.rng
        stocks = [k for k in board.stocks_of[seed] if self._allowed(plan, seed, board.stocks[k].medium, shut)]
        stock = rng.choice(stocks or board.stocks_of[seed])
        company = board.company[seed]
        crowd = crowds.get((stock, company))
        if crowd is None:
            medium = board.stocks[stock].medium
            crowd = crowds[stock, company] = [
                i
                for i in rest
                if board.company[i] == company
                and stock in board.stocks_of[i]
                and self._allowed(plan, i, medium, shut)
            ]
        if len(crowd) > CROWD and not board.stocks[stock].roll:
            crowd = rng.sample(crowd, CROWD)
        guess = -(-rest[seed] // rng.choice((1, 1, 1, 2, 2, 3, 4, 6)))
        quantity = board.stocks[stock].table.best(guess)[0]
        if board.stocks[stock].roll:
            return stock, draw_piece(board.stocks[stock].packer, seed, crowd, quantity, rest, rng)
        return stock, self._fill(stock, seed, crowd, quantity, rest)

    def _fill(self, stock: int, seed: int, crowd: list[int], quantity: int, rest: Rest) -> Packing:
        """Lay the seed and then as many of the crowd as there is room for, as if `quantity` were bought."""
        rng, packer = self.rng, self.board.stocks[stock].packer
        by_size = rng.random() < 0.6
        noise = rng.choice((0.1, 0.4, 1.0))
        wanted = list_wishes(
            seed,
            crowd,
            quantity,
            rest,
            self.worth,
            packer.areas,
            packer.empty.room,
            by_size,
            noise,
            rng,
        )
        return packer.fill(wanted)

    def _better(self, plan: Plan, stock: int, packing: Packing, rest: Rest, best: Step | None) -> Step | None:
        """Return the run of this packing at the quantity that brings most for its cost, or `best`."""
        board = self.board
        medium = board.stocks[stock].medium
        run = make_run(board, stock, packing, 1)
        table = board.stocks[run.stock].table
        extra = 0 if plan.uses(medium) else board.problem.media[medium].order_charge
        wanted = []
        for i, count in run.counts:
            wanted.append(-(-rest[i] // count))
            if plan.medium[i] < 0:
                extra += board.extra[i][medium] - board.least_extra[i]
        most = max(wanted)
        for quantity, cost in dict.fromkeys(map(table.best, (*wanted, *(q for q in table.steps() if q < most)))):
            score = worth_of(run.counts, quantity, rest, self.worth) / max(cost + extra, 0.01)
            if best is None or score > best.score:
                best = Step(score, None, run._replace(quantity=quantity, cost=cost))
        if best is not None and board.stocks[stock].roll and best.run.packing is packing:
            return best._replace(run=make_run(board, stock, packing, best.run.quantity))
        return best


def even_run(board: Board, stock: int, prints: list[int], rest: Rest) -> Run:
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
