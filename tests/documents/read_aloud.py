"""What a paper's XML says to who hears it, read by another XML library and other rules than those that print it."""

from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree as ET

from tests.referee_tagged import Part

INLINE = {"b", "i", "small", "code", "br", "tick", "a"}
FIGURES = {"drawing", "img", "qr", "barcode"}
SILENT = {"header", "footer", "space", "newpage"}
LABELS = {"number": "Decimal", "tick": "Square"}
BOXES = {"note": "", "caution": "\N{WARNING SIGN} Caution", "stop": "\N{HEAVY MULTIPLICATION X} Stop"}


def said_by_pdf(part: Part) -> Any:
    """A part of a PDF, but for where it is drawn and what its links lead to."""
    facts = {key: str(value).removeprefix("/") for key, value in part.facts.items() if key not in ("O", "BBox")}
    text = "" if part.kind == "Figure" else part.text
    return part.kind, text, part.alt, facts, [said_by_pdf(kid) for kid in part.kids if kid.kind != "Link"]


def said_by_xml(inner: str) -> Any:
    """What stands in a page. Fails where it is no XML."""
    top = ET.fromstring(f"<page>{inner}</page>")  # noqa: S314 - written by a test
    depths = _depths([node.tag for node in top.iter() if node.tag in ("h1", "h2", "h3")])
    return _levelled(("Document", "", "", {}, list(_flow(top))), depths)


def _depths(tags: list[str]) -> Iterator[int]:
    """How deep each heading lies: one below the last one before it that is higher."""
    depths: list[int] = []
    for place, tag in enumerate(tags):
        higher = [before for before in range(place) if tags[before] < tag]
        depths.append(depths[higher[-1]] + 1 if higher else 1)
        yield depths[-1]


def _levelled(said: Any, levels: Iterator[int]) -> Any:
    kind, text, alt, facts, kids = said
    kind = f"H{next(levels)}" if kind == "H" else kind
    return kind, text, alt, facts, [_levelled(kid, levels) for kid in kids]


def _runs(node: ET.Element) -> list[ET.Element | str]:
    """Blocks, and the words between them."""
    runs: list[ET.Element | str] = [node.text or ""]
    for child in node:
        if child.tag not in INLINE:
            runs += [child, child.tail or ""]
        else:
            runs[-1] = f"{runs[-1]}{_words(child)}{child.tail or ''}"
    return [run for run in runs if not isinstance(run, str) or run.split()]


def _words(node: ET.Element) -> str:
    if node.tag == "br":
        return " "
    if node.tag == "tick":
        return "\N{BALLOT BOX}"
    return (node.text or "") + "".join(_words(child) + (child.tail or "") for child in node)


def _flow(node: ET.Element) -> Iterator[Any]:
    for run in _runs(node):
        yield from [_leaf("P", run)] if isinstance(run, str) else _block(run)


def _holder(kind: str, node: ET.Element, **facts: str) -> Any:
    """A cell or item: its words are its own where it holds nothing else."""
    runs = _runs(node)
    if len(runs) == 1 and isinstance(runs[0], str):
        return kind, " ".join(runs[0].split()), "", facts, []
    return kind, "", "", facts, list(_flow(node))


def _leaf(kind: str, text: str) -> Any:
    return kind, " ".join(text.split()), "", {}, []


def _block(node: ET.Element) -> Iterator[Any]:
    if node.tag in ("row", "col", "keep"):
        yield from _flow(node)
    elif node.tag in ("p", "big", "h1", "h2", "h3"):
        texts = [node.get("label", ""), _words(node)]
        kind = "H" if node.tag[0] == "h" else "P"
        yield from (_leaf(kind, text) for text in texts if text.split())
    elif node.tag in FIGURES:
        yield "Figure", "", node.get("alt") or f"code {node.get('value')}", {}, []
    elif node.tag == "box":
        title = ": ".join(filter(None, (BOXES[node.get("kind", "note")], node.get("title"))))
        kids = [_leaf("P", title)] if title else []
        kids += _flow(node)
        yield from [("Div", "", "", {}, kids)] if kids else []
    elif node.tag == "ul" and len(node):
        facts = {"ListNumbering": LABELS.get(node.get("mark", ""), "Disc")}
        yield "L", "", "", facts, [_item(item, place, node) for place, item in enumerate(node, 1)]
    elif node.tag == "table":
        facts = {"Summary": node.get("title", "")} if node.get("title") else {}
        yield "Table", "", "", facts, list(_rows(node))
    else:
        assert node.tag in SILENT | {"ul"}, node.tag


def _item(item: ET.Element, place: int, node: ET.Element) -> Any:
    mark = {"number": f"{place}.", "tick": "\N{BALLOT BOX}"}.get(node.get("mark", ""), "\N{BULLET}")
    body = _holder("LBody", item)
    return "LI", "", "", {}, [_leaf("Lbl", mark), *([body] if body[1] or body[4] else [])]


def _rows(table: ET.Element) -> Iterator[Any]:
    heads = [all(cell.tag == "th" for cell in row) for row in table]
    for place, row in enumerate(table):
        scope = "Column" if all(heads[: place + 1]) and not all(heads) else "Row"
        cells = []
        for cell in row:
            facts = {"ColSpan": cell.get("colspan", "1")} if cell.get("colspan", "1") != "1" else {}
            cells.append(
                _holder(cell.tag.upper(), cell, **facts, **({"Scope": scope} if cell.tag == "th" else {}))
            )
        yield "TR", "", "", {}, cells
