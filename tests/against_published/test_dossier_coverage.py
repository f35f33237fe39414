"""The dossier against what others ask of the record of a restoration, item by item.

Sources: American Institute for Conservation, Commentaries 24 to 28 to the Guidelines for Practice, part B; FIVA,
Charter of Turin Handbook, chapter 3. `coverage.csv` says of each item whether its text was at hand or is from memory.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from journalgen.outside.dossier.coverage import Item, read_coverage
from journalgen.outside.dossier.making import tell_dossier
from journalgen.reading.rates import EuropeanCentralBank
from tests.outside.papers import section_of, text_of
from tests.outside.test_dossier import owner_order, silent

HOUSE = Path(__file__).parents[2]
ITEMS = read_coverage()


@pytest.fixture(scope="module")
def sections(example_dossier: Path) -> dict[str, str]:
    """What each section of the example's dossier says on paper, by its key."""
    document = tell_dossier(owner_order(), EuropeanCentralBank(), silent)
    text = text_of(example_dossier)
    titles = [section.title for section in document.sections]
    return {section.key: section_of(text, titles, section.title) for section in document.sections}


@pytest.mark.parametrize("item", ITEMS, ids=lambda item: f"{item.source}: {item.item}")
def test_the_example_shows_each_item_where_the_table_says(item: Item, sections: dict[str, str]) -> None:
    for shown in item.shows:
        assert shown in sections[item.section], sections[item.section][:3000]


def test_every_source_is_there_and_says_how_it_was_read() -> None:
    assert {item.source for item in ITEMS} == {"AIC 24", "AIC 25", "AIC 26", "AIC 27", "AIC 28", "Turin"}
    assert {item.read for item in ITEMS} == {"published", "memory"}
    assert all(item.shows for item in ITEMS)


def test_the_documentation_holds_the_same_table() -> None:
    rows = re.findall(
        r"^\| (AIC \d\d|Turin) \| (.+) \| (.+) \| `(\w+)` \|$", (HOUSE / "DEVELOPERS.md").read_text(), re.M
    )
    assert rows == [
        (item.source, item.item, "as published" if item.read == "published" else "from memory", item.section)
        for item in ITEMS
    ]
