"""`python -m tests.refused.update`: write what is printed about every case of the gallery."""

import sys

from tests.refused.gallery import EXPECTED, cases, expected, printed


def main() -> int:
    """Write each `expected.txt` that differs, and name it."""
    for case in cases():
        text = printed(case)
        if text != expected(case):
            (case / EXPECTED).write_text(text, encoding="utf-8", newline="\n")
            sys.stdout.write(f"{case.name}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
