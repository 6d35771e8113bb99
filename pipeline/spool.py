"""Where papers wait between being made and being recorded, so that memory holds one of them and not the week's."""

from collections.abc import Iterable
from functools import partial
from tempfile import TemporaryFile
from types import TracebackType
from typing import Self

from attrs import evolve

from pipeline.model.document import Document


class Spool:
    """One temporary file that has no name: however the program ends, it is gone. Use it as a context manager.

    Papers that were kept can be read until then. Raises OSError when the disk refuses.
    """

    def __init__(self) -> None:
        self._file = TemporaryFile()  # noqa: SIM115 (closed at the exit)
        self._end = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()

    def keep(self, documents: Iterable[Document]) -> tuple[Document, ...]:
        """The same documents, the content of each put aside as soon as it is made."""
        return tuple(map(self._keep, documents))

    def _keep(self, document: Document) -> Document:
        content, start = document.content, self._end
        self._file.seek(start)
        self._file.write(content)
        self._end += len(content)
        return evolve(document, content=partial(self._read, start, len(content)))

    def _read(self, start: int, length: int) -> bytes:
        self._file.seek(start)
        return self._file.read(length)
