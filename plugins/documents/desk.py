"""Where papers are made: the run, the templates, and each artwork's picture, drawn once."""

import re
from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from functools import partial
from typing import Self

from attrs import evolve
from reportlab.graphics.shapes import Drawing

from pipeline.artwork import read_artwork
from pipeline.display import Display
from pipeline.model.document import Audience, Document
from pipeline.model.money import exponent
from pipeline.model.order import Artwork
from pipeline.model.run import Replan, Run, RunKind
from pipeline.shop import Address, Paper, Shop
from plugins.documents.canvas import Picture
from plugins.documents.kept import Kept
from plugins.documents.paper.assets import Assets
from plugins.documents.paper.markup import Node, parse
from plugins.documents.paper.pdf import print_paper
from plugins.documents.paper.pictures import picture
from plugins.documents.paper.templates import Templates

SIZES = {Paper.LETTER: "Letter", Paper.A4: "A4"}
_PICTURES = 16_000_000
"""Bytes of pictures that are kept."""

Work = Callable[[], Iterable[Document]]
"""Some documents that are made when it is called. A part lists its works in the order of its papers, and quickly."""


class WholeWork(partial[Iterable[Document]]):
    """A work about the whole run: it takes the longer the larger that is."""


class ShopDesk:
    """Makes a shop's papers in one language: the shop's, or another by `speaking`."""

    def __init__(self, shop: Shop, language: str = "") -> None:
        self.shop = shop
        self.display = Display.of(shop, language)
        #: For words: `_ = desk.language.gettext`.
        self.language = self.display.language
        self._templates = Templates(shop.root / "templates", self.display)
        self._speaking: dict[str, Self] = {}

    def speaking(self, language: str) -> Self:
        """The desk at which papers are made in another language ("" for the shop's own)."""
        code = language or self.shop.language
        if code == self.language.code:
            return self
        if code not in self._speaking:
            self._speaking[code] = self._in(code)
        return self._speaking[code]

    def _in(self, language: str) -> Self:
        return type(self)(self.shop, language)

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
        assets = Assets(drawings=drawings or {}, pictures=pictures or {}, language=self.language)
        content = print_paper(self.fill(template, title, **values), assets).data
        return Document(path=path, title=title, content=content, audience=audience, job=job)

    def fill(self, template: str, title: str, **values: object) -> Node:
        """The tree of one paper, before it becomes a PDF or a page."""
        name = f"{template}.xml.j2"
        page = parse(self._templates.render(name, {"title": title, **self._known(), **values}), name)
        return evolve(page, attributes={"language": self.language.code, **page.attributes})

    def _known(self) -> dict[str, object]:
        """What every paper may name."""
        shop = self.shop
        return {"shop": shop, "shop_address": self.address(shop.address), "size": SIZES[shop.paper]}

    def address(self, address: Address, reader: str = "") -> str:
        """An address as printed, without its country for a reader of the same one."""
        return self.display.address(address, reader)

    def places(self, price: Fraction) -> int:
        """How many decimals show a unit price exactly: the currency's own, four at the most."""
        own = exponent(self.shop.currency)
        return next((n for n in range(own, 4) if (price * 10 ** (n - own)).denominator == 1), 4)


class FloorDesk(ShopDesk):
    """Makes the floor's papers, of a run or of a week that is planned again.

    It keeps pictures, so that an artwork of ten runs is drawn once.
    """

    def __init__(self, pressing: Run | Replan, language: str = "", pictures: Kept[Picture] | None = None) -> None:
        super().__init__(pressing.shop, language)
        self.pressing = pressing
        #: The batch's name; a quote's label says `quote` in front of it.
        self.batch = (
            pressing.runs[0]
            if isinstance(pressing, Replan)
            else pressing.label.removeprefix(_before(pressing.kind))
        )
        #: The same and, where it was planned again, as of when.
        self.week = self.batch
        if pressing.schedule.as_of is not None:
            moment = self.display.moment(pressing.schedule.as_of)
            self.week = self.language.gettext("%(week)s as of %(moment)s", week=self.batch, moment=moment)
        self._pictures = Kept[Picture](_PICTURES) if pictures is None else pictures

    def _in(self, language: str) -> Self:
        return type(self)(self.pressing, language, self._pictures)

    def picture(self, artwork: Artwork) -> Picture:
        """The artwork as a small picture."""
        return self._pictures.get(
            artwork.sha256, lambda: picture(read_artwork(self.shop.root, artwork), artwork.kind)
        )


class Desk(FloorDesk):
    """Makes all papers of one run."""

    def __init__(self, run: Run, language: str = "", pictures: Kept[Picture] | None = None) -> None:
        super().__init__(run, language, pictures)
        self.run = run
        self.quote = run.kind is RunKind.QUOTE

    def _in(self, language: str) -> Self:
        return type(self)(self.run, language, self._pictures)

    def _known(self) -> dict[str, object]:
        return {**super()._known(), "run": self.run, "quote": self.quote}


def _before(kind: RunKind) -> str:
    return "quote-" if kind is RunKind.QUOTE else ""


def slug(name: str) -> str:
    """A name as part of a path: lower case, every run of other characters one hyphen; dots and hyphens stay."""
    return re.sub(r"[^a-z0-9.-]+", "-", name.lower()).strip("-.") or "unnamed"
