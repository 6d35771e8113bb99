"""What is written on a page of a tagged PDF, piece by piece, read operator by operator (ISO 32000-1:2008, 14.6).

Clauses are from memory.
"""

import re

import pikepdf
from attrs import frozen
from pikepdf import Dictionary, Name, Operator

#: What puts ink on a page: paths (table 60), shadings (77), pictures (87, 92), text (109).
PATHS = {"S", "s", "f", "F", "f*", "B", "B*", "b", "b*"}
SHOWS_TEXT = {"Tj", "TJ", "'", '"'}
PAINTS = PATHS | SHOWS_TEXT | {"sh", "Do", "INLINE IMAGE"}


@frozen
class Content:
    """The text of each marked piece by its number, in the order of the content; and the text of artifacts."""

    texts: dict[int, str]
    artifacts: list[str]


def read_content(page: pikepdf.Page) -> Content:
    """A page's text by its pieces. Fails where something is drawn outside of them, or where they overlap."""
    letters = {name: _letters(font) for name, font in page.resources.get("/Font", Dictionary()).items()}
    texts: dict[int, str] = {}
    artifacts: list[str] = []
    piece: int | None = None
    depth = in_text = 0
    opened_in_text: list[int] = []
    font = ""
    for operands, operator in pikepdf.parse_content_stream(page):
        name = str(operator) if isinstance(operator, Operator) else "INLINE IMAGE"
        if name in ("BDC", "BMC"):
            assert depth == 0, "a piece within a piece"
            depth += 1
            opened_in_text.append(in_text)
            if operands[0] == Name.Artifact:
                piece = None
                artifacts.append("")
            else:
                piece = int(operands[1].MCID)
                assert piece not in texts, f"piece {piece} begins twice"
                texts[piece] = ""
        elif name == "EMC":
            depth -= 1
            # 14.6.1: within one text object or outside of all.
            assert opened_in_text.pop() == in_text
        elif name in ("BT", "ET"):
            in_text = int(name == "BT")
        elif name == "Tf":
            font = str(operands[0])
        elif name in PAINTS:
            assert depth == 1, f"{name} outside of every piece"
        if name in SHOWS_TEXT:
            said = "".join(_said(operand, letters[font]) for operand in operands)
            if piece is None:
                artifacts[-1] += said
            else:
                texts[piece] += said
    assert depth == 0
    return Content(texts, artifacts)


def _said(operand: object, letters: dict[int, str]) -> str:
    if isinstance(operand, pikepdf.Array):
        return "".join(_said(part, letters) for part in operand)
    return "".join(letters[code] for code in bytes(operand)) if isinstance(operand, pikepdf.String) else ""


def _letters(font: Dictionary) -> dict[int, str]:
    """What each byte of a simple font says, by its ToUnicode table (9.10.3)."""
    table = font.ToUnicode.read_bytes().decode("ascii")
    assert "beginbfrange" not in table, "ranges are not read here"
    return {
        int(code, 16): bytes.fromhex(text).decode("utf-16-be")
        for block in re.findall(r"beginbfchar(.*?)endbfchar", table, re.DOTALL)
        for code, text in re.findall(r"<(\w+)>\s*<(\w+)>", block)
    }
