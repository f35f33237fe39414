"""All problems of a journal: those of reading it, those its ledgers find, and its photographs'."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any, Final

from journalgen.ledgers.figures import compute
from journalgen.ledgers.money import ReferenceRates
from journalgen.problems import Problem, Problems, in_order
from journalgen.reading.checks import check_days, listed_photos
from journalgen.reading.journal import Reading
from journalgen.records import Journal

FORMAT: Final = "journalgen-problems/1"


def inspect_journal(
    reading: Reading, folder: Path, reference: ReferenceRates, on: date, *, today: bool
) -> tuple[Problem, ...]:
    """Every problem, by file and line. `today`: whether `on` is this very day, so that later entries are odd."""
    found = record_problems(reading, reference, on, today=today)
    return in_order([*found, *photo_problems(reading.journal, folder)])


def record_problems(reading: Reading, reference: ReferenceRates, on: date, *, today: bool) -> tuple[Problem, ...]:
    """Every problem of the entries, the registers and the ledgers; no photograph is opened."""
    problems = Problems(list(reading.problems))
    compute(reading.journal, reference, on, problems)
    if today:
        check_days(reading.journal.sessions, on, problems)
    return problems.in_order()


def photo_problems(journal: Journal, folder: Path) -> list[Problem]:
    """Photographs that are there but cannot be used, as far as their first bytes tell."""
    problems = Problems()
    for photo in listed_photos(journal.sessions).values():
        path = folder / "photos" / photo.file
        if not path.is_file() or not path.resolve().is_relative_to(folder.resolve()):
            continue  # reported when the journal was read
        from journalgen.pictures import look_at  # brings the picture library: only where there is a picture

        fault = look_at(path)
        if fault:
            problems.warning(
                photo.place,
                f"photo-{fault.kind}",
                f"{photo.file}: {fault.message}",
                "Put a sound copy of it into photos/; a gap is marked on the page until then.",
            )
    return problems.found


def problems_json(found: Iterable[Problem]) -> dict[str, Any]:
    """The problems in the stable shape of journalgen-problems/1."""
    return {"format": FORMAT, "problems": [_row(problem) for problem in found]}


def _row(problem: Problem) -> dict[str, Any]:
    return {
        "file": problem.place.file,
        "line": problem.place.line,
        "column": problem.place.column,
        "severity": problem.severity,
        "rule": problem.rule,
        "message": problem.message,
        "remedy": problem.remedy,
    }
