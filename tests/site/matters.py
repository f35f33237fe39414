"""Editions of small journals, ready to be shown."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from journalgen.editions import public_edition
from journalgen.ledgers.figures import compute
from journalgen.ledgers.money import ReferenceRates
from journalgen.problems import Problems
from journalgen.reading.journal import read_journal
from journalgen.records import Journal
from journalgen.site.matter import OWNER, PUBLIC, Matter, material_slugs, part_slugs, step_slugs
from journalgen.site.said import Said, said_in_public
from tests.journals import SETTINGS, FixedRates, write_journal

ON = date(2025, 9, 30)


def said_in(journal: Journal, edition: str) -> dict[str, str]:
    """What an edition's sessions say in plain text."""
    said = Said().of(journal.sessions)
    return said if edition == OWNER else said_in_public(public_edition(journal).sessions, said)


def matter_of(journal: Journal, edition: str = PUBLIC, on: date = ON, rates: ReferenceRates | None = None) -> Matter:
    """One edition of a journal, computed as the program computes it."""
    shown = journal if edition == OWNER else public_edition(journal)
    hidden = frozenset() if edition == OWNER else journal.settings.hide
    figures = compute(shown, rates or FixedRates(), on, Problems())
    return Matter(
        edition,
        shown,
        figures,
        {},
        hidden,
        said=said_in(journal, edition),
        part_slugs=part_slugs(journal),
        material_slugs=material_slugs(journal),
        step_slugs=step_slugs(journal),
    )


def read_matter(
    folder: Path, files: Mapping[str, str], edition: str = PUBLIC, settings: str = SETTINGS, on: date = ON
) -> Matter:
    """One edition of a journal written to a folder, which must hold no error."""
    reading = read_journal(write_journal(folder, files, settings))
    assert not [problem for problem in reading.problems if problem.is_error], reading.problems
    return matter_of(reading.journal, edition, on)
