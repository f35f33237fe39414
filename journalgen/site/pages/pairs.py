"""`pairs.html`: the first picture and the last of every part that has both."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Final

from journalgen.ledgers.pairs import Pair
from journalgen.site.desk import Desk
from journalgen.site.marks.pair import show_pair
from journalgen.site.pages.shape import RECORD, Content, Entry, Page, Sheet
from journalgen.site.pages.yearly import Stretch, divide, list_files
from journalgen.site.words import mark

FILE: Final = "pairs.html"


def list_sheets(desk: Desk) -> Iterable[Sheet]:
    """One file, or one for each year of many pairs, by the day of the before photograph."""
    pairs = list(desk.matter.figures.pairs.values())
    return list_files(FILE, divide(pairs, _day), fill)


def fill(desk: Desk, stretch: Stretch[Pair]) -> Content:
    """Every pair, in the order of the before photographs."""
    return Content(
        title=desk._("Pairs"),
        description=desk._("The first picture and the last of each part."),
        fields={"pairs": [show_pair(desk, pair) for pair in stretch.rows], "owner": desk.matter.owner},
    )


def _day(pair: Pair) -> date:
    return pair.before.session.day


PAGE = Page("pairs.html", FILE, list_sheets, Entry(RECORD, mark("Pairs")), kind="ImageGallery")
