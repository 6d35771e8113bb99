"""Where everything lies: the folders of a watched shop, and whom its inbox belongs to.

inbox/          orders are dropped here
work/           claims: a file that was taken out and is not done with yet
done/DATE/      files that were taken in
rejected/DATE/  files that were not, each with the reasons beside it
out/            papers, acknowledgements, the status page
"""

import os
from collections.abc import Iterator
from pathlib import Path

from attrs import frozen

from pipeline.durable import make_folders, sync_folder
from pipeline.problems import Origin, Problem, StopRun

OWNER = ".peelwright"
"""In the inbox: the name of the ledger that it belongs to. Without it two ledgers could share out its orders."""


@frozen(kw_only=True)
class Layout:
    """The folders of one shop."""

    root: Path

    @property
    def inbox(self) -> Path:
        """Where orders are dropped."""
        return self.root / "inbox"

    @property
    def work(self) -> Path:
        """What was claimed and is not done with."""
        return self.root / "work"

    @property
    def done(self) -> Path:
        """What was taken in, by day."""
        return self.root / "done"

    @property
    def rejected(self) -> Path:
        """What was not, by day."""
        return self.root / "rejected"

    @property
    def out(self) -> Path:
        """Papers and the status page."""
        return self.root / "out"

    @property
    def received(self) -> Path:
        """The acknowledgements."""
        return self.out / "received"

    def make(self) -> None:
        """The folders that are missing. Raises OSError."""
        for folder in self._folders():
            make_folders(folder)

    def check(self) -> None:
        """Raise StopRun (E643) unless all lies on one file system: only there is a rename all or nothing."""
        here = self.root.stat().st_dev
        problems = [
            Problem(
                code="E643",
                message=f"`{folder.name}/` lies on another file system than the shop's folder",
                hint="put it on the same disk; a link to a folder elsewhere will not do",
                origin=Origin(file=folder.name),
            )
            for folder in self._folders()
            if folder.stat().st_dev != here
        ]
        if problems:
            raise StopRun(problems)

    def own(self, ledger: str) -> None:
        """See that the inbox belongs to the ledger of this name. Raises StopRun (E642) when it is another's."""
        marker = self.inbox / OWNER
        try:
            handle = os.open(marker, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o644)
        except FileExistsError:
            found = marker.read_text("utf-8", errors="replace").strip()
            if found and found != ledger:
                message = f"`{self.inbox}` belongs to another ledger ({found}; ours is {ledger})"
                hint = "give each shop an inbox of its own; when the other ledger is gone, delete the marker file"
                raise StopRun(
                    [Problem(code="E642", message=message, hint=hint, origin=Origin(file=f"inbox/{OWNER}"))]
                ) from None
            if found:
                return
            # Whoever made it was cut off before it was written.
            handle = os.open(marker, os.O_WRONLY)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(f"{ledger}\n")
            file.flush()
            os.fsync(file.fileno())
        sync_folder(self.inbox)

    def _folders(self) -> Iterator[Path]:
        yield from (self.inbox, self.work, self.done, self.rejected, self.out)
