"""The watcher: one cycle after the other. Each looks at the inbox, takes in what is complete, and sees to the week.

Three kinds of failure. The job's fault: rejected at once. The environment's (disk, ledger, the shop's files): what
was claimed stays in `work/` and is tried again after 1 to 60 s; nothing is rejected for it. Poison (the process was
killed, a plugin or the program failed at this order): counted before each attempt, rejected at the third.
"""

import threading
from pathlib import Path

from pipeline.batch import open_batch
from pipeline.ledger import Ledger, LedgerError, LedgerUnwritable
from pipeline.model.run import RunKind
from pipeline.outbox import deliver_waiting
from pipeline.output import papers_in
from pipeline.plugin_manager import load_plugins
from pipeline.problems import Origin, Problem, StopRun
from pipeline.report import printable
from pipeline.request import Request
from pipeline.stages import PluginFailed
from pipeline.watch.backoff import Backoff
from pipeline.watch.claim import Claim, Claims
from pipeline.watch.clock import Clock
from pipeline.watch.fault import is_environments, words_of
from pipeline.watch.intake import Fate, Intake, Taken
from pipeline.watch.layout import Layout
from pipeline.watch.lead import Lead
from pipeline.watch.log import Log
from pipeline.watch.outcome import called
from pipeline.watch.scan import Seen, scan, seen
from pipeline.watch.settle import Settling, unwritten
from pipeline.watch.worker import Workers

MOST = 500
"""So many files are taken in before anything else is seen to."""

ATTEMPTS = 3

_FOLDER = "the folder"


