"""A process that ends at a failpoint."""

import multiprocessing
import sys
from collections.abc import Callable

from pipeline import failpoints


def ended(point: str, work: Callable[..., object], *given: object) -> int:
    """Do `work` in a process of its own that ends at `point` ("name" or "name:times"); its exit code.

    Where it is forked, it need not import all anew.
    """
    context = multiprocessing.get_context("fork" if sys.platform == "linux" else "spawn")
    child = context.Process(target=_until, args=(point, work, given))
    child.start()
    child.join()
    assert child.exitcode is not None
    return child.exitcode


def _until(point: str, work: Callable[..., object], given: tuple[object, ...]) -> None:
    failpoints._failpoint = failpoints._Failpoint(point)
    work(*given)
