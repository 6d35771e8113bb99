"""Long work in a process of its own: the watcher goes on meanwhile, and outlives it."""

import multiprocessing
import signal
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any, Generic, Protocol, TypeVar

R = TypeVar("R", covariant=True)


class Task(Protocol[R]):
    """Work that was begun."""

    def done(self) -> bool:
        """True when it has ended, however."""

    def result(self) -> R:
        """What it returned, once it is done. Raises ChildProcessError when its process was ended from outside."""

    def stop(self) -> None:
        """End it at once."""


class Workers(Protocol):
    """Where work is done."""

    def begin(self, work: Callable[..., R], *given: object) -> Task[R]:
        """Begin to call a function of a module. What it raises is lost: it must return it."""


class Processes:
    """A new process for each work."""

    def begin(self, work: Callable[..., R], *given: object) -> Task[R]:
        """See `Workers`."""
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe(duplex=False)
        process = context.Process(target=_work, args=(theirs, work, given), daemon=True)
        process.start()
        theirs.close()
        return _Process(process, ours)


class _Process(Generic[R]):
    def __init__(self, process: Any, answers: Connection) -> None:
        self._process = process
        self._answers = answers

    def done(self) -> bool:
        return self._answers.poll()  # also true at the end of the pipe

    def result(self) -> R:
        try:
            answer: R = self._answers.recv()
        except EOFError:
            self._process.join()
            raise ChildProcessError(f"the process was ended (exit code {self._process.exitcode})") from None
        finally:
            self._answers.close()
        self._process.join()
        return answer

    def stop(self) -> None:
        self._process.terminate()
        self._process.join()


def _work(answers: Connection, work: Callable[..., object], given: tuple[object, ...]) -> None:
    # Ctrl-C in a terminal reaches us, too; it is the watcher who says when we end.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    answers.send(work(*given))
