"""What a command prints: data for programs, words for people, problems on standard error."""

import argparse
import json
import sys
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING

from pipeline.exit_codes import ExitCode

if TYPE_CHECKING:
    from pipeline.problems import Problem
    from pipeline.run import Report


def answer(
    options: argparse.Namespace,
    data: object,
    words: str,
    problems: Sequence["Problem"] = (),
    sources: Mapping[str, str] = MappingProxyType({}),
) -> None:
    """`data` to programs; the problems and `words` to people."""
    if options.format == "json":
        print_json(data)
    else:
        print_problems(problems, sources)
        print(words)


def tell(report: "Report", data: object, words: str, options: argparse.Namespace) -> ExitCode:
    """Say what came of a batch."""
    answer(options, data, words, report.problems, report.sources)
    return ExitCode.HELD if report.held else ExitCode.DONE


def print_problems(problems: Sequence["Problem"], sources: Mapping[str, str]) -> None:
    """On standard error, with the lines that they point at."""
    from pipeline.report import render

    if problems:
        print(render(problems, sources, colour=sys.stderr.isatty()), file=sys.stderr)


def print_json(value: object) -> None:
    """As ASCII: the same for whoever reads it, whatever the terminal's encoding."""
    print(json.dumps(value, indent=2))
