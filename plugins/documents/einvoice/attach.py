"""A PDF with the XML attached, as its alternative; by no means PDF/A-3, which nothing here could prove.

The file has the name under which programs look for it.
"""

from datetime import date
from io import BytesIO

NAME = "factur-x.xml"


def attached(pdf: bytes, xml: bytes, day: date) -> bytes:
    """The same PDF with the XML inside, dated `day`. The same arguments give the same bytes."""
    import pikepdf

    with pikepdf.open(BytesIO(pdf)) as paper:
        moment = f"D:{day:%Y%m%d}000000Z"
        file = pikepdf.AttachedFileSpec(
            paper,
            xml,
            filename=NAME,
            description="EN 16931",
            mime_type="text/xml",
            relationship=pikepdf.Name.Alternative,
            creation_date=moment,
            mod_date=moment,
        )
        paper.attachments[NAME] = file
        # ISO 32000-2, 14.13: what the whole document is associated with.
        paper.Root.AF = pikepdf.Array([paper.attachments[NAME].obj])
        out = BytesIO()
        paper.save(out, deterministic_id=True)
        return out.getvalue()
