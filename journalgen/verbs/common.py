"""What verbs have in common: their arguments, reading the journal, the day, and how they end."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NoReturn, TypeVar

import click

from journalgen import interrupts
from journalgen.arguments import Day

if TYPE_CHECKING:
    from journalgen.pictures import Seen
    from journalgen.problems import Problem
    from journalgen.reading.journal import Reading
    from journalgen.reading.remembered import Remembered
    from journalgen.records import Journal
    from journalgen.site.assemble import Assembled, Order

Result = TypeVar("Result")

JOURNAL: Final = click.argument(
    "journal", type=click.Path(path_type=Path, file_okay=False), default=Path("."), required=False
)
ON: Final = click.option("--on", type=Day(), help="Compute as on this day (today where left out).")
JSON: Final = click.option("--json", "as_json", is_flag=True, help="Print the stable JSON form.")


def write(path: Path, contents: bytes, *, folder: bool = True) -> None:
    """Writes a file whole; with `folder` also the folders that it lies in. Raises OSError."""
    from journalgen.whole import write_whole

    if folder:
        path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, contents)


def read(folder: Path, memory: Remembered | None = None) -> Reading:
    """The journal in a folder; where there is none that is said, and the command ends with 2."""
    from journalgen.reading.journal import read_journal, recall

    return or_no_journal(lambda: read_journal(folder, memory=memory or recall(folder)), folder)


def or_no_journal(read: Callable[[], Result], folder: Path) -> Result:
    """What `read` gives; where it finds no journal that is said, and the command ends with 2."""
    from journalgen.reading.journal import NoJournal
    from journalgen.terminal import say

    try:
        return read()
    except NoJournal as fault:
        if folder.exists():
            say(f"{fault} {_where_instead(folder)}")
        else:
            say(f"There is no folder {folder}. Begin a journal with: journalgen begin {folder}")
        raise SystemExit(2) from None


def _where_instead(folder: Path) -> str:
    """A journal near the folder, if there is one; else how to begin one."""
    below = (path.parent for path in sorted(folder.glob("*/journal.toml")))
    above = (path for path in folder.resolve().parents if (path / "journal.toml").is_file())
    found = next(below, None) or next(above, None)
    if found:
        return f"There is one in {found}."
    return f"Begin one with: journalgen begin {folder if str(folder) != '.' else 'my-machine'}"


def assemble_or_end(order: Order, advice: str, again: str, seen: Seen | None = None) -> Assembled:
    """Assembles; where the journal has errors, or anything fails, that is said, and the command ends.

    `advice` is said with errors of the journal, `again` where the run was interrupted. For `seen` see `Assembler`.
    """
    from journalgen.pictures import Interrupted, PicturesInterrupted
    from journalgen.pointing import Sources
    from journalgen.site.assemble import JournalFaulty, assemble
    from journalgen.site.manifest import OutputFault
    from journalgen.site.themes import ThemeFault, UnknownTheme
    from journalgen.terminal import count_line, problem_lines, progress_bar, say

    try:
        with progress_bar("pictures") as progress:
            return assemble(order, reference_rates(), progress, seen)
    except JournalFaulty as faulty:
        errors = [problem for problem in faulty.problems if problem.is_error]
        for line in problem_lines(errors, Sources(order.folder)):
            say(line)
        fail(f"{count_line(faulty.problems)}. {advice}")
    except UnknownTheme as fault:
        raise click.BadParameter(str(fault), param_hint="--theme") from None
    except (OutputFault, PicturesInterrupted, ThemeFault) as fault:
        fail(str(fault))
    except Interrupted as stop:
        fail(f"{stop} {again}", interrupts.STATUS)


def reference_rates() -> Any:
    """The rates for what names none of its own; read when the first is asked for."""
    from journalgen.reading.rates import EuropeanCentralBank

    return EuropeanCentralBank()


def today(zone: str) -> date:
    """The day it is now in a time zone."""
    from zoneinfo import ZoneInfo

    return datetime.now(ZoneInfo(zone)).date()


def today_of(journal: Journal) -> date:
    """The day it is now in the journal's zone."""
    return datetime.now(journal.settings.time_zone).date()


def warn_of_errors(found: tuple[Problem, ...], journal: Path) -> None:
    """Says that not all could be counted, where there are errors."""
    from journalgen.terminal import count_line, say

    if any(problem.is_error for problem in found):
        say(f"{count_line(found)}: what could not be read is not counted. See: journalgen inspect {journal}")


def exit_for(found: tuple[Problem, ...]) -> None:
    """Ends the command with 1 where there are errors."""
    if any(problem.is_error for problem in found):
        raise SystemExit(1)


def told(fault: Exception) -> str:
    """What is wrong in words: of a file that the system refuses, which, and why."""
    if isinstance(fault, OSError) and fault.filename:
        return f"{Path(os.fsdecode(fault.filename)).parent} cannot be written: {fault.strerror}."
    return str(fault)


def fail(message: str, status: int = 1) -> NoReturn:
    """Says what went wrong and ends the command."""
    from journalgen.terminal import say

    say(message)
    raise SystemExit(status)


@contextmanager
def nothing_written() -> Iterator[None]:
    """Says so where a person ends the command before it has written anything: by Ctrl-C, or by Ctrl-D when asked."""
    try:
        yield
    except KeyboardInterrupt:
        fail("Interrupted; nothing was written.", interrupts.STATUS)
    except EOFError:
        fail("Nothing was written.")
