"""The tree of a paper -> one self-contained HTML page: nothing fetched, readable on a phone."""

import re
from base64 import b64encode
from collections.abc import Callable, Mapping, Sequence
from hashlib import sha256
from html import escape
from pathlib import Path
from typing import ClassVar

from reportlab.graphics import renderSVG
from reportlab.graphics.shapes import Drawing

from pipeline.language import SOURCE, Language
from plugins.documents.fonts import BOLD, SANS
from plugins.documents.paper.assets import Assets
from plugins.documents.paper.markup import Node, alternative, header_rows, language_of, pieces
from plugins.documents.paper.vocabulary import BOX_WORDS, points, shares

_CSS = Path(__file__).with_name("paper.css")


def html_page(page: Node, assets: Assets | None = None, *, style: str = "", script: str = "") -> str:
    """The whole page, with further style and a script where it has one; a browser runs no other.

    Raises PaperError when a drawing, picture or view is asked for that is not there.
    """
    assets = assets or Assets()
    writer = _Writer(assets, assets.language or language_of(page))
    header, footer = (
        "".join(f"<{tag}>{writer.words(node)}</{tag}>\n" for node in page.nodes if node.tag == tag)
        for tag in ("header", "footer")
    )
    author = f'<meta name="author" content="{escape(page.get("author"))}">' if page.get("author") else ""
    refresh = f'<meta http-equiv="refresh" content="{page.get("refresh")}">\n' if page.get("refresh") else ""
    return (
        f'<!doctype html>\n<html lang="{escape(page.get("language", SOURCE))}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_policy(script)}">\n'
        f"{refresh}{author}<title>{escape(page.get('title'))}</title>\n"
        f'<style>\n{_CSS.read_text("utf-8")}{style}</style>\n</head>\n<body class="{page.get("text", "normal")}">\n'
        f"{header}<main>\n{writer.flow(page)}\n</main>\n{footer}"
        f"{f'<script>{script}</script>{chr(10)}' if script else ''}</body>\n</html>\n"
    )


def _policy(script: str) -> str:
    """What a browser may load (W3C Content Security Policy, level 2): nothing but what stands in the page."""
    digest = b64encode(sha256(script.encode()).digest()).decode("ascii")
    scripts = f"; script-src 'sha256-{digest}'" if script else ""
    return f"default-src 'none'; style-src 'unsafe-inline'; img-src data:{scripts}"


def inline_svg(drawing: Drawing, alt: str) -> str:
    """A drawing as an svg element to stand in a page. The same drawing gives the same text."""
    svg = renderSVG.drawToString(drawing, useClip=True)
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<title>.*?</title>\s*<desc>.*?</desc>", f"<title>{escape(alt)}</title>", svg, flags=re.DOTALL)
    # A browser knows the fonts by other names: letters are the page's own, and only their weight is kept.
    svg = svg.replace(f"font-family: {BOLD}", "font-weight: bold").replace(
        f"font-family: {SANS}", "font-weight: normal"
    )
    # Two drawings on a page must not share an id.
    svg = svg.replace(' id="group"', "")
    return re.sub(r"\n\s*", "\n", svg).replace("<svg ", '<svg role="img" ', 1).strip()


def _is_band(node: Node) -> bool:
    return node.tag in ("header", "footer")


