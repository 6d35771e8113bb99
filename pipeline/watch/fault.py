"""What was raised, in words for the log and the page; and whose fault it is."""

from pipeline.ledger import LedgerError
from pipeline.problems import StopRun
from pipeline.report import printable
from pipeline.stages import PluginFailed
from pipeline.watch.claim import StillWritten


def words_of(error: BaseException) -> str:
    """One line that says what is wrong, and of a fault of the program of which kind."""
    if isinstance(error, StopRun):
        return printable("; ".join(str(problem) for problem in error.problems))
    if isinstance(error, StillWritten):
        return "the file changed while it was read, or its end is missing"
    if isinstance(error, OSError) and error.strerror and error.filename is not None:
        return printable(f"{error.filename!s}: {error.strerror}")
    if isinstance(error, PluginFailed | LedgerError | OSError):
        return printable(str(error))
    return printable(f"internal error: {error!r}")


def is_environments(error: BaseException) -> bool:
    """True for what will pass or be mended and is no order's fault: disk, ledger, the shop's files, a slow writer."""
    return isinstance(error, LedgerError | OSError | StopRun | StillWritten)
