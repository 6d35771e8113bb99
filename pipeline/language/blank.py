"""`peelwright words`: a shop's file of messages in one language, to be filled in; what stands there is left alone."""

from collections.abc import Container
from pathlib import Path

from attrs import frozen
from babel.messages.catalog import Catalog

from pipeline.durable import make_folders, part_of, sync_folder, write_new
from pipeline.language import LANGUAGES, SOURCE
from pipeline.language.catalogue import as_text, forms, messages, read, shipped, without_header, written
from pipeline.language.own import unfit, wording_problems
from pipeline.problems import Problem, StopRun, has_errors


@frozen(kw_only=True)
class Filled:
    """The file, and how many messages were added to how many."""

    path: Path
    added: int
    messages: int


def words_to_fill_in(root: Path, code: str) -> Filled:
    """Write every message that the shop's file for a language lacks, without a translation.

    Raises StopRun for a language that papers cannot be in, and for a file that is wrong as it stands.
    """
    if fault := unfit(code):
        hint = "write a code of ISO 639, such as fr"
        raise StopRun([Problem(code="E213", message=f"`{code}` {fault}", hint=hint)])
    path = root / "language" / f"{code}.po"
    before = path.read_bytes() if path.is_file() else b""
    name = path.relative_to(root).as_posix()
    problems = list(wording_problems(before, code, name)) if before else []
    if has_errors(problems):
        raise StopRun(problems, {name: before.decode(errors="replace")})
    there = {(message.context, message.id) for message in read(before, code)}
    blank = _without(there, code)
    if len(blank):
        if before:
            content = before.rstrip() + b"\n\n" + without_header(blank).encode()
        else:
            content = as_text(blank, code).encode()
        make_folders(path.parent)
        part = part_of(path)
        write_new(part, content)
        part.replace(path)
        sync_folder(path.parent)
    return Filled(path=path, added=len(blank), messages=len(messages()))


def _without(there: Container[object], code: str) -> Catalog:
    """All messages but those, none translated; where the program's own translation is to be replaced, it is told."""
    blank = Catalog(locale=code, charset="utf-8")
    own = shipped(code) if code in LANGUAGES and code != SOURCE else Catalog()
    for message in written(messages()):
        if (message.context, message.id) in there:
            continue
        known = own.get(message.id, message.context)
        told = () if known is None else forms(known.string)
        blank.add(
            message.id,
            locations=message.locations,
            flags=message.flags,
            auto_comments=told,
            context=message.context,
        )
    return blank
