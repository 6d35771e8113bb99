"""Papers that were recorded but perhaps not delivered: a run that was cut off after its numbers were given."""

from pathlib import Path

from pipeline.ledger import Ledger
from pipeline.output import Delivery, deliver


def deliver_run(ledger: Ledger, label: str, out: Path) -> Delivery:
    """Deliver a recorded run's papers, as they were recorded, into its folder of `out`, and note it.

    Whatever is missing or was changed is put right. Raises KeyError for a run that is not recorded, and what
    `deliver` and the ledger raise.
    """
    delivery = deliver(out / label, ledger.documents(label))
    ledger.mark_delivered(label)
    return delivery


def deliver_waiting(ledger: Ledger, out: Path) -> tuple[str, ...]:
    """Deliver all runs that are not known to be delivered; their labels. Do so before anything new is planned."""
    labels = ledger.undelivered()
    for label in labels:
        deliver_run(ledger, label, out)
    return labels