class _Writer:
    """Elements into HTML. Text is escaped in one place: `words`."""

    def __init__(self, assets: Assets, language: Language) -> None:
        self._assets = assets
        self._language = language

    def flow(self, node: Node) -> str:
        """Blocks, and runs of words between them: paragraphs where they stand beside blocks."""
        parts = list(pieces(node))
        alone = len(parts) == 1
        written = []
        for part in parts:
            if isinstance(part, Node):
                written.append("" if _is_band(part) else self._BLOCKS[part.tag](self, part))
            else:
                words = "".join(self._word(word) for word in part).strip()
                written.append(words if alone else f"<p>{words}</p>")
        return "\n".join(written)

    def words(self, node: Node) -> str:
        return "".join(self._word(child) for child in node.children).strip()

    def _word(self, word: Node | str) -> str:
        if isinstance(word, str):
            return escape(word)
        if word.tag == "br":
            return "<br>"
        if word.tag == "tick":
            label = escape(self._language.gettext("tick box"))
            return f'<span class="tick" role="img" aria-label="{label}">\N{BALLOT BOX}</span>'
        href = f' href="{escape(word.get("href"))}"' if word.tag == "a" else ""
        return f"<{word.tag}{href}>{''.join(self._word(child) for child in word.children)}</{word.tag}>"

    def _plain(self, node: Node) -> str:
        return f"<{node.tag}{_marks(node)}{_classes(node)}>{self.words(node)}</{node.tag}>"

    def _big(self, node: Node) -> str:
        label = f"<small>{escape(node.get('label'))}</small> " if node.get("label") else ""
        return f'<p class="big">{label}<b>{self.words(node)}</b></p>'

    def _list(self, node: Node) -> str:
        tag = "ol" if node.get("mark") == "number" else "ul"
        ticks = ' class="ticks"' if node.get("mark") == "tick" else ""
        items = "".join(f"<li{_marks(item)}>{self.flow(item)}</li>\n" for item in node.nodes)
        return f"<{tag}{ticks}>\n{items}</{tag}>"

    def _table(self, node: Node) -> str:
        heads = header_rows(node)
        cards = node.get("narrow") == "cards"
        labels = [_plain_words(cell) for cell in node.nodes[0].nodes] if heads and cards else []
        head = "".join(self._table_row(row, "col", labels) for row in node.nodes[:heads])
        body = "".join(self._table_row(row, "row", labels) for row in node.nodes[heads:])
        columns = ""
        if node.get("widths"):
            parts = shares(node.get("widths"))
            columns = "".join(f'<col style="width:{100 * part / sum(parts):.4g}%">' for part in parts)
            columns = f"<colgroup>{columns}</colgroup>"
        head = f"<thead>{head}</thead>" if head else ""
        kind = node.get("class", "lines")
        title = f' aria-label="{escape(node.get("title"))}"' if node.get("title") else ""
        look = f'class="{kind} cards" role="table"' if cards else f'class="{kind}"'
        table = f"<table {look}{title}>{columns}{head}<tbody>\n{body}</tbody></table>"
        # Whoever has no pointer moves a wide table by the arrow keys.
        region = f' role="region"{title}' if title else ""
        return table if cards else f'<div class="scroll" tabindex="0"{region}>{table}</div>'

    def _table_row(self, row: Node, scope: str, labels: Sequence[str] = ()) -> str:
        """A row. With `labels` its cells say their column, and all roles are written out.

        A browser forgets the roles of rows and cells that the style makes into blocks.
        """
        cells = []
        for index, cell in enumerate(row.nodes):
            span = f' colspan="{cell.get("colspan")}"' if cell.get("colspan") else ""
            of = f' scope="{scope}"' if cell.tag == "th" else ""
            if index < len(labels):
                role = "cell" if cell.tag == "td" else f"{scope.replace('col', 'column')}header"
                of += f' role="{role}" data-label="{escape(labels[index])}"'
            cells.append(f"<{cell.tag}{span}{of}{_classes(cell)}>{self.flow(cell)}</{cell.tag}>")
        role = ' role="row"' if labels else ""
        return f"<tr{role}{_marks(row)}>{''.join(cells)}</tr>\n"

    def _row(self, node: Node) -> str:
        cols = "".join(
            f'<div style="flex-grow:{shares(col.get("width", "1"))[0]:g}"{_classes(col)}>{self.flow(col)}</div>\n'
            for col in node.nodes
        )
        return f'<div class="row">\n{cols}</div>'

    def _box(self, node: Node) -> str:
        kind = node.get("kind", "note")
        title = ": ".join(part for part in (self._language.gettext(BOX_WORDS[kind]), node.get("title")) if part)
        heading = f"<p><b>{escape(title)}</b></p>\n" if title else ""
        return f'<div class="box {kind}" role="note">{heading}{self.flow(node)}</div>'

    def _drawing(self, node: Node) -> str:
        svg = inline_svg(self._assets.drawing(node), alternative(node, self._language))
        return f"<figure{_width(node)}>{svg}</figure>"

    def _picture(self, node: Node) -> str:
        picture = self._assets.picture(node)
        data = b64encode(picture.png).decode("ascii")
        size = f'width="{picture.width}" height="{picture.height}"'
        alt = escape(node.get("alt"))
        return f'<figure{_width(node)}><img {size} alt="{alt}" src="data:image/png;base64,{data}"></figure>'

    def _space(self, node: Node) -> str:
        return f'<div style="height:{points(node.get("height", "4mm")):.4g}pt"></div>'

    def _keep(self, node: Node) -> str:
        return f'<div class="keep">\n{self.flow(node)}\n</div>'

    def _search(self, node: Node) -> str:
        label, count = escape(node.get("label")), escape(node.get("count"))
        return (
            f'<div class="find" role="search" hidden><label for="find">{label}</label>'
            f'<input id="find" type="search" autocomplete="off" spellcheck="false">'
            f'<output for="find" data-count="{count}"></output></div>'
        )

    def _view(self, node: Node) -> str:
        return self._assets.view(node)

    def _fold(self, node: Node) -> str:
        return f"<details><summary>{escape(node.get('title'))}</summary>\n{self.flow(node)}\n</details>"

    def _new_page(self, _: Node) -> str:
        return '<hr class="newpage">'

    _BLOCKS: ClassVar[Mapping[str, Callable[["_Writer", Node], str]]] = {
        **dict.fromkeys(("h1", "h2", "h3", "p"), _plain),
        **dict.fromkeys(("drawing", "barcode", "qr"), _drawing),
        "big": _big,
        "ul": _list,
        "table": _table,
        "row": _row,
        "box": _box,
        "img": _picture,
        "space": _space,
        "keep": _keep,
        "newpage": _new_page,
        "search": _search,
        "view": _view,
        "fold": _fold,
    }


def _marks(node: Node) -> str:
    """What links and the search know an element by."""
    known = {"id": node.get("id"), "data-find": node.get("find")}
    return "".join(f' {name}="{escape(value)}"' for name, value in known.items() if value)


def _plain_words(node: Node) -> str:
    return "".join(child if isinstance(child, str) else _plain_words(child) for child in node.children).strip()


def _classes(node: Node) -> str:
    names = [node.get("class"), node.get("align")]
    return f' class="{" ".join(filter(None, names))}"' if any(names) else ""


def _width(node: Node) -> str:
    return f' style="width:{points(node.get("width")):.4g}pt"' if node.get("width") else ""
