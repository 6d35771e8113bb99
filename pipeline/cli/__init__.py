"""The command line: `main` runs one command and turns what it raised into words and an exit code.

Only what parsing the command line needs is imported at the top of these modules; each command imports its own work,
so that `--help` answers at once.
"""

import os
import sys
from collections.abc import Sequence
from io import TextIOWrapper

from pipeline.cli.commands import parser
from pipeline.cli.endings import failed
from pipeline.exit_codes import ExitCode

_INTERRUPTED = 130
"""What shells report of a program that Ctrl-C ended."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    options = parser().parse_args(arguments)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            # A terminal that lacks a character must not turn a run that was recorded into a failure.
            stream.reconfigure(errors="backslashreplace")
    try:
        code = int(options.command(options))
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read our words has heard enough (`peelwright plugins | head`); nothing is wrong with the work.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return int(ExitCode.DONE)
    except KeyboardInterrupt:
        print("\nstopped; nothing is lost: run again", file=sys.stderr)
        return _INTERRUPTED
    except Exception as error:
        return int(failed(error, options))
    return code
