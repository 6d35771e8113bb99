"""What `n` sheets of one layout cost, when buying more can cost less."""

from bisect import bisect_right

from plugins.group.problem import Sheet


class PriceTable:
    """The buy-up price of a sheet size: the cheapest way to have at least `n` sheets of one layout.

    With all-units price steps it can be cheaper to buy up to the next step than to buy what is needed.
    A cheapest quantity is either the one needed or the first of a higher step. `flatness` is 100 (per cent) where
    a single sheet costs no more than each of many, 0 where it costs twice as much.
    """

    def __init__(self, sheet: Sheet) -> None:
        steps = sorted(sheet.prices)
        if not steps or sheet.minimum < 1:
            raise ValueError("a sheet needs at least one price and a minimum of at least one")
        self.set_up = sheet.set_up
        self.minimum = max(sheet.minimum, steps[0][0])
        self._froms = [quantity for quantity, _ in steps]
        self._prices = [price for _, price in steps]
        self._known: dict[int, tuple[int, int]] = {}
        self.flatness = max(0, 200 * min(self._prices) // max(1, self.best(1)[1]) - 100)

    def price(self, quantity: int) -> int:
        """Return the price of each sheet when exactly `quantity` are bought."""
        return self._prices[bisect_right(self._froms, quantity) - 1]

    def best(self, needed: int) -> tuple[int, int]:
        """Return (quantity to buy, cost with set-up) of the cheapest way to have `needed` sheets.

        Among equally cheap quantities the largest is taken: the surplus is worth something.
        """
        found = self._known.get(needed)
        if found is None:
            least = max(needed, self.minimum)
            choices = [least, *(step for step in self._froms if step > least)]
            cost, quantity = min((n * self.price(n), -n) for n in choices)
            found = self._known[needed] = (-quantity, cost + self.set_up)
        return found

    def terms(self) -> tuple[list[int], list[int], int, int, int]:
        """Return the quantities where the price changes, the prices, the set-up, the least sold and the flatness."""
        return self._froms, self._prices, self.set_up, self.minimum, self.flatness

    def steps(self) -> list[int]:
        """Return the quantities at which the price changes."""
        return self._froms
