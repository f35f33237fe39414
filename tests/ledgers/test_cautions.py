"""Which cautions work calls for."""

from __future__ import annotations

from pathlib import Path

import pytest

from journalgen.house import trade_lore
from journalgen.ledgers.cautions import cautions_ahead, part_cautions, session_cautions, signal_word
from journalgen.reading.journal import read_journal
from journalgen.records import Journal, Material
from tests.journals import write_journal

FILES = {
    "register/parts.yaml": "brake rod: {safety: brakes}\nwheel:\n",
    "register/materials.yaml": "paint: {hazards: [H226, H999]}\nwater:\n",
    "register/steps.yaml": "steps:\n  sing: {cautions: [mind your voice]}\n",
    "entries/2024-01-01-a.md": """
        ---
        work:
          - {part: wheel, step: blast}
          - {part: wheel, step: sing}
          - {part: brake rod, step: inspect}
        materials: paint 5 mL, water 1 L
        ---
        """,
}


@pytest.fixture
def journal(tmp_path: Path) -> Journal:
    return read_journal(write_journal(tmp_path, FILES)).journal


def test_a_session_warns_of_its_parts_its_steps_and_its_materials(journal: Journal) -> None:
    found = session_cautions(journal.sessions[0], journal, trade_lore())
    assert [caution.key for caution in found] == [
        "brakes",
        "blasting",
        "old paint",
        "mind your voice",
        "material paint",
    ]
    assert all(caution.defer and caution.source for caution in found)
    assert "competent" in " ".join(found[0].text)


def test_hazard_codes_are_spelt_out_and_an_unknown_one_is_not_dropped(journal: Journal) -> None:
    paint = session_cautions(journal.sessions[0], journal, trade_lore())[-1]
    assert paint.text == ("H226: Flammable liquid and vapour.", "H999")


def test_a_part_has_only_the_cautions_of_what_was_done_on_it(journal: Journal) -> None:
    sessions, lore = journal.sessions, trade_lore()
    assert [caution.key for caution in part_cautions("brake rod", sessions, journal, lore)] == ["brakes"]
    assert "blasting" in [caution.key for caution in part_cautions("wheel", sessions, journal, lore)]


def test_for_work_to_come_each_caution_names_the_parts_or_the_steps_that_call_for_it(journal: Journal) -> None:
    work = [("brake rod", "blast"), ("wheel", "blast"), ("wheel", "chemical strip"), ("brake rod", "inspect")]
    found = [(caution.title, about) for caution, about in cautions_ahead(work, journal, trade_lore())]
    assert found == [
        ("Brakes", ("brake rod",)),
        ("Abrasive blasting", ("blast",)),
        ("Old paint (lead and chromate)", ("blast", "chemical strip")),
        ("Solvents", ("chemical strip",)),
    ]


@pytest.mark.parametrize(
    ("codes", "word"),
    [(("H226",), "warning"), (("H226", "H314"), "danger"), (("H412",), None), ((), None), (("H999",), None)],
)
def test_the_signal_word_is_the_gravest_that_the_codes_carry(codes: tuple[str, ...], word: str | None) -> None:
    assert signal_word(Material("paint", hazards=codes), trade_lore()) == word
