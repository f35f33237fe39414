"""Every word of a dossier is either the journal's own or comes through the catalogues.

As for the pages: the example in Greek letters, with a catalogue that puts every message between brackets.
"""

from __future__ import annotations

import re
from datetime import date

import pytest
from msgspec.structs import replace

from journalgen.house import trade_lore
from journalgen.outside.dossier.choosing import choose_for_parts, number_shots
from journalgen.outside.dossier.document import make_document
from journalgen.outside.dossier.draft import Draft
from journalgen.outside.dossier.lettering import change_texts
from journalgen.outside.dossier.scope import find_scope
from journalgen.reading.rates import EuropeanCentralBank
from journalgen.site.desk import Teller
from journalgen.site.formats import Formats
from journalgen.site.index import Index
from journalgen.site.matter import OWNER, PUBLIC
from tests.site.matters import matter_of
from tests.site.test_languages import CODES, Marking, greek_journal, outside_brackets, units


@pytest.mark.parametrize("shown", [OWNER, PUBLIC])
@pytest.mark.parametrize("on", [date(2023, 5, 1), date(2025, 9, 30)])
def test_every_word_of_a_dossier_comes_through_the_catalogue_or_from_the_journal(shown: str, on: date) -> None:
    words, rates = Marking(), EuropeanCentralBank()
    matter = replace(matter_of(greek_journal(), shown, on, rates), lore=trade_lore(words.gettext))
    tell = Teller(matter, words, Formats(matter.journal.settings, words), Index(matter))
    scope, shots, figures = find_scope(matter.journal, tell.index.assemblies), tell.index.shots, matter.figures
    draft = Draft(
        tell,
        scope,
        scope.sessions(figures.sessions),
        number_shots(shots.values()),
        choose_for_parts(scope.parts, figures.shots, figures.pairs),
        dict.fromkeys(shots, ""),
        money=True,
        not_shown=(("車", "U+8ECA"),),
    )
    found = set()

    def look(text: str) -> str:
        outside = re.sub(r"U\+8ECA|\[[^\]]*\.jpg\]|https?:\S+|\bEurope/London\b", "", outside_brackets(text))
        for word in re.findall("[A-Za-z]+", CODES.sub("", outside)):
            if word not in units():
                found.add(f"{word} in {text[:90]}")
        return text

    change_texts(make_document(draft, tuple(shots.values()), "a4"), look)
    assert found == set()
