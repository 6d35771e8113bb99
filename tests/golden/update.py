"""`python -m tests.golden.update`: write the golden files anew. Read the difference before you commit it."""

import sys

from tests.golden.golden import EXPECTED, comparable, delivered, files_in


def main() -> int:
    """Write each file that differs, remove those that are no longer made, and name them."""
    now, before = comparable(delivered()), files_in(EXPECTED)
    for path in sorted({*now, *before}):
        if path not in now:
            (EXPECTED / path).unlink()
        elif now[path] != before.get(path):
            (EXPECTED / path).parent.mkdir(parents=True, exist_ok=True)
            (EXPECTED / path).write_bytes(now[path])
        else:
            continue
        sys.stdout.write(f"{path}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
