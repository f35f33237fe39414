"""A journal of four years that was assembled: again with nothing changed, and with one entry edited."""

from __future__ import annotations

import re
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from statistics import median
from typing import Final

from journalgen.reading.rates import EuropeanCentralBank
from journalgen.site.assemble import Assembler, Order
from tests.bench.journals import ON, Size, small_photograph, write_journal
from tests.bench.rows import PROGRAM, Row, in_turn, run

SIZE: Final = Size(sessions=400, photographs=6000)
WALK: Final = """
import os, sys
for folder in ("entries", "register", "photos"):
    for here, _, _ in os.walk(os.path.join(sys.argv[1], folder)):
        for row in os.scandir(here):
            row.stat()
"""
_TIMES: Final = 5


def measure(size: Size = SIZE) -> Iterator[Row]:
    """Nothing changed, against a walk of what the journal's owner keeps; then one entry edited."""
    with tempfile.TemporaryDirectory() as folder:
        journal = Path(folder) / "journal"
        write_journal(journal, size, small_photograph())
        assemble = [*PROGRAM, "assemble", journal, "--on", ON]
        for _ in range(2):
            run(assemble)
        what = f"{size.sessions} sessions, {size.photographs} photographs"
        ours, walk = in_turn(
            _TIMES, lambda: run(assemble).seconds, lambda: run([sys.executable, "-c", WALK, journal]).seconds
        )
        yield Row(f"assemble, nothing changed, {what}", ours, "s", 3, "a bare walk and stat by Python", walk)
        entry = sorted((journal / "entries").rglob("*.md"))[size.sessions // 2]
        for kind, edit in (("its text", say_more), ("its hours", other_hours)):
            taken = []
            for n in range(_TIMES):
                edit(entry, n)
                taken.append(run(assemble).seconds)
            yield Row(f"assemble, one entry edited ({kind}), {what}", median(taken), "s", 0.6)
        yield from _running(journal, entry, what)


def _running(journal: Path, entry: Path, what: str) -> Iterator[Row]:
    assembler = Assembler(Order(journal, date.fromisoformat(ON)), EuropeanCentralBank())
    assembler.assemble()
    pages, wholes = [], []
    for n in range(2 * _TIMES):
        (say_more if n % 2 else other_hours)(entry, n)
        start = time.perf_counter()
        page = assembler.show_entry(entry.relative_to(journal).as_posix())
        pages.append(time.perf_counter() - start)
        if page is None:
            raise RuntimeError("The page of the entry was not shown.")
        assembler.assemble()
        wholes.append(time.perf_counter() - start)
    yield Row(f"in a running process, from the save to the entry's page, {what}", 1000 * median(pages), "ms", 100)
    yield Row("the same, to all that depends on it", 1000 * median(wholes), "ms")


def say_more(entry: Path, n: int) -> None:
    """Edits what an entry says, and nothing that is counted."""
    entry.write_text(f"{entry.read_text(encoding='utf-8')}\nMore was said, {n}.\n", encoding="utf-8")


def other_hours(entry: Path, n: int) -> None:
    """Edits its hours, which are counted on many pages."""
    text = re.sub(r"hours: \d+ min", f"hours: {300 + n} min", entry.read_text(encoding="utf-8"), count=1)
    entry.write_text(text, encoding="utf-8")
