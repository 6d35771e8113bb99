"""Reading a paper's XML (see vocabulary.py for what it may hold) into a tree of nodes."""

import xml.parsers.expat
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import NoReturn

from attrs import field, frozen

from pipeline.language import LANGUAGES, SOURCE, Language
from plugins.documents.paper.fault import PaperError
from plugins.documents.paper.vocabulary import ATTRIBUTES, HOLDS, REQUIRED, TEXT_IN, WORDS, shares


@frozen(kw_only=True)
class Node:
    """One element, with the place in the template that wrote it."""

    tag: str
    attributes: Mapping[str, str]
    children: "tuple[Node | str, ...]"
    template: str = field(eq=False)
    line: int | None = field(eq=False)

    def get(self, name: str, default: str = "") -> str:
        """An attribute's text, or `default`."""
        return self.attributes.get(name, default)

    @property
    def nodes(self) -> "tuple[Node, ...]":
        """The child elements."""
        return tuple(child for child in self.children if isinstance(child, Node))

    def fault(self, message: str) -> PaperError:
        """An error that stands at this element."""
        return PaperError(message, self.template, self.line)


def parse(xml_text: str, template: str) -> Node:
    """The tree of one paper. `template` names it where the text itself carries no marks.

    Raises PaperError for anything that vocabulary.py does not allow, for broken XML, and for a document type
    (none is needed, and entities can be used to blow up memory or to read files).
    """
    return _Reader(template).read(xml_text)


class _Reader:
    """Builds the tree from the parser's events."""

    def __init__(self, template: str) -> None:
        self._template = template
        self._line: int | None = None
        self._open: list[tuple[str, Mapping[str, str], list[Node | str], str, int | None]] = []
        self._root: Node | None = None
        self._parser = xml.parsers.expat.ParserCreate()
        self._parser.buffer_text = True
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        self._parser.CharacterDataHandler = self._text
        self._parser.ProcessingInstructionHandler = self._mark
        self._parser.StartDoctypeDeclHandler = self._doctype

    def read(self, xml_text: str) -> Node:
        try:
            self._parser.Parse(xml_text, True)
        except xml.parsers.expat.ExpatError as error:
            reason = xml.parsers.expat.ErrorString(error.code)
            hint = "; write &#160; and the like by number" if "entity" in reason else ""
            self._fail(f"the markup is broken here or just after: {reason}{hint}")
        if self._root is None or self._root.tag != "page":
            self._fail("a paper is one <page>")
        return self._root

    def _fail(self, message: str) -> NoReturn:
        raise PaperError(message, self._template, self._line or self._parser.CurrentLineNumber)

    def _doctype(self, *_: object) -> None:
        self._fail("a document type is not allowed")

    def _mark(self, target: str, data: str) -> None:
        if target == "at":
            line, _, self._template = data.partition(" ")
            self._line = int(line)

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        if tag not in HOLDS:
            self._fail(f"there is no tag <{tag}>")
        if self._open and tag not in HOLDS[self._open[-1][0]]:
            allowed = " ".join(sorted(HOLDS[self._open[-1][0]])) or "nothing"
            self._fail(f"<{tag}> may not stand in <{self._open[-1][0]}>, which holds {allowed}")
        known = ATTRIBUTES.get(tag, {})
        for name, value in attributes.items():
            if name not in known:
                self._fail(f"<{tag}> has no attribute {name!r}; it has {', '.join(known) or 'none'}")
            try:
                known[name](value)
            except ValueError as error:
                self._fail(f'<{tag} {name}="{value}">: {error}')
        for name in REQUIRED.get(tag, ()):
            if not attributes.get(name):
                self._fail(f"<{tag}> needs the attribute {name!r}")
        self._open.append((tag, MappingProxyType(attributes), [], self._template, self._line))

    def _end(self, _: str) -> None:
        tag, attributes, children, template, line = self._open.pop()
        node = Node(
            tag=tag,
            attributes=attributes,
            children=tuple(children),
            template=template,
            line=line or self._parser.CurrentLineNumber,
        )
        if tag == "table":
            check_columns(node)
        if self._open:
            self._open[-1][2].append(node)
        else:
            self._root = node

    def _text(self, text: str) -> None:
        tag, _, children, _, _ = self._open[-1]
        if tag in TEXT_IN:
            children.append(text)
        elif text.strip():
            self._fail(f"the text {text.strip()[:30]!r} may not stand directly in <{tag}>")


def language_of(page: Node) -> Language:
    """In which language a paper says what is not in its template: page numbers, the words of boxes."""
    code, _, territory = page.get("language", SOURCE).partition("-")
    return Language(code if code in LANGUAGES else SOURCE, territory)


def alternative(node: Node, language: Language) -> str:
    """What a drawing, picture or code says to who cannot see it."""
    return node.get("alt") or language.gettext("code %(value)s", value=node.get("value"))


def columns(row: Node) -> int:
    """How many columns a table row fills."""
    return sum(int(cell.get("colspan", "1")) for cell in row.nodes)


def check_columns(table: Node) -> None:
    """Every row fills the same number of columns. Raises PaperError at the row that does not."""
    if not table.nodes:
        raise table.fault("a table needs at least one <tr>")
    expected = len(shares(table.get("widths"))) if table.get("widths") else columns(table.nodes[0])
    for row in table.nodes:
        if columns(row) != expected:
            raise row.fault(f"this row fills {columns(row)} columns, the table has {expected}")


def header_rows(table: Node) -> int:
    """How many leading rows hold th alone; they repeat on every page. A table of nothing else has none."""
    for count, row in enumerate(table.nodes):
        if any(cell.tag != "th" for cell in row.nodes):
            return count
    return 0


def pieces(node: Node) -> Iterator[Node | tuple[Node | str, ...]]:
    """What a flow holds, in order: block elements, and runs of words between them as tuples."""
    run: list[Node | str] = []
    for child in node.children:
        if isinstance(child, Node) and child.tag not in WORDS:
            if any(isinstance(part, Node) or part.strip() for part in run):
                yield tuple(run)
            run = []
            yield child
        else:
            run.append(child)
    if any(isinstance(part, Node) or part.strip() for part in run):
        yield tuple(run)
