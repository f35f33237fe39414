"""Small journals for the tests: folders as a restorer would write them, and records from literals."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from pathlib import Path

from journalgen.ledgers.money import ReferenceRate
from journalgen.problems import Problem, Problems
from journalgen.reading.entries import parse_entry
from journalgen.records import Session
from journalgen.values import Place

SETTINGS = """
title = "Test trolley"
home_currency = "GBP"
locale = "en_GB"
time_zone = "Europe/London"
"""


@dataclass(frozen=True)
class FixedRates:
    """Reference rates from a literal: (currency, home) to the rate, all of one day."""

    rates: Mapping[tuple[str, str], Fraction] = field(default_factory=dict)
    day: date | None = None

    def find(self, currency: str, home: str, day: date) -> ReferenceRate | None:
        rate = self.rates.get((currency, home))
        return ReferenceRate(rate, self.day or day) if rate else None


def write_journal(folder: Path, files: Mapping[str, str], settings: str = SETTINGS) -> Path:
    """A journal folder of the given texts, dedented."""
    for name, text in {"journal.toml": settings, **files}.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(textwrap.dedent(text).lstrip("\n"), encoding="utf-8", newline="\n")
    return folder


def entry(text: str, problems: Problems | None = None, file: str = "entries/2024-03-09-a-day.md") -> Session:
    """The session of one entry's text; every problem must be wanted by passing `problems`."""
    found = Problems() if problems is None else problems
    session = parse_entry(textwrap.dedent(text).lstrip("\n"), file, "GBP", found)
    assert session is not None, found.found
    if problems is None:
        assert not found.found, found.found
    return session


def rules(problems: Problems | tuple[Problem, ...] | list[Problem]) -> list[str]:
    """The rule names of problems, in order."""
    found = problems.found if isinstance(problems, Problems) else problems
    return [problem.rule for problem in found]


PLACE = Place("entries/2024-03-09-a-day.md", 3, 1)
