"""Orders taken off a batch, to see what that does to the others: checked, and the two plans compared."""

from collections.abc import Iterator, Sequence

from pipeline.ledger import Recorded
from pipeline.model.order import Order
from pipeline.model.run import Plan
from pipeline.model.without import Remaining, TakenOff, Without
from pipeline.problems import Problem, did_you_mean

_LONGEST = 60
"""Characters of a label that jobs may take up."""


def compared(whole: Plan, after: Plan) -> Without:
    """What changes from the plan of all orders to the plan without some of them."""
    before = {share.job: share for share in whole.costs.orders}
    shared = {share.job: share.shared for share in after.costs.orders}
    return Without(
        off=tuple(
            TakenOff(
                job=order.job,
                customer=order.customer,
                paid=before[order.job].shared,
                alone=before[order.job].alone,
            )
            for order in whole.orders
            if order.job not in shared
        ),
        orders=tuple(
            Remaining(
                job=order.job,
                customer=order.customer,
                transfers=before[order.job].shared,
                transfers_after=shared[order.job],
                net=whole.bills.bill(order.job).net,
                net_after=after.bills.bill(order.job).net,
            )
            for order in after.orders
        ),
        purchase=whole.sheets.cost,
        purchase_after=after.sheets.cost,
    )


def cannot_take_off(
    jobs: Sequence[str], orders: Sequence[Order], held: Sequence[str], recorded: Sequence[Recorded]
) -> Iterator[Problem]:
    """E700: a job that is not there to be taken off, and when nobody would be left."""
    there = [order.job for order in orders]
    invoices = {known.job: known.invoice for known in recorded}
    for job in dict.fromkeys(jobs):
        if job in invoices:
            hint = f"invoice {invoices[job]}: its sheets are bought"
            yield Problem(code="E700", message=f"`{job}` was invoiced and cannot be taken off", hint=hint)
        elif job in held:
            hint = "the others are planned without it as it is"
            yield Problem(code="E700", message=f"`{job}` is held and on no sheet", hint=hint)
        elif job not in there:
            jobs_there = f"the jobs are {', '.join(there)}" if there else "all of the batch is invoiced or held"
            hint = did_you_mean(job, there) or jobs_there
            yield Problem(code="E700", message=f"there is no job `{job}` to be taken off", hint=hint)
    if there and set(there) <= set(jobs):
        hint = "take off fewer, so that somebody is left"
        yield Problem(code="E700", message="without these jobs there is nothing to plan", hint=hint)


def label_without(label: str, jobs: Sequence[str]) -> str:
    """The label of a batch without these jobs; very many are counted, not named."""
    names = "-".join(sorted({job.lower() for job in jobs}))
    return f"{label}-without-{names if len(names) <= _LONGEST else f'{len(set(jobs))}-jobs'}"
