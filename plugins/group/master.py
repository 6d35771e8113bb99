"""Column generation, and what the duals of the linear program prove.

At any moment the duals, shrunk until no column is worth more than it costs, prove a bound: generation may stop
early, and errors of the solver can only make the bound weaker.
"""

from math import inf

import numpy as np

from plugins.group.columns import Branch, Group
from plugins.group.hull import Hull
from plugins.group.laid import WILD, Laid
from plugins.group.lengths import RollPricer
from plugins.group.plan import Board
from plugins.group.pricing import EXACT, Numbers, Pricer, Prices
from plugins.group.program import Program, Solution

Worths = dict[tuple[int, int], float]
"""What covering all of a print on a medium is worth, by print and medium."""

CALM = 0.7
"""Share of the best worths known in those that columns are priced by at first: the program's own jump about."""
SOLVED = 24
"""Knapsacks solved in one round, as long as they bring new columns."""
NEAR = 0.005
"""Share by which the program may lie above what is proven when no more columns are looked for."""
PAYS = 1e-6
"""Share by which a column must be worth more than it costs to be added."""
CUTTING = 4
"""Rounds that take as long as looking for cuts once."""
CUT = 0.002
"""Least weight above 1 for which a cut is added."""


class Master:
    """Proves bounds for branches.

    `rounds` counts how often the program was solved, and what takes as long; `last` is its last solution. With
    `looking`, only columns count that can be laid (laid.py). `pricers` may be those of another master.
    """

    def __init__(self, board: Board, pricers: list[Pricer] | None = None, *, looking: bool = False) -> None:
        self.board = board
        pairs = sorted({(k, board.company[i]) for i, on in enumerate(board.stocks_of) for k in on})
        self.pricers = pricers or [Pricer(board, k, company) for k, company in pairs if not board.stocks[k].roll]
        self._laid = [Laid(pricer) for pricer in self.pricers] if looking else []
        self._rolls = [RollPricer(board, k) for k in sorted({k for k, _ in pairs}) if board.stocks[k].roll]
        self._program = Program(board, self.pricers, self._rolls)
        self._media_of = [sorted({board.stocks[k].medium for k in on}) for on in board.stocks_of]
        self._hulls = (
            [Hull(pricer) for pricer in self.pricers] if board.problem.guillotine and not looking else []
        )
        self._scaled: set[Group] = set()
        self.rounds = 0
        self.last: Solution | None = None
        self._calm, self._best, self._best_bound = True, self._plain_worths(), 0.0

    @property
    def spent(self) -> bool:
        """Whether no sheet is looked into any more: without that, columns that can be laid prove little."""
        return any(laid.looks <= 0 for laid in self._laid)

    def _plain_worths(self) -> Worths:
        """Return what covering each print is worth at least: its share of as many sheets as it needs copies.

        No column is worth more than it costs by these, for a sheet costs no more when more are bought.
        """
        worths: Worths = {}
        for pricer in self.pricers:
            for k, i in enumerate(pricer.prints):
                worth = float(pricer.shares[-1][k]) * pricer.table.best(int(pricer.need[k]))[1]
                worths[i, pricer.medium] = min(worth, worths.get((i, pricer.medium), worth))
        for roll in self._rolls:
            for i, cost in zip(roll.prints, roll.cost(roll.lengths).tolist(), strict=True):
                worths[i, roll.medium] = min(cost, worths.get((i, roll.medium), cost))
        return worths

    def prove(self, branch: Branch, rounds: int) -> float:
        """Return a bound for the plans of `branch`, found in at most `rounds` rounds of column generation."""
        self._program.enter(branch)
        proven = branch.bound
        for _ in range(rounds):
            self.rounds += 1
            solution = self._program.solve()
            if solution is None:
                break
            self.last = solution
            bound, more = self._generate(solution, branch)
            proven = max(proven, bound)
            if not more or solution.cost <= proven * (1 + NEAR):
                break
        return proven

    def _generate(self, solution: Solution, branch: Branch) -> tuple[float, bool]:
        """Add the columns that pay most; return what the duals prove, and whether to go on."""
        worths, calm = solution.cover, self._calm and not solution.cuts and not branch.limits
        if calm:
            share = CALM if self._best_bound else 1.0
            worths = {place: share * self._best[place] + (1 - share) * worth for place, worth in worths.items()}
        over, new = 1 + PAYS, 0
        for number, pricer in enumerate(self.pricers):
            dearest, added = self._price(number, self._prices(number, pricer, worths, solution, branch))
            over, new = max(over, dearest), new + added
        for roll in self._rolls:
            ratio, cost, covered = roll.best(np.array([worths[i, roll.medium] for i in roll.prints]))
            over = max(over, ratio)
            if ratio > 1 + PAYS:
                self._program.add_length(roll, cost, covered)
                new += 1
        bound = self._proven(worths, over, solution, branch)
        if calm:
            self._calm = new > 0 or not self._best_bound
            if bound > self._best_bound:
                self._best, self._best_bound = worths, bound
        else:
            self._calm = bool(self._laid)
        return bound, calm or new > 0

    def _prices(self, number: int, pricer: Pricer, worths: Worths, solution: Solution, branch: Branch) -> Prices:
        """Return what the duals say to one pricer."""
        prices = Prices(pricer, np.array([worths[i, pricer.medium] for i in pricer.prints]))
        for (owner, tier, key), cuts in solution.cuts.items():
            for shares, weight in cuts if owner == number else ():
                prices.fine[tier, key] += weight * shares
                prices.credit[tier, key] += weight
        for limit in branch.limits:
            if limit.place.pricer == number:
                force = solution.limits[limit.place]
                here = prices.counted(limit.place.start, limit.place.key)
                prices.bonus += max(force, 0.0) * here
                if limit.most is not None:
                    prices.toll += max(-force, 0.0) * here
        return prices

    def _price(self, number: int, prices: Prices) -> tuple[float, int]:
        """Add the best columns of one pricer.

        Returns how many times more a column is worth than it costs, at most, and how many columns are new.
        """
        if self._laid:
            return self._price_laid(number, prices)
        pricer = self.pricers[number]
        ratios = pricer.at_most(prices)
        large = len(pricer.prints) > EXACT
        over, new = 1 + PAYS, 0
        for solved, place in enumerate(np.argsort(-ratios, axis=None, kind="stable").tolist()):
            at, j = divmod(place, len(pricer.keys))
            bound = float(ratios[at, j])
            if bound <= 1 + PAYS:
                break
            if solved >= SOLVED and (new or large):
                return max(over, bound), new
            ratio, counts = (bound, pricer.rounded(prices, at)) if large else pricer.best(prices, at, j)
            if ratio > 1 + PAYS:
                new += self._program.add(number, int(pricer.quantities[at]), counts)
            over = max(over, ratio)
        return over, new

    def _price_laid(self, number: int, prices: Prices) -> tuple[float, int]:
        """Do the same with columns that can be laid.

        Those that the search has found come first; then the best patterns, which bound all others from above as well;
        and sheets are looked into only where these leave more than one time the cost.
        """
        pricer, laid, least = self.pricers[number], self._laid[number], 1 + PAYS
        ratios = pricer.at_most(prices)
        rows = np.nonzero(ratios.max(axis=1) > least)[0]
        new = sum(self._add(number, at, counts) for at, counts in laid.remembered(prices, rows, least))
        over = max(least, float(ratios.max()))
        if new or over > WILD:
            return over, new
        places = [divmod(place, len(pricer.keys)) for place in np.nonzero(ratios.ravel() > least)[0].tolist()]
        over = least
        tight = []
        for place, (ratio, counts) in zip(places, laid.patterns(prices, places), strict=True):
            ratio = min(ratio, float(ratios[place]))
            if ratio > least:
                tight.append((ratio, place))
                new += self._add(number, place[0], counts)
        for ratio, (at, j) in sorted(tight, reverse=True):
            if ratio <= over:
                break
            most, best = laid.best(prices, at, j, least)
            over = max(over, min(ratio, most))
            if best is not None:
                new += self._add(number, at, best)
        return over, new

    def _add(self, number: int, at: int, counts: Numbers) -> bool:
        return self._program.add(number, int(self.pricers[number].quantities[at]), counts)

    def _proven(self, worths: Worths, over: float, solution: Solution, branch: Branch) -> float:
        """Return what the duals prove when all that is worth something is shrunk by `over`."""
        proven = 0.0
        for limit in branch.limits:
            force = solution.limits[limit.place]
            proven += max(force, 0.0) * limit.least / over
            if limit.most is not None:
                proven -= max(-force, 0.0) * limit.most
        for m in branch.open:
            paid = sum(share for (_, on), share in solution.use.items() if on == m)
            proven += self.board.problem.media[m].order_charge - paid
        for i, media in enumerate(self._media_of):
            extra = self.board.extra[i]
            left = [worths[i, m] / over + extra[m] + solution.use[i, m] for m in media if m not in branch.shut]
            proven += min(left, default=inf)
        return proven

    def cut(self) -> int:
        """Find shares by which the mean sheet in use weighs more than 1; return how many were found.

        Shares of weigh.py are quick to find and looked for first; where they say nothing more, those of patterns.
        """
        if self._laid:
            return 0
        self.rounds += CUTTING
        in_use = self.last.in_use if self.last else []
        sums: dict[Group, tuple[float, Numbers]] = {}
        loose = {c.group for _, c in in_use if not self.pricers[c.group[0]].can_be_laid(c.counts)}
        for amount, column in in_use:
            if column.group in loose:
                total, sheets = sums.get(column.group, (0.0, np.zeros(len(column.counts))))
                sums[column.group] = (total + amount, sheets + amount * column.counts)
        means = {
            group: sheets / total for group, (total, sheets) in sorted(sums.items(), key=lambda item: item[0])
        }
        cuts = self._scaled_cuts({group: mean for group, mean in means.items() if group not in self._scaled})
        self._scaled |= means.keys() - cuts.keys()
        for number, hull in enumerate(self._hulls):
            own = {g: mean for g, mean in means.items() if g[0] == number and g not in cuts}
            cuts |= hull.too_heavy(own, 1 + CUT)
        for group, shares in cuts.items():
            self._program.add_cut(group, shares)
        return len(cuts)

    def _scaled_cuts(self, means: dict[Group, Numbers]) -> dict[Group, Numbers]:
        cuts = {}
        for group, mean in means.items():
            for first in (0, 1):
                shares = self.pricers[group[0]].scales.weigh(mean, first=first)
                if float(shares @ mean) > 1 + CUT:
                    cuts[group] = shares
                    break
        return cuts
