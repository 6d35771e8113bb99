"""`python -m tests.languages.update`: bring the languages' files up to date; new messages are left empty.

A translation whose English has changed is dropped, not kept as a guess: say it anew.
"""

import sys

from pipeline.language.catalogue import as_text
from tests.languages.messages import FOLDER, TRANSLATED, empty, found, kept


def main() -> int:
    """Rewrite each file and name the messages that still need a translation."""
    for code in TRANSLATED:
        catalog = kept(code)
        catalog.update(found(), no_fuzzy_matching=True)
        (FOLDER / f"{code}.po").write_text(as_text(catalog, code), "utf-8")
        sys.stdout.writelines(f"{code}: {message}\n" for message in empty(catalog))
    return 0


if __name__ == "__main__":
    sys.exit(main())
