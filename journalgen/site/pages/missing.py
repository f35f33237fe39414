"""`404.html`: what a web host shows for an address that leads nowhere."""

from __future__ import annotations

from journalgen.site.desk import Desk
from journalgen.site.pages.shape import Content, Page, single


def fill(desk: Desk) -> Content:
    """A host may show it at any depth: it brings its style, and its links are full where the address is known."""
    home = desk.absolute("")
    return Content(
        title=desk._("Nothing here"),
        description=desk._("There is no page at this address."),
        fields={"at_home_everywhere": home is not None},
        root=home or "",
    )


PAGE = Page("404.html", "404.html", single("404.html", fill))
