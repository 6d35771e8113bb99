"""Orders for the island go over by boat: a fare for each carton on the invoice, and a slip for the purser.

Every .py file in this folder is loaded with the shop. `peelwright plugins` shows where each has a part.
"""

from collections.abc import Generator, Iterator

from pipeline.hookspecs import hookimpl
from pipeline.model.cost import Charge, ChargeKind, PriceBook
from pipeline.model.document import Audience, Document
from pipeline.model.money import Money
from pipeline.model.order import Delivery, Order
from pipeline.model.packing import PackingPlan
from pipeline.model.run import Run
from pipeline.shop import Shop

ISLAND = "Outer Skerry"
FARE = Money(450)  # cents a carton


def crosses(order: Order, shop: Shop) -> bool:
    """True when the order is shipped to the island."""
    customer = shop.customer(order.customer)
    return order.delivery is Delivery.SHIP and (customer.ship_to or customer.address).city == ISLAND


@hookimpl(wrapper=True)
def price_orders(
    orders: tuple[Order, ...], shop: Shop, packing: PackingPlan
) -> Generator[None, PriceBook, PriceBook]:
    """A wrapper: `yield` gives the prices that the shop's rules made, and what is returned takes their place."""
    prices = yield
    return prices.with_charges(fare(order, shop, packing) for order in orders if crosses(order, shop))


def fare(order: Order, shop: Shop, packing: PackingPlan) -> Charge:
    """What the crossing costs, taxed as freight is."""
    amount = Money(FARE * len(packing.of(order.job)))
    label = f"Ferry to {ISLAND}"
    return Charge(job=order.job, kind=ChargeKind.OTHER, label=label, amount=amount, tax=shop.tax.freight)


@hookimpl
def make_documents(run: Run) -> Iterator[Document]:
    """One more paper for each order that crosses, beside its packing list."""
    for order in run.orders:
        if crosses(order, run.shop):
            cartons = run.plan.packing.of(order.job)
            customer = run.shop.customer(order.customer)
            lines = [f"FERRY SLIP  {run.shop.name} to {customer.title}, {ISLAND}", f"Order {order.job}", ""]
            lines += [f"[ ] carton {c.number} of {len(cartons)}: {round(c.weight / 453.6)} lb" for c in cartons]
            lines += ["", "Received on board: ____________________", ""]
            yield Document(
                path=f"orders/{order.job.lower()}/ferry-slip.txt",
                title=f"Ferry slip {order.job}",
                content="\n".join(lines).encode(),
                audience=Audience.CUSTOMER,
                job=order.job,
            )
