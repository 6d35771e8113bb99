"""Papers: a Jinja template renders a small XML, and that becomes a PDF to print or a page for a browser.

How to write a document
-----------------------
1. Write `templates/<name>.xml.j2`. Tags, attributes and classes: the table at the top of `vocabulary.py`. Filters
   for money, lengths, temperatures, dates, and how words are said in the reader's language: the top of `filters.py`.
   A template does no arithmetic, and says no word past `_`.

       <page title="{{ title }}" author="{{ shop.name }}">
       <footer>{{ shop.name }}</footer>
       {% block head %}
       <row>
         <col width="2"><h1>{{ _("Packing list") }}</h1><p>{{ customer.address | lines }}</p></col>
         <col align="right"><barcode value="{{ order.job }}"/></col>
       </row>
       {% endblock %}
       <table>
         <tr><th>{{ _("Garment") }}</th><th>{{ _("Size") }}</th><th align="right">{{ _("Pieces") }}</th></tr>
         {% for line in lines %}
         <tr><td>{{ line.garment }}</td><td>{{ line.size }}</td><td align="right">{{ line.pieces }}</td></tr>
         {% endfor %}
       </table>
       <drawing name="placement" width="3in" alt="{{ _("Where the print goes") }}"/>
       </page>

   Wrap what a shop may want to change in blocks: its own file then starts with
   `{% extends "default/<name>.xml.j2" %}` and restates one block.

2. Fill it, read it, print it:

       templates = Templates(shop_folder / "templates", Display(currency="USD"))  # once per run
       page = parse(templates.render("packing_list.xml.j2", values), "packing_list.xml.j2")
       paper = print_paper(page, Assets(drawings={"placement": drawing}, pictures={"mark": picture}))
       paper.data, paper.pages, paper.missing
       html_page(page, assets)  # the same tree for a browser

   `Templates` (templates.py), `Display` (pipeline/display.py), `parse` (markup.py), `print_paper` (pdf.py),
   `html_page` (html.py), `Assets` (assets.py), `picture` (pictures.py). All that is wrong in a template is one
   `PaperError` with the template's name and line. `paper.missing` are characters that the bundled fonts cannot set:
   tell the user.

A PDF is tagged (structure.py, marked.py): it is read aloud in the order of the XML, each drawing by its `alt`, each
table by its `title`. Headers and footers are not read; what matters stands in the paper, too.

Drawings are reportlab `Drawing`s, pictures come from `pictures.picture(data, kind)`; both are asked for by name,
so that a template can never reach a file. The same values give the same bytes, always.
"""
