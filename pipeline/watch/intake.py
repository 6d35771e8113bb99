"""One claimed file: read, checked, priced, kept by the ledger, acknowledged; or rejected with the reasons."""

from datetime import UTC
from enum import StrEnum
from zoneinfo import ZoneInfo

from attrs import evolve, frozen

from pipeline.batch import Batch, JobFile, with_files
from pipeline.canonical import digest
from pipeline.failpoints import reach
from pipeline.ledger import Drop, Ledger, Receipt, Recorded, Snapshot
from pipeline.ledger.changes import changed_job
from pipeline.model.cost import Bill
from pipeline.model.order import Artwork, Order
from pipeline.model.run import RunKind
from pipeline.outbox import deliver_run
from pipeline.problems import Origin, Outcome, Problem
from pipeline.report import printable
from pipeline.run import Report, as_data, at_the_door, make_plan
from pipeline.source import MAX_BYTES
from pipeline.stages import Stages
from pipeline.watch.acknowledge import acknowledgement
from pipeline.watch.claim import Claim, NotAFile, StillWritten
from pipeline.watch.layout import Layout
from pipeline.watch.outcome import called, explain, place, settle, write
from pipeline.watch.settle import ends_with_marker


class Fate(StrEnum):
    """What became of a file."""

    RECEIVED = "received"
    REPLACED = "replaced"
    AGAIN = "again"
    INVOICED = "invoiced"
    REJECTED = "rejected"


_FATES = {Receipt.NEW: Fate.RECEIVED, Receipt.REPLACED: Fate.REPLACED, Receipt.AGAIN: Fate.AGAIN}


@frozen(kw_only=True)
class Taken:
    """What became of a claim. `job` is "" when it could not be read."""

    fate: Fate
    job: str = ""
    problems: tuple[Problem, ...] = ()


class Intake:
    """The door, for the claims of one cycle: the shop and its plugins as they were then.

    `take` raises what ledger, disk and plugins raise. Whatever it did before, it does again to the same end.
    """

    def __init__(self, layout: Layout, ledger: Ledger, batch: Batch, stages: Stages) -> None:
        self._layout = layout
        self._ledger = ledger
        self._batch = batch
        self._stages = stages
        self._zone = ZoneInfo(batch.shop.time_zone)
        self._measured: dict[str, Outcome[Artwork]] = {}

    def take(self, claim: Claim) -> Taken:
        """Take a file in, or reject it. Then the claim is gone. Raises StillWritten, too."""
        try:
            content = claim.read()
        except NotAFile:
            return self.reject(claim, None, [_no_file(claim)])
        marked = len(content) > MAX_BYTES or ends_with_marker(content)
        if self._batch.shop.watch.require_end_marker and not marked:
            raise StillWritten
        file = JobFile(name=called(claim), content=Outcome(value=content))
        batch = with_files(self._batch, [file], self._measured)
        if not batch.orders:
            return self.reject(claim, content, batch.problems, batch)
        order = batch.orders[0]
        snapshot = self._ledger.read([order.job], on=batch.date)
        known = snapshot.of(order.job)
        if known is not None:
            return self._recorded(claim, content, order, known, batch)
        before = self._ledger.latest(order.job)
        again = before is not None and before.sha256 == order.sha256
        report, bill = self._priced(batch, snapshot)
        if report.held and not again:
            return self.reject(claim, content, report.problems, batch)
        return self._keep(claim, content, order, evolve(report, orders=(order,)), bill)

    def reject(
        self,
        claim: Claim,
        content: bytes | None,
        problems: tuple[Problem, ...] | list[Problem],
        batch: Batch | None = None,
    ) -> Taken:
        """Put a file aside with the reasons beside it."""
        target = place(self._layout.rejected, claim, content, self._zone)
        sources = (batch or self._batch).sources
        explain(claim, target, "" if content is None else digest(content), problems, sources)
        settle(claim, target)
        job = batch.orders[0].job if batch and batch.orders else ""
        return Taken(fate=Fate.REJECTED, job=job, problems=tuple(problems))

    def _priced(self, batch: Batch, snapshot: Snapshot) -> tuple[Report, Bill | None]:
        """The order checked and, when it can go on, planned by itself to tell its price."""
        report, fits = at_the_door(batch, self._stages, RunKind.QUOTE)
        if report.held:
            return report, None
        shop, start = batch.shop, batch.start
        plan = make_plan(self._stages, report.orders, shop, fits, snapshot.stock, batch.date, start)
        return report, plan.bills.bills[0]

    def _keep(self, claim: Claim, content: bytes, order: Order, report: Report, bill: Bill | None) -> Taken:
        target = place(self._layout.done, claim, content, self._zone)
        drop = Drop(
            # With the content: a clock that is set back may give a claim's name a second time.
            claim=f"{claim.id}-{order.sha256}",
            job=order.job,
            customer=order.customer,
            sha256=order.sha256,
            file=content,
            name=printable(target.relative_to(self._layout.root).as_posix()),
            received=claim.at.astimezone(UTC),
        )
        receipt = self._ledger.receive(drop)
        reach("watch.received")
        if receipt is Receipt.TAKEN:
            return self.reject(claim, content, [_taken(order)])
        if receipt not in _FATES:  # recorded since we looked
            return self.take(claim)
        kept = self._ledger.latest(order.job)
        # A file that was left over from a crash may be older than what counts by now.
        if kept is not None and kept.sha256 == order.sha256:
            words = acknowledgement(order, kept, bill, report, self._zone)
            write(self._layout.received / f"{order.job}.txt", words, claim.folder)
        reach("watch.acknowledged")
        settle(claim, target)
        return Taken(fate=_FATES[receipt], job=order.job, problems=report.problems)

    def _recorded(self, claim: Claim, content: bytes, order: Order, known: Recorded, batch: Batch) -> Taken:
        """An order that has its number: unchanged, its papers are seen to; changed, it is an error."""
        if known.sha256 != order.sha256:
            before = as_data(self._ledger.file(order.job))
            changed = changed_job(order, known, before, as_data(content))
            return self.reject(claim, content, [changed], batch)
        deliver_run(self._ledger, known.run, self._layout.out)
        settle(claim, place(self._layout.done, claim, content, self._zone))
        return Taken(fate=Fate.INVOICED, job=order.job)


def _no_file(claim: Claim) -> Problem:
    message = "what was dropped is not a file"
    hint = "drop the file itself, not a link to it"
    return Problem(code="E645", message=message, hint=hint, origin=Origin(file=called(claim)))


def _taken(order: Order) -> Problem:
    return Problem(
        code="E641",
        message=f"{order.job} waits already, and it is an order of another customer",
        hint="give this order a job id of its own",
        origin=order.at("job"),
        job=order.job,
    )
