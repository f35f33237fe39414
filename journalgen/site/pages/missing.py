"""`404.html`: what a web host shows for an address that leads nowhere."""

from __future__ import annotations

from journalgen.site.desk import Desk
from journalgen.site.matter import PUBLIC
from journalgen.site.pages.shape import Content, Page, single
from journalgen.site.sitemap import page_address


def fill(desk: Desk) -> Content:
    """Plain markup that reads without stylesheet, since a host may show it at any depth."""
    base = desk.matter.journal.settings.address
    return Content(
        title=desk._("Nothing here"),
        description=desk._("There is no page at this address."),
        fields={"address": page_address(base, "index.html") if base and desk.matter.edition == PUBLIC else None},
    )


PAGE = Page("404.html", "404.html", single("404.html", fill))
