"""Judges cartons. Shares no code with `plugins/pack`: it counts pieces and weighs cartons by itself."""

from collections import Counter

from pipeline.model.order import Order
from pipeline.model.packing import PackingPlan
from pipeline.shop import Shop


def faults_of_packing(orders: tuple[Order, ...], shop: Shop, plan: PackingPlan) -> list[str]:
    """What is wrong with the cartons, in sentences; empty when nothing is."""
    faults: list[str] = []
    known = [order.job for order in orders]
    faults += [f"a carton of no order: {carton.job}" for carton in plan.cartons if carton.job not in known]
    for order in orders:
        cartons = [carton for carton in plan.cartons if carton.job == order.job]
        if [carton.number for carton in cartons] != list(range(1, len(cartons) + 1)):
            faults.append(f"{order.job}: cartons are not numbered from 1")
        ordered = Counter(
            {(at, item.size): item.count for at, line in enumerate(order.lines) for item in line.pieces}
        )
        packed: Counter[tuple[int, str]] = Counter()
        for carton in cartons:
            weight = shop.packing.carton_weight
            pieces = 0
            for item in carton.contents:
                packed[item.line, item.size] += item.count
                pieces += item.count
                weight += item.count * _piece(order, item.line, item.size, shop)
            if weight != carton.weight:
                faults.append(f"{order.job}: carton {carton.number} weighs {weight} g, not {carton.weight} g")
            if pieces == 0:
                faults.append(f"{order.job}: carton {carton.number} is empty")
            if pieces > shop.packing.carton_pieces:
                faults.append(f"{order.job}: carton {carton.number} holds {pieces} pieces")
            if weight > shop.packing.carton_limit and pieces > 1:
                faults.append(f"{order.job}: carton {carton.number} is too heavy with {weight} g")
        if packed != ordered:
            faults.append(f"{order.job}: packed {dict(packed)}, ordered {dict(ordered)}")
    return faults


def _piece(order: Order, line: int, size: str, shop: Shop) -> int:
    garment = next(g for g in shop.garments if g.name == order.lines[line].garment)
    return next(s.weight for s in garment.sizes if s.name == size)
