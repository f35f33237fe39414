"""Makes the hostile journals once for all the processes over which tests are spread."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from journalgen.command import main
from tests.hostile.journal import ON, write_faulty, write_hostile
from tests.hostile.strings import CALENDAR_LINES, TERMINAL
from tests.sharing import made_once


def run(*words: object, status: int | None = 0) -> Result:
    """The command as at a terminal: colour is not taken out of what it says."""
    done = CliRunner().invoke(main, [str(word) for word in words], color=True, catch_exceptions=False)
    assert status is None or done.exit_code == status, done.output[-2000:]
    return done


def hostile_journal(folders: pytest.TempPathFactory) -> Path:
    def make(folder: Path) -> None:
        journal = write_hostile(folder / "journal")
        run("assemble", journal, "--on", ON)
        run("totals", journal, "--csv", folder / "totals", "--on", ON)

    return made_once(folders, "hostile", make)


def driving_journal(folders: pytest.TempPathFactory) -> Path:
    def make(folder: Path) -> None:
        run("assemble", write_hostile(folder / "journal", [*TERMINAL, *CALENDAR_LINES]), "--on", ON)

    return made_once(folders, "driving", make) / "journal"


def faulty_journal(folders: pytest.TempPathFactory) -> Path:
    return made_once(folders, "faulty", lambda folder: write_faulty(folder / "journal")) / "journal"
