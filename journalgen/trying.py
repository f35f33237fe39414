"""An entry tried before it is written: which problems it would bring into the journal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date
from pathlib import Path

from journalgen.inspecting import photo_problems, record_problems
from journalgen.ledgers.money import ReferenceRates
from journalgen.problems import Problem
from journalgen.reading.journal import Reading, read_journal
from journalgen.reading.remembered import Remembered


def try_entry(
    reading: Reading, memory: Remembered, folder: Path, file: str, text: str, reference: ReferenceRates, today: date
) -> tuple[Problem, ...]:
    """What an inspection would report of the journal with this entry, and does not report without it.

    `file` is where it would stand in the journal, `memory` what was kept when `reading` was read.
    """
    tried = read_journal(folder, memory=memory, unwritten={file: text})
    before = Counter(map(_what, record_problems(reading, reference, today, today=True)))
    found = [*record_problems(tried, reference, today, today=True), *_photo_problems(tried, folder, file)]
    return tuple(_beyond(found, before))


def _photo_problems(tried: Reading, folder: Path, file: str) -> list[Problem]:
    """Of the photographs that no other entry lists."""
    return [problem for problem in photo_problems(tried.journal, folder) if problem.place.file == file]


def _beyond(found: Iterable[Problem], before: Counter[tuple[str, str]]) -> Iterable[Problem]:
    for problem in found:
        if before[_what(problem)]:
            before[_what(problem)] -= 1
        else:
            yield problem


def _what(problem: Problem) -> tuple[str, str]:
    """What makes two problems one, wherever it stands: the first use of a name may now be another."""
    return problem.rule, problem.message
