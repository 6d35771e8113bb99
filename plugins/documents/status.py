"""The page of the watched folder: what waits, what was rejected, when the week is closed."""

from pipeline.model.document import Audience, Document
from pipeline.model.folder import WatchedFolder
from pipeline.shop import Shop
from plugins.documents.desk import ShopDesk
from plugins.documents.paper.assets import Assets
from plugins.documents.paper.html import html_page


def document(folder: WatchedFolder, shop: Shop) -> Document:
    """The page."""
    desk = ShopDesk(shop)
    title = desk.language.gettext("%(shop)s: orders as they come in", shop=shop.name)
    titles = {customer.name: customer.title for customer in shop.customers}
    page = html_page(desk.fill("status", title, folder=folder, titles=titles), Assets(language=desk.language))
    return Document(path="status.html", title=title, content=page.encode(), audience=Audience.OFFICE)
