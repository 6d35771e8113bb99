"""Where papers are made: the run, the templates, and each artwork's picture, drawn once."""

import re
from collections.abc import Mapping
from fractions import Fraction

from reportlab.graphics.shapes import Drawing

from pipeline.artwork import read_artwork
from pipeline.model.document import Audience, Document
from pipeline.model.money import exponent
from pipeline.model.order import Artwork
from pipeline.model.run import Run, RunKind
from pipeline.shop import Address, Paper, Units
from plugins.documents.paper.assets import Assets
from plugins.documents.paper.filters import Display
from plugins.documents.paper.markup import Node, parse
from plugins.documents.paper.pdf import print_paper
from plugins.documents.paper.pictures import Picture, picture
from plugins.documents.paper.templates import Templates

SIZES = {Paper.LETTER: "Letter", Paper.A4: "A4"}


class Desk:
    """Makes papers of one run. It keeps the pictures, so that an artwork of ten runs is drawn once."""

    def __init__(self, run: Run) -> None:
        self.run = run
        self.shop = run.shop
        self.quote = run.kind is RunKind.QUOTE
        #: The batch's name; a quote's label says `quote` in front of it.
        self.week = run.label.removeprefix("quote-") if self.quote else run.label
        display = Display(currency=run.shop.currency, metric_first=run.shop.units is Units.MILLIMETRE)
        self._templates = Templates(run.shop.root / "templates", display)
        self._pictures: dict[str, Picture] = {}

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
            "shop_address": address_text(self.shop.address),
            "quote": self.quote,
            "size": SIZES[self.shop.paper],
            **values,
        }
        return parse(self._templates.render(name, given), name)

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


def address_text(address: Address, reader: str = "") -> str:
    """An address as printed, one line each; without its country for a reader of the same one."""
    city = f"{address.city}, {address.region} {address.postcode}" if address.region else None
    country = () if address.country == reader else (address.country,)
    return "\n".join((*address.lines, city or f"{address.postcode} {address.city}", *country))
