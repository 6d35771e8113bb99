"""All papers of a run, those of a large week by several processes: the same papers, in the same order."""

import os
import pickle
import signal
from collections import deque
from collections.abc import Generator, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import closing, suppress
from functools import cache
from multiprocessing import current_process, get_context, parent_process
from threading import Thread

from pipeline.model.document import Document
from pipeline.model.run import Run
from plugins.documents import (
    customer,
    cutting,
    floor,
    office,
    purchasing,
    shipping,
    tables,
    traveller,
    without,
)
from plugins.documents.desk import Desk, WholeWork, Work

PARTS = (customer, shipping, purchasing, floor, traveller, cutting, office, tables, without)

LARGE = 60
"""Orders from which on workers are worth their start, which takes as long as some ten orders' papers."""
_MOST = 4
"""Workers: each holds the run and what it needs for a paper, 150 to 300 MB."""
_AHEAD = 4
"""Works for each worker that are under way or wait to be asked for: more would only fill the memory."""


def documents(run: Run) -> Iterator[Document]:
    """Every paper and table, in the order of the parts."""
    works, done, workers = _works(run), 0, _workers(run)
    if workers > 1:
        # Whatever ends the workers (a template's fault, a plan that cannot be sent to them, a lack of memory), the
        # rest is made here: a fault is met again where it is told as ever, and what was none does no harm.
        with suppress(Exception), closing(_answers(run, works, workers)) as answers:
            for made in answers:
                done += 1
                yield from made
    for work in works[done:]:
        yield from work()


def _works(run: Run) -> tuple[Work, ...]:
    desk = Desk(run)
    return tuple(work for part in PARTS for work in part.works(desk))


def _workers(run: Run) -> int:
    """How many workers; a process that ends with another (the watched folder's planner) may have none of its own."""
    if len(run.orders) < LARGE or current_process().daemon:
        return 1
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(_MOST, cores)


def _answers(run: Run, works: tuple[Work, ...], workers: int) -> Generator[tuple[Document, ...], None, None]:
    """What each work makes, in their order. Raises what a worker raises, and BrokenProcessPool when one is gone."""
    packed, waiting = pickle.dumps(run), deque[Future[tuple[Document, ...]]]()
    pool = ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=_begin, initargs=(packed,))
    try:
        # Begun first, they let nobody wait when it is their turn.
        long = {
            place: pool.submit(_made, place) for place, work in enumerate(works) if isinstance(work, WholeWork)
        }
        for place in range(len(works)):
            waiting.append(long.pop(place) if place in long else pool.submit(_made, place))
            if len(waiting) == _AHEAD * workers:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
    finally:
        pool.shutdown(cancel_futures=True)


# --- in a worker -----------------------------------------------------------------------------------------

_packed = b""


def _begin(packed: bytes) -> None:
    global _packed
    # Ctrl-C in a terminal reaches us, too; it is the parent who says when we end, even when it is killed.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_parent, daemon=True).start()
    _packed = packed


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


@cache
def _own_works() -> tuple[Work, ...]:
    run: Run = pickle.loads(_packed)  # noqa: S301 - our parent's bytes
    return _works(run)


def _made(place: int) -> tuple[Document, ...]:
    return tuple(_own_works()[place]())
