"""`pairs.html`: the first picture and the last of every part that has both."""

from __future__ import annotations

from journalgen.site.desk import Desk
from journalgen.site.marks.pair import show_pair
from journalgen.site.pages.shape import RECORD, Content, Entry, Page, single
from journalgen.site.words import mark


def fill(desk: Desk) -> Content:
    """Every pair, in the order of the before photographs."""
    pairs = desk.matter.figures.pairs
    return Content(
        title=desk._("Pairs"),
        description=desk._("The first picture and the last of each part."),
        fields={"pairs": [show_pair(desk, pair) for pair in pairs.values()], "owner": desk.matter.owner},
    )


PAGE = Page("pairs.html", "pairs.html", single("pairs.html", fill), Entry(RECORD, mark("Pairs")), kind="ImageGallery")
