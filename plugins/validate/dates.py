"""Days: by when an order can be ready at all, and whether a certificate still counts."""

from collections.abc import Iterator
from datetime import date

from pipeline.model.order import Blanks, Order
from pipeline.model.prints import TransferFits
from pipeline.model.show import count
from pipeline.model.workdays import Workdays, ready_by, transit_days
from pipeline.problems import Problem
from pipeline.shop import Shop, TaxRegime
from plugins.validate.cases import Case
from plugins.validate.choice import codes, told_elsewhere
from plugins.validate.found import error, warning
from plugins.validate.words import day, listed


def check_dates(
    orders: tuple[Order, ...], found: tuple[Case, ...], shop: Shop, fits: TransferFits, today: date
) -> Iterator[Problem]:
    """E421 due in the past, W422 on a day off, E423 before things arrive; E424, W424 certificate expired."""
    workdays = Workdays.of(shop.calendar)
    by_order: dict[int, list[Case]] = {}
    for case in found:
        by_order.setdefault(id(case.order), []).append(case)
    for order in orders:
        if order.due < today:
            message = f"due on {day(order.due)}, and today is {day(today)}"
            yield error(order, "E421", message, order.at("due"), hint="write the day on which it is needed now")
        else:
            needs = _arrivals(order, by_order.get(id(order), []), shop, fits, today, workdays)
            yield from _in_time(order, needs, shop, workdays)
            yield from _day_off(order, workdays)
        if shop.tax.regime is not TaxRegime.NONE:
            yield from _certificate(order, shop, today)


def _in_time(order: Order, needs: dict[str, date], shop: Shop, workdays: Workdays) -> Iterator[Problem]:
    ready = ready_by(order, shop)
    late = {name: arrival for name, arrival in needs.items() if arrival > ready}
    if not late:
        return
    transit = transit_days(order, shop)
    earliest = workdays.after(max(late.values()), transit)
    awaited = listed(f"{name} on {day(arrival)}" for name, arrival in late.items())
    on_the_way = f" ({count(transit, 'working day')} on the way)" if transit else ""
    yield error(
        order,
        "E423",
        f"due on {day(order.due)}, it must be ready on {day(ready)}{on_the_way}, before all it needs is here",
        order.at("due"),
        label=f"{awaited} at the earliest",
        hint=f"the first day that can be kept is {day(earliest)}: write `due: {earliest.isoformat()}`",
    )


def _arrivals(
    order: Order, own: list[Case], shop: Shop, fits: TransferFits, today: date, workdays: Workdays
) -> dict[str, date]:
    """When blanks and, for each print, the soonest of the transfers that suit but for the day, are here."""
    here: dict[str, date] = {}
    for line in order.lines:
        if line.blanks is Blanks.OURS and shop.knows("garment", line.garment):
            garment = shop.garment(line.garment)
            here[f"`{garment.name}` blanks"] = workdays.after(today, garment.lead_days)
    for case in own:
        told = told_elsewhere(case, shop)
        suited = [
            (workdays.after(today, shop.transfer(fit.transfer).lead_days), f"the transfer `{fit.transfer}`")
            for fit in fits.of(case.ref)
            if not codes(fit) - told and shop.knows("transfer", fit.transfer)
        ]
        if suited:
            arrival, name = min(suited)
            here[name] = arrival
    return here


def _day_off(order: Order, workdays: Workdays) -> Iterator[Problem]:
    if not workdays.works(order.due):
        before = workdays.before(order.due, 0)
        message = f"the shop does not work on {day(order.due)}: the order counts as due on {day(before)}"
        yield warning(order, "W422", message, order.at("due"), hint="nothing to do when that day is right")


def _certificate(order: Order, shop: Shop, today: date) -> Iterator[Problem]:
    if not shop.knows("customer", order.customer):
        return
    customer = shop.customer(order.customer)
    exemption = customer.exemption
    if exemption is None:
        return
    name = f"certificate `{exemption.certificate}` of `{customer.name}`"
    hint = "ask for a new certificate and enter it here"
    if exemption.expires < today:
        message = f"the {name} expired on {day(exemption.expires)}: no invoice may be without tax on it"
        yield error(order, "E424", message, exemption.at("expires"), hint=f"{hint}, or delete `exemption`")
    elif exemption.expires < order.due:
        message = f"the {name} expires on {day(exemption.expires)}, before the order is due on {day(order.due)}"
        yield warning(order, "W424", message, exemption.at("expires"), hint=hint)