class Watcher:
    """Watches one shop's folder. `open`, then `cycle` again and again, then `close`."""

    def __init__(
        self, shop: Path, clock: Clock, workers: Workers, log: Log, stop: threading.Event, owner: str = ""
    ) -> None:
        self._layout = Layout(root=shop)
        self._clock = clock
        self._log = log
        self._stop = stop
        self._settling = Settling()
        self._backoff = Backoff()
        self._claims = Claims(self._layout.work, clock, owner)
        self._lead = Lead(self._layout, clock, workers, log, self._backoff)

    def open(self) -> None:
        """Start. Raises StopRun when the shop's files, its folders or its ledger are not as they must be."""
        shop = open_batch(self._request()).shop
        load_plugins(shop)
        self._layout.make()
        self._layout.check()
        with Ledger.of(shop) as ledger:
            self._layout.own(ledger.owner(self._claims.owner))
            self._refuse_old(ledger)
            deliver_waiting(ledger, self._layout.out)
        self._tell("started", shop=str(self._layout.root))

    def close(self) -> None:
        """Stop. What is in `work/` is resumed by the next watcher."""
        self._lead.close()
        self._claims.close()
        self._tell("stopped")

    def cycle(self) -> float:
        """Do all that is to be done now; how many seconds may pass until the next."""
        now = self._clock.monotonic()
        poll = 2.0
        if self._backoff.ready(_FOLDER, now):
            try:
                poll = self._cycle()
                self._backoff.worked(_FOLDER)
            except (LedgerError, OSError, StopRun, PluginFailed) as error:
                self._failed(_FOLDER, error)
        self._lead.show()
        return poll

    def _cycle(self) -> float:
        self._layout.make()
        self._claims.open()
        shop = self._lead.see_to_shop(self._request)
        if not Ledger.is_there(shop):
            raise LedgerUnwritable("the ledger is gone: put the latest one back")
        with Ledger.of(shop) as ledger:
            self._layout.own(ledger.owner(self._claims.owner))
            rules = shop.watch
            found = scan(self._layout.inbox)
            self._lead.arriving = [file.path for file in found]
            now = self._clock.monotonic()
            if rules.require_end_marker:
                complete = self._settling.ended(found)
            else:
                complete = self._settling.quiet(found, now, rules.settle_seconds)
            resumed = self._claims.resumed()
            known = {*(claim.id for claim in resumed), *map(_inbox, found)}
            self._backoff.forget({_FOLDER, *Lead.TASKS, *known})
            ready = [claim for claim in resumed if self._backoff.ready(claim.id, now)]
            complete = tuple(file for file in complete if self._backoff.ready(_inbox(file), now))
            if ready or complete:
                self._take_in(ready, complete[:MOST], ledger, sure=rules.require_end_marker)
                self._lead.arriving = [file.path for file in found if file.path.exists()]
            self._lead.see_to_week(ledger)
        return float(rules.poll_seconds)

    def _take_in(self, resumed: list[Claim], complete: tuple[Seen, ...], ledger: Ledger, sure: bool) -> None:
        deliver_waiting(ledger, self._layout.out)
        batch = open_batch(self._request())
        intake = Intake(self._layout, ledger, batch, load_plugins(batch.shop))
        for claim in resumed:
            if self._stop.is_set():
                return
            self._process(claim, intake)
        for file in complete:
            if self._stop.is_set():
                return
            try:
                taken = self._claim(file, sure)
            except OSError as error:
                self._failed(_inbox(file), error)
                continue
            if taken is not None:
                self._process(taken, intake)
                self._lead.show()

    def _claim(self, file: Seen, sure: bool) -> Claim | None:
        """Take a file out of the inbox; None when it is not what it was, or another was faster."""
        with unwritten(file.path) as free:
            if not (free or sure):
                return None
            try:
                same = seen(file.path, file.path.lstat()) == file
            except FileNotFoundError:
                return None
            return self._claims.take(file) if same else None

    def _process(self, claim: Claim, intake: Intake) -> None:
        """One claim, whatever comes of it."""
        try:
            earlier = claim.faults()
            if len(earlier) >= ATTEMPTS:
                taken = intake.reject(claim, None, [_poison(claim, earlier)])
            else:
                mark = claim.begin()
                try:
                    taken = intake.take(claim)
                except Exception as error:
                    if is_environments(error):
                        mark.unlink()
                    else:
                        mark.write_text(words_of(error), "utf-8")
                    raise
        except Exception as error:
            # Of this claim alone: the others are not to wait for it. It is tried again.
            self._failed(claim.id, error, file=called(claim))
            return
        self._backoff.worked(claim.id)
        self._report(claim, taken)

    def _report(self, claim: Claim, taken: Taken) -> None:
        errors = [str(problem) for problem in taken.problems if problem.is_error]
        details = {"why": errors[0]} if taken.fate is Fate.REJECTED and errors else {}
        self._tell(str(taken.fate), file=called(claim), job=taken.job, **details)

    def _failed(self, what: str, error: Exception, **details: str) -> None:
        words = words_of(error)
        if self._backoff.failed(what, self._clock.monotonic(), words):
            self._tell("failed", what=what, fault=words, **details)

    def _refuse_old(self, ledger: Ledger) -> None:
        """A ledger that does not know what was acknowledged or recorded was put back from a backup (E603)."""
        problems = list(ledger.unknown(papers_in(self._layout.out)))
        known = ledger.ever_dropped()
        for path in sorted(self._layout.received.glob("*.txt")) if self._layout.received.is_dir() else ():
            if path.stem not in known:
                problems.append(
                    Problem(
                        code="E603",
                        message=f"the order {path.stem} was acknowledged, and the ledger does not know it",
                        hint="put the latest ledger back; or delete this file, and drop the order again from done/",
                        origin=Origin(file=path.relative_to(self._layout.root).as_posix()),
                    )
                )
        if problems:
            raise StopRun(problems)

    def _request(self) -> Request:
        return Request(kind=RunKind.QUOTE, shop=self._layout.root, now=self._clock.now())

    def _tell(self, event: str, **details: str) -> None:
        self._log(self._clock.now(), event, **details)


def _inbox(file: Seen) -> str:
    return f"inbox/{printable(file.path.name)}"


def _poison(claim: Claim, faults: tuple[str, ...]) -> Problem:
    words = [fault or "the program was ended from outside" for fault in faults]
    return Problem(
        code="E644",
        message=f"the order could not be processed in {len(faults)} attempts: {'; '.join(dict.fromkeys(words))}",
        hint="mend that, then drop the file again",
        origin=Origin(file=called(claim)),
    )
