"""Names that an order uses must be known to the shop, and a job id stands for one order only."""

from collections.abc import Iterable, Iterator

from pipeline.model.order import CHEAPEST, Line, Order
from pipeline.problems import Origin, Problem, did_you_mean, expected_one_of
from pipeline.shop import Named, Shop
from plugins.validate.found import error
from plugins.validate.words import listed


def check_names(orders: tuple[Order, ...], shop: Shop) -> Iterator[Problem]:
    """E221 customer, E222 garment, E223 colour, E224 size, E225 placement, E226 transfer, E227 job id."""
    yield from _repeated_jobs(orders)
    for order in orders:
        name, known = order.customer, _names(shop.customers)
        yield from _known(order, "E221", name, known, f"unknown customer `{name}`", order.at("customer"))
        for line in order.lines:
            yield from _line(order, line, shop)


def _line(order: Order, line: Line, shop: Shop) -> Iterator[Problem]:
    transfers = (CHEAPEST, *_names(shop.transfers))
    for print_ in line.prints:
        name = print_.transfer
        yield from _known(order, "E226", name, transfers, f"unknown transfer `{name}`", print_.at("transfer"))
    name = line.garment
    yield from _known(order, "E222", name, _names(shop.garments), f"unknown garment `{name}`", line.at("garment"))
    if not shop.knows("garment", name):
        return
    garment = shop.garment(name)
    message = f"`{name}` does not come in `{line.colour}`"
    yield from _known(order, "E223", line.colour, garment.colours, message, line.at("colour"))
    for item in line.pieces:
        message = f"`{name}` does not come in size `{item.size}`"
        sizes = _names(garment.sizes)
        yield from _known(order, "E224", item.size, sizes, message, item.origin, _same_size(item.size, sizes))
    for print_ in line.prints:
        message, place = f"`{name}` has no placement `{print_.placement}`", print_.at("placement")
        yield from _known(order, "E225", print_.placement, _names(garment.placements), message, place)


def _known(
    order: Order, code: str, name: str, known: tuple[str, ...], message: str, origin: Origin, meant: str = ""
) -> Iterator[Problem]:
    if name not in known:
        hint = f"did you mean `{meant}`?" if meant else did_you_mean(name, known)
        yield error(order, code, message, origin, hint=hint, label=expected_one_of(known))


def _same_size(size: str, known: tuple[str, ...]) -> str:
    """`2XL` for `XXL`: by its letters it is nearer to `XL`, and the garment would be bought too small."""
    letters = size.upper()
    other = f"{letters.count('X')}XL" if set(letters[:-1]) == {"X"} and letters.endswith("L") else ""
    return other if other in known else ""


def _names(things: Iterable[Named]) -> tuple[str, ...]:
    return tuple(thing.name for thing in things)


def _repeated_jobs(orders: tuple[Order, ...]) -> Iterator[Problem]:
    by_job: dict[str, list[Order]] = {}
    for order in orders:
        by_job.setdefault(order.job, []).append(order)
    for job, same in by_job.items():
        for order in same:
            others = [other for other in same if other is not order]
            if not others:
                continue
            twins = order.sha256 and all(other.sha256 == order.sha256 for other in others)
            hint = "the files are the same to the letter: delete one" if twins else "give each order its own id"
            files = listed(sorted({_place(other.at("job")) for other in others}))
            message, place = f"job id `{job}` is used more than once", order.at("job")
            yield error(order, "E227", message, place, hint=hint, label=f"also in {files}")


def _place(origin: Origin) -> str:
    return f"{origin.file}:{origin.line}" if origin.line else origin.file
