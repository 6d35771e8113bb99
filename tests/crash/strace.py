"""A function in a process of its own under strace, with a fault injected at its n-th call of one kind.

The process is forked from one in which all is imported, and waits until it is traced: so only what it does itself
is counted.
"""

import os
import re
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path

CALLS = ("write", "pwrite64", "fsync", "fdatasync", "ftruncate", "rename", "unlink", "rmdir", "mkdir")
"""Where a fault matters: what changes the disk, as the C library asks for it on Linux."""

FAULTS = {"kill": "signal=SIGKILL", "full": "error=ENOSPC", "failing": "error=EIO"}
"""Killed before the call is carried out; the call fails as on a full disk; as on a failing one."""

available = shutil.which("strace") is not None


def traced(work: Callable[[], int], options: Sequence[str], log: Path) -> int:
    """What the work returned, or 128 and the number of the signal that ended it. The trace is in `log`."""
    inlet, outlet = os.pipe()
    child = os.fork()
    if child == 0:
        _be_traced(work, inlet, outlet)
    os.close(inlet)
    tracer = subprocess.Popen(
        ["strace", "-f", "-q", "-o", str(log), "-p", str(child), *options],
        stderr=subprocess.PIPE,
        text=True,
    )
    while not re.search(r"TracerPid:\s+[1-9]", Path(f"/proc/{child}/status").read_text()):
        if tracer.poll() is not None:
            os.close(outlet)
            os.waitpid(child, 0)
            raise OSError(f"strace: {tracer.stderr.read() if tracer.stderr else ''}")
    os.write(outlet, b".")
    os.close(outlet)
    _, status = os.waitpid(child, 0)
    tracer.communicate()
    return 128 + os.WTERMSIG(status) if os.WIFSIGNALED(status) else os.WEXITSTATUS(status)


def _be_traced(work: Callable[[], int], inlet: int, outlet: int) -> None:
    code = 99
    try:
        os.close(outlet)
        if os.read(inlet, 1):
            code = work()
    except OSError as error:
        code = 74
        sys.stderr.write(f"{error}\n")
    finally:
        # Nothing of the parent's is flushed or cleaned up by its copy.
        os._exit(code)


def inject(call: str, number: int, fault: str, lasting: bool = False) -> list[str]:
    """Options for a fault at the `number`-th call of this kind, and with `lasting` at all after it."""
    return ["-e", f"trace={call}", "-e", f"inject={call}:{FAULTS[fault]}:when={number}{'+' if lasting else ''}"]


def counts(log: Path) -> Counter[str]:
    """How often each call was made."""
    return Counter(re.findall(r"^\d+\s+(\w+)\(", log.read_text(errors="replace"), re.MULTILINE))
