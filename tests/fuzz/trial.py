"""One journal tried: whatever its files hold, what comes of it is a record or problems that say where, soon and in
words that no terminal obeys."""

from __future__ import annotations

import re
import signal
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from types import FrameType
from typing import Final
from unicodedata import bidirectional, category

from msgspec import Struct

from journalgen.ledgers.figures import compute
from journalgen.pointing import Sources
from journalgen.problems import Problem, Problems, in_order
from journalgen.reading.journal import read_journal
from journalgen.reading.rates import EuropeanCentralBank
from journalgen.ready import find_ready
from journalgen.site.assemble import JournalFaulty, Order, assemble
from journalgen.site.themes import ThemeFault
from journalgen.terminal import problem_lines
from journalgen.totals import Choice, total, totals_json

ON: Final = date(2025, 9, 30)
SLOWEST: Final = 15.0  # seconds of one processor, for one journal; a busy machine may charge twice what is taken
RATES: Final = EuropeanCentralBank()
_PLACED: Final = re.compile(r".*journal\.toml:\d+: .+", re.DOTALL)
_TURNING: Final = ("LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI")
"""Letters that turn a line around (Unicode Standard Annex 9)."""

_DRIVING: Final = re.compile(
    "["
    + "".join(
        re.escape(c)
        for c in map(chr, range(0x110000))
        if category(c) in ("Cc", "Cs", "Zl", "Zp") or bidirectional(c) in _TURNING
    )
    + "]"
)


class Outcome(Struct, frozen=True):
    """What came of one journal."""

    sessions: int
    errors: int
    warnings: int
    seconds: float


class TooSlow(AssertionError):
    """A journal took longer than any may."""


def write(folder: Path, files: Mapping[str, bytes]) -> None:
    """Lays out a journal of these files; a name that the system does not take is left out."""
    for name, data in files.items():
        path = folder / name
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
        except (OSError, ValueError):
            continue


def try_journal(folder: Path, *, pages: bool = False) -> Outcome:
    """Reads, computes, and with `pages` assembles; raises AssertionError for what may come of no journal."""
    begun = time.process_time()
    with limited():
        reading = read_journal(folder)
        problems = Problems(list(reading.problems))
        find_ready(reading.journal, compute(reading.journal, RATES, ON, problems))
        found = problems.in_order()
        totals_json(total(reading.journal, RATES, Choice(ON)), found)
        check(found, folder)
        if pages:
            _assemble(folder)
    errors = sum(problem.is_error for problem in found)
    taken = time.process_time() - begun
    return Outcome(len(reading.journal.sessions), errors, len(found) - errors, taken)


def check(found: tuple[Problem, ...], folder: Path) -> None:
    """Every problem says where it is and what to do, and drives no terminal."""
    for problem in found:
        assert problem.place.file, problem
        assert problem.place.line >= 1, problem
        assert problem.place.column >= 1, problem
        assert problem.rule.replace("-", "").isalnum(), problem
        assert problem.message.strip(), problem
        assert problem.remedy.strip(), problem
    assert in_order(found) == found
    for line in problem_lines(found, Sources(folder)):
        bare = line.replace("\x1b[0m", "")
        for code in ("\x1b[1m", "\x1b[31m", "\x1b[33m"):  # the program's own
            bare = bare.replace(code, "")
        assert not _DRIVING.search(bare), bare


def _assemble(folder: Path) -> None:
    said = ""
    try:
        assemble(Order(folder, ON, to=folder / "web", leave_out=True), RATES)
    except JournalFaulty as faulty:
        check(faulty.problems, folder)
    except ThemeFault as fault:
        said = str(fault)
    assert not said or _PLACED.match(said), said


@contextmanager
def limited() -> Iterator[None]:
    """Ends what takes too long, however busy the machine is; only where the system has such an alarm."""
    if not hasattr(signal, "setitimer"):
        yield
        return

    def late(number: int, frame: FrameType | None) -> None:
        raise TooSlow(f"It takes longer than {SLOWEST} s.")

    before = signal.signal(signal.SIGPROF, late)
    signal.setitimer(signal.ITIMER_PROF, SLOWEST)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
