"""Working days: when something that was ordered arrives, and by when an order must be ready.

One rule holds for all: a day on which the shop does not work counts as the next working day when one waits for
something, and as the one before when one works towards it.
"""

from collections.abc import Iterable
from datetime import date, timedelta

from attrs import frozen

from pipeline.model.order import Delivery, Order
from pipeline.shop import Shop, WorkingCalendar

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
"""The names of the days in a shop's file, at the index that `date.weekday` gives."""

_DAY = timedelta(days=1)


@frozen(kw_only=True)
class Workdays:
    """On which days the shop works. `weekdays` as in WEEKDAYS, at least one."""

    weekdays: frozenset[str]
    holidays: frozenset[date]

    @classmethod
    def of(cls, calendar: WorkingCalendar) -> "Workdays":
        """The working days of a calendar: every weekday on which a shift works, but for holidays.

        Raises ValueError for a calendar without a shift.
        """
        return cls.on((day for shift in calendar.shifts for day in shift.days), calendar.holidays)

    @classmethod
    def on(cls, weekdays: Iterable[str], holidays: Iterable[date] = ()) -> "Workdays":
        """These weekdays but for the holidays. Raises ValueError when no weekday is named."""
        days = frozenset(weekdays) & frozenset(WEEKDAYS)
        if not days:
            raise ValueError("a calendar needs at least one working day a week")
        return cls(weekdays=days, holidays=frozenset(holidays))

    def works(self, day: date) -> bool:
        """True when the shop works on this day."""
        return WEEKDAYS[day.weekday()] in self.weekdays and day not in self.holidays

    def after(self, day: date, days: int) -> date:
        """So many working days (>= 0) after `day`, or after the next working day when it is none."""
        return self._step(day, days, _DAY)

    def before(self, day: date, days: int) -> date:
        """So many working days (>= 0) before `day`, or before the last working day when it is none."""
        return self._step(day, days, -_DAY)

    def _step(self, day: date, days: int, step: timedelta) -> date:
        while not self.works(day):
            day += step
        for _ in range(days):
            day += step
            while not self.works(day):
                day += step
        return day


def transit_days(order: Order, shop: Shop) -> int:
    """Working days from the carrier's pick-up to the customer's hands; 0 for an order that is picked up."""
    if order.delivery is Delivery.PICK_UP:
        return 0
    own = shop.customer(order.customer).transit_days if shop.knows("customer", order.customer) else None
    return shop.calendar.transit_days if own is None else own


def ready_by(order: Order, shop: Shop) -> date:
    """The last working day on which the order may be finished, so that it is in hands on its due date."""
    return Workdays.of(shop.calendar).before(order.due, transit_days(order, shop))
