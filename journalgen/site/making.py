"""The files of each edition, made where they are to be put in place from, of two editions side by side."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from functools import partial
from typing import Final

from msgspec import Struct

from journalgen.beside import beside
from journalgen.languages import load_words
from journalgen.ledgers.figures import Figures
from journalgen.ledgers.money import ReferenceRates
from journalgen.plain_data import decode, encode
from journalgen.site.pages import Pages
from journalgen.site.renewing import Memory, Renewal
from journalgen.site.templates import COMPILED
from journalgen.site.themes import Theme
from journalgen.site.tree import Files, Tree
from journalgen.site.units import EditionUnits, list_pictures, marks_of
from journalgen.site.whole_journal import Whole, matter_of

_SIDE_BY_SIDE: Final = 1000
"""Sessions up to which two editions are made at once: each takes as much memory again as the journal."""


class Made(Struct, frozen=True):
    """What is to be known of an edition whose files are made."""

    files: Files
    standing: set[str]  # files that are to be as they are
    pictures: list[str]  # by their names in the site
    note: bytes  # for the next run


def make_editions(
    trees: Sequence[tuple[str, Tree]],
    whole: Whole,
    figures: Figures,
    theme: Theme,
    on: date,
    reference: ReferenceRates,
    meanwhile: Callable[[], None],
) -> list[Made]:
    """Makes, for each edition and its tree, the files that cannot stand as they are.

    `figures` are those of the whole journal; `meanwhile` is done while another process is waited for, or at the end.
    Raises ThemeFault and OutputFault.
    """
    COMPILED.recall()
    works = [partial(_make, edition, tree, whole, figures, theme, on, reference) for edition, tree in trees]
    if len(works) == 2 and len(whole.journal.sessions) <= _SIDE_BY_SIDE:
        here, there = works
        found = _make_side_by_side(here, there, meanwhile)
    else:
        found = [work() for work in works]
        meanwhile()
    COMPILED.keep()
    return found


def _make_side_by_side(
    here: Callable[[], Made], there: Callable[[], Made], meanwhile: Callable[[], None]
) -> list[Made]:
    with beside(lambda: encode(there())) as wait:
        one = here()
        meanwhile()
        outcome = wait()
    other = decode(outcome, Made) if outcome is not None else None
    return [one, other or there()]


def _make(
    edition: str,
    tree: Tree,
    whole: Whole,
    figures: Figures,
    theme: Theme,
    on: date,
    reference: ReferenceRates,
) -> Made:
    """Nothing else of the edition is kept, so that two need not be in memory at once."""
    matter = matter_of(whole, figures, edition, on, reference)
    pages = Pages(matter, theme, load_words(matter.journal.settings.language))
    before = decode(tree.note, Memory) if tree.note else None
    marks = marks_of(pages, matter, theme)
    renewal = Renewal(EditionUnits(pages, matter, theme), pages.desk, before, marks, tree)
    files = tree.make(renewal.make())
    return Made(files, renewal.standing, list(list_pictures(matter, theme)), encode(renewal.memory))
