"""Papers put aside until they are recorded."""

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from pipeline.model.document import Document
from pipeline.spool import Spool
from tests.builders import make_document

CONTENTS = (b"first", b"", b"third\n" * 1000)


def made() -> Iterator[Document]:
    """Papers, one after the other."""
    for number, content in enumerate(CONTENTS):
        yield make_document(f"{number}.txt", content)


def test_what_was_kept_is_what_was_made() -> None:
    """In its order, with its content, as often and in whatever order it is read, also between two that are kept."""
    with Spool() as spool:
        kept = spool.keep(made())
        assert kept == tuple(made())
        more = spool.keep([make_document("more.txt", b"more")])
        assert [document.content for document in reversed((*kept, *more))] == [b"more", *reversed(CONTENTS)]


def test_papers_differ_by_their_content() -> None:
    """Equal means byte for byte, wherever the bytes lie."""
    with Spool() as spool:
        kept = spool.keep(made())
        assert kept[0] != make_document("0.txt", b"fist")
        assert len({*kept, *made()}) == len(CONTENTS)


@pytest.mark.skipif(os.name != "posix", reason="elsewhere the system deletes the file when it is closed")
def test_a_killed_program_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file has no name even while it is in use."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    with Spool() as spool:
        kept = spool.keep(made())
        assert list(tmp_path.iterdir()) == []
        assert kept[2].content == CONTENTS[2]
