"""One run of the golden week as a program, so that each can have a process and a hash seed of its own.

`python -m tests.properties.once [backwards]` prints the SHA-256 of every file that the run delivered, as JSON.
"""

import json
import sys

from pipeline.canonical import digest
from tests.golden.golden import delivered

if __name__ == "__main__":
    files = delivered(backwards="backwards" in sys.argv[1:])
    sys.stdout.write(json.dumps({path: digest(content) for path, content in files.items()}))
