"""Entries, registers and settings whose bytes are led by what the program does with those before, by atheris.

python -m tests.fuzz.guided -runs=100000 (or -max_total_time=600; Linux, `pip install -e ".[fuzz]"`). The first byte
says what the rest is. It ends at the first input that is neither a record nor a problem with a place, and keeps it.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any, Final

import atheris

with atheris.instrument_imports(include=["journalgen.reading", "journalgen.markup", "journalgen.values"]):
    from journalgen.problems import Problems
    from journalgen.reading.entries import parse_entry
    from journalgen.reading.registers import parse_materials, parse_parts, parse_steps, parse_suppliers
    from journalgen.reading.settings import parse_settings
    from journalgen.reading.texts import decode

FILE: Final = "entries/2024-03-09-a.md"
READERS: Final[list[Callable[[str, Problems], Any]]] = [
    lambda text, problems: parse_entry(text, FILE, "GBP", problems),
    lambda text, problems: parse_parts(text, FILE, problems),
    lambda text, problems: parse_materials(text, FILE, problems),
    lambda text, problems: parse_suppliers(text, FILE, problems),
    lambda text, problems: parse_steps(text, FILE, problems),
    lambda text, problems: parse_settings(text, "journal", problems),
]


def try_bytes(data: bytes) -> None:
    if not data:
        return
    problems = Problems()
    text = decode(data[1:], FILE, problems)
    if text is not None:
        READERS[data[0] % len(READERS)](text, problems)
    for problem in problems.in_order():
        assert problem.place.file, problem
        assert problem.place.line >= 1, problem
        assert problem.message.strip(), problem
        assert problem.remedy.strip(), problem


if __name__ == "__main__":
    atheris.Setup([*sys.argv, "-max_len=4096", "-timeout=5", "-rss_limit_mb=500"], try_bytes)
    atheris.Fuzz()
