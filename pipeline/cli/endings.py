"""How a command ends that could not do its work: words for people and an exit code."""

import argparse
import sys
import traceback

from pipeline.cli.answers import print_json, print_problems
from pipeline.exit_codes import ExitCode


def failed(error: Exception, options: argparse.Namespace) -> ExitCode:
    """Turn what a command raised into words for people and an exit code."""
    from pipeline.ledger.errors import LedgerAway, LedgerBusy, LedgerError
    from pipeline.problems import StopRun
    from pipeline.stages import PluginFailed

    if options.debug:
        traceback.print_exception(error)
    if isinstance(error, StopRun):
        if options.format == "json":
            from pipeline.report import as_json

            print_json({"problems": as_json(error.problems)})
        else:
            print_problems(error.problems, error.sources)
        return ExitCode.USAGE
    if isinstance(error, PluginFailed):
        return _say(ExitCode.INTERNAL, str(error), "this is a fault of the plugin; --debug shows where", options)
    if isinstance(error, LedgerBusy):
        return _say(
            ExitCode.BUSY, str(error), "another run is writing to the ledger; run again in a moment", options
        )
    if isinstance(error, LedgerAway):
        return _say(ExitCode.BUSY, str(error), "nothing is lost: run again when the database answers", options)
    if isinstance(error, LedgerError | OSError):
        return _say(ExitCode.UNWRITABLE, _in_words(error), "nothing is lost: mend it and run again", options)
    hint = "this is a fault of peelwright, nothing was recorded; --debug shows where"
    return _say(ExitCode.INTERNAL, f"internal error: {error!r}", hint, options)


def _in_words(error: Exception) -> str:
    """Of the system's errors the file and what is wrong with it, without the number."""
    if isinstance(error, OSError) and error.strerror and error.filename is not None:
        return f"`{error.filename}`: {error.strerror}"
    return str(error)


def _say(code: ExitCode, message: str, hint: str, options: argparse.Namespace) -> ExitCode:
    if options.format == "json":
        print_json({"error": message, "hint": hint})
    else:
        print(f"error: {message}\n  = help: {hint}", file=sys.stderr)
    return code
