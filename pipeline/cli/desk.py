"""The commands around the work: intake, plugins, words, explain, new-shop."""

import argparse

from pipeline.cli.answers import answer
from pipeline.exit_codes import ExitCode


def take_in(options: argparse.Namespace) -> ExitCode:
    """Make job files out of a table."""
    from pipeline.intake import intake
    from pipeline.intake.report import as_data, words

    taken = intake(options.table, options.map, options.into or options.table.with_suffix(""))
    answer(options, as_data(taken), words(taken), taken.problems, taken.sources)
    return ExitCode.HELD if any(problem.is_error for problem in taken.problems) else ExitCode.DONE


def show_plugins(options: argparse.Namespace) -> ExitCode:
    """Each hook's plugins in the order of calls."""
    from pipeline.batch import read_shop
    from pipeline.plugin_manager import load_plugins
    from pipeline.problems import showing
    from pipeline.request import find_shop
    from pipeline.stages import hook_names

    loaded = read_shop(find_shop([], options.shop))
    if loaded.value is None:
        raise AssertionError("a shop that could not be read stops the command")
    with showing(loaded.sources):
        chain = load_plugins(loaded.value).chain()
    lines = []
    for hook in hook_names():
        lines.append(hook)
        links = [link for link in chain if link.hook == hook]
        lines += [f"    {link.plugin}{' (wraps those below)' if link.wraps else ''}" for link in links]
    data = [{"hook": link.hook, "plugin": link.plugin, "wraps": link.wraps} for link in chain]
    answer(options, data, "\n".join(lines))
    return ExitCode.DONE


def write_words(options: argparse.Namespace) -> ExitCode:
    """Write the messages of papers for somebody to translate."""
    from pipeline.language.blank import words_to_fill_in
    from pipeline.request import as_typed, find_shop

    filled = words_to_fill_in(find_shop([], options.shop), options.code)
    path = as_typed(filled.path)
    text = f"{path} has all {filled.messages} messages; nothing was added."
    if filled.added:
        text = (
            f"{path}: {filled.added} messages added. Write the words after msgstr; what is empty stays as it was."
        )
    answer(options, {"file": path, "added": filled.added, "messages": filled.messages}, text)
    return ExitCode.DONE


def explain_code(options: argparse.Namespace) -> ExitCode:
    """What a problem's code means."""
    from pipeline.codes import CODES
    from pipeline.problems import Problem, StopRun

    code = options.code.strip("[]").upper()
    if code not in CODES:
        # Codes that begin alike belong together; the one that merely looks alike may be about anything.
        near = [known for known in sorted(CODES) if code[:2] == known[:2]]
        hint = f"there are {', '.join(near)}" if near else "codes stand in brackets in each message"
        raise StopRun([Problem(code="E700", message=f"there is no code `{options.code}`", hint=hint)])
    title, text = CODES[code].title, CODES[code].text
    answer(options, {"code": code, "title": title, "text": text}, f"{code}: {title}\n\n{text}")
    return ExitCode.DONE


def make_new_shop(options: argparse.Namespace) -> ExitCode:
    """Make a working shop folder."""
    from pipeline.new_shop import make_shop

    folder = make_shop(options.folder)
    weeks = sorted(path for path in folder.iterdir() if (path / "week.yaml").is_file())
    lines = (
        f"A working shop stands in {folder}: edit shop.yaml and the folders beside it. Try it:",
        f"    peelwright run {weeks[0] if weeks else folder}",
    )
    answer(options, {"shop": str(folder), "weeks": [str(week) for week in weeks]}, "\n".join(lines))
    return ExitCode.DONE
