"""What a template may ask for by name: drawings, pictures and views. Never a path, so no template reads a file."""

from collections.abc import Mapping

from attrs import field, frozen
from reportlab.graphics.shapes import Drawing

from pipeline.language import Language
from plugins.documents.canvas import Picture
from plugins.documents.paper import code
from plugins.documents.paper.markup import Node
from plugins.documents.paper.vocabulary import points


@frozen(kw_only=True)
class Assets:
    """What is handed over with one paper."""

    drawings: Mapping[str, Drawing] = field(factory=dict)
    pictures: Mapping[str, Picture] = field(factory=dict)
    #: HTML for a page, made by code that escapes what it is given.
    views: Mapping[str, str] = field(factory=dict)
    #: In which the paper says what is not in its template (page numbers, the words of boxes); None: the page tells.
    language: Language | None = None

    def drawing(self, node: Node) -> Drawing:
        """The drawing of a drawing, barcode or qr element. Raises PaperError at the element."""
        try:
            if node.tag == "qr":
                return code.qr(node.get("value"), points(node.get("width") or f"{code.QR_SIZE}pt"))
            if node.tag == "barcode":
                drawn = code.gs1_128 if node.get("kind") == "sscc" else code.code128
                return drawn(node.get("value"))
        except ValueError as error:
            raise node.fault(str(error)) from error
        if node.get("name") not in self.drawings:
            raise node.fault(_unknown("drawing", node.get("name"), self.drawings))
        return self.drawings[node.get("name")]

    def picture(self, node: Node) -> Picture:
        """The picture of an img element. Raises PaperError at the element."""
        if node.get("name") not in self.pictures:
            raise node.fault(_unknown("picture", node.get("name"), self.pictures))
        return self.pictures[node.get("name")]

    def view(self, node: Node) -> str:
        """The HTML of a view element. Raises PaperError at the element."""
        if node.get("name") not in self.views:
            raise node.fault(_unknown("view", node.get("name"), self.views))
        return self.views[node.get("name")]


def _unknown(what: str, name: str, known: Mapping[str, object]) -> str:
    return f"no {what} {name!r} was handed over with this paper; there are: {', '.join(sorted(known)) or 'none'}"
