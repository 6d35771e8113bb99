"""What a rule found: a problem that belongs to an order."""

from pipeline.model.order import Order
from pipeline.problems import Origin, Problem, Severity


def error(order: Order, code: str, message: str, origin: Origin, *, hint: str = "", label: str = "") -> Problem:
    """A problem that holds the order."""
    return Problem(code=code, message=message, origin=origin, hint=hint, label=label, job=order.job)


def warning(order: Order, code: str, message: str, origin: Origin, *, hint: str = "", label: str = "") -> Problem:
    """A problem that is told, and the order goes on."""
    return Problem(
        code=code,
        message=message,
        origin=origin,
        hint=hint,
        label=label,
        job=order.job,
        severity=Severity.WARNING,
    )
