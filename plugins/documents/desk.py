"""Where papers are made: the run, the templates, and each artwork's picture, drawn once."""

import re
from collections.abc import Mapping
from fractions import Fraction

from attrs import evolve
from reportlab.graphics.shapes import Drawing

from pipeline.artwork import read_artwork
from pipeline.display import Display
from pipeline.model.document import Audience, Document
from pipeline.model.money import exponent
from pipeline.model.order import Artwork
from pipeline.model.run import Run, RunKind
from pipeline.shop import Address, Paper
from plugins.documents.paper.assets import Assets
from plugins.documents.paper.markup import Node, parse
from plugins.documents.paper.pdf import print_paper
from plugins.documents.paper.pictures import Picture, picture
from plugins.documents.paper.templates import Templates

SIZES = {Paper.LETTER: "Letter", Paper.A4: "A4"}


class Desk:
    """Makes papers of one run in one language: the shop's, or another by `speaking`.

    It keeps the pictures, so that an artwork of ten runs is drawn once.
    """

    def __init__(self, run: Run, language: str = "") -> None:
        self.run = run
        self.shop = run.shop
        self.quote = run.kind is RunKind.QUOTE
        #: The batch's name; a quote's label says `quote` in front of it.
        self.week = run.label.removeprefix("quote-") if self.quote else run.label
        self.display = Display.of(run.shop, language)
        #: For words: `_ = desk.language.gettext`.
        self.language = self.display.language
        self._templates = Templates(run.shop.root / "templates", self.display)
        self._pictures: dict[str, Picture] = {}
        self._speaking = {self.language.code: self}

    def speaking(self, language: str) -> "Desk":
        """The desk at which papers are made in another language ("" for the shop's own)."""
        code = language or self.shop.language
        if code not in self._speaking:
            other = Desk(self.run, code)
            other._pictures, other._speaking = self._pictures, self._speaking
            self._speaking[code] = other
        return self._speaking[code]

    def paper(
        self,
        template: str,
        path: str,
        title: str,
        audience: Audience,
        job: str = "",
        drawings: Mapping[str, Drawing] | None = None,
        pictures: Mapping[str, Picture] | None = None,
        **values: object,
    ) -> Document:
        """One PDF of `templates/<template>.xml.j2`, filled with `values` and what every paper may name."""
        assets = Assets(drawings=drawings or {}, pictures=pictures or {})
        content = print_paper(self.fill(template, title, **values), assets).data
        return Document(path=path, title=title, content=content, audience=audience, job=job)

    def fill(self, template: str, title: str, **values: object) -> Node:
        """The tree of one paper, before it becomes a PDF or a page."""
        name = f"{template}.xml.j2"
        given = {
            "title": title,
            "run": self.run,
            "shop": self.shop,
            "shop_address": self.address(self.shop.address),
            "quote": self.quote,
            "size": SIZES[self.shop.paper],
            **values,
        }
        page = parse(self._templates.render(name, given), name)
        return evolve(page, attributes={"language": self.language.code, **page.attributes})

    def address(self, address: Address, reader: str = "") -> str:
        """An address as printed, without its country for a reader of the same one."""
        return self.display.address(address, reader)

    def picture(self, artwork: Artwork) -> Picture:
        """The artwork as a small picture."""
        if artwork.sha256 not in self._pictures:
            data = read_artwork(self.shop.root, artwork)
            self._pictures[artwork.sha256] = picture(data, artwork.kind)
        return self._pictures[artwork.sha256]

    def places(self, price: Fraction) -> int:
        """How many decimals show a unit price exactly: the currency's own, four at the most."""
        own = exponent(self.shop.currency)
        return next((n for n in range(own, 4) if (price * 10 ** (n - own)).denominator == 1), 4)


def slug(name: str) -> str:
    """A name as part of a path: lower case, every run of other characters one hyphen; dots and hyphens stay."""
    return re.sub(r"[^a-z0-9.-]+", "-", name.lower()).strip("-.") or "unnamed"
