"""Every code that a problem can carry, and what `peelwright explain CODE` says about it.

The explanations stand in one file for each hundred, written as they are printed: a line with code and title,
then what it means, why the order stops, and what to do.

E1xx files and YAML · E2xx shape and names · E3xx artwork · E4xx fit, recipe, size and days · E5xx stops and holds
for safety · E6xx ledger, numbers and documents (E64x the watched folder, E65x planning again) · E7xx the shop's
plugins and the command line · Wxxx the same fields, but the order goes on (W8xx: costs).
"""

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from attrs import frozen

from pipeline.codes import artwork, costs, files, fit, ledger, names, plugins, safety, watch

_HEAD = re.compile(r"^([EW]\d{3}) (.+)$", re.MULTILINE)


@frozen
class Explanation:
    """A title of a few words, and a paragraph or two."""

    title: str
    text: str


def _explanations() -> Iterator[tuple[str, Explanation]]:
    for module in (files, names, artwork, fit, safety, ledger, watch, plugins, costs):
        _, *parts = _HEAD.split(module.TEXT)
        for code, title, text in zip(parts[::3], parts[1::3], parts[2::3], strict=True):
            yield code, Explanation(title, text.strip())


CODES: Mapping[str, Explanation] = MappingProxyType(dict(_explanations()))
"""Code -> its explanation."""
