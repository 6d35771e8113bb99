"""The page of the watched folder: what waits, what was rejected, when the week is closed."""

from pipeline.display import Display
from pipeline.model.document import Audience, Document
from pipeline.model.folder import WatchedFolder
from pipeline.shop import Shop
from plugins.documents.paper.html import html_page
from plugins.documents.paper.markup import parse
from plugins.documents.paper.templates import Templates

TEMPLATE = "status.xml.j2"


def document(folder: WatchedFolder, shop: Shop) -> Document:
    """The page."""
    display = Display.of(shop)
    title = display.language.gettext("%(shop)s: orders as they come in", shop=shop.name)
    templates = Templates(shop.root / "templates", display)
    titles = {customer.name: customer.title for customer in shop.customers}
    values = {"title": title, "folder": folder, "shop": shop, "titles": titles}
    page = html_page(parse(templates.render(TEMPLATE, values), TEMPLATE))
    return Document(path="status.html", title=title, content=page.encode(), audience=Audience.OFFICE)
