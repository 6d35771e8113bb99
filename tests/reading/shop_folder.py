"""A small shop as files: the examples of the schemas, so that they are proven to work together."""

import json
from importlib.resources import files
from pathlib import Path
from typing import Any

PARTS = {
    "presses/press-a.yaml": "press",
    "transfers/full-colour.yaml": "transfer",
    "garments/classic-tee.yaml": "garment",
    "customers/harbour-bakery.yaml": "customer",
}


def example(name: str) -> dict[str, Any]:
    """The first example of a schema."""
    loaded: dict[str, Any] = json.loads((files("schemas") / f"{name}.schema.json").read_text("utf-8"))
    return loaded["examples"][0]


def make_folder(root: Path) -> Path:
    """Write the shop. JSON is YAML, and every text of it stands in quotes."""
    for file, name in {"shop.yaml": "shop", **PARTS}.items():
        (root / file).parent.mkdir(parents=True, exist_ok=True)
        (root / file).write_text(json.dumps(example(name), indent=2), "utf-8")
    return root


def change(root: Path, file: str, old: str, new: str) -> None:
    """Replace a text that stands in a file."""
    text = (root / file).read_text("utf-8")
    assert old in text
    (root / file).write_text(text.replace(old, new, 1), "utf-8")
