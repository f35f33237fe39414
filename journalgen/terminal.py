"""How the commands speak on a terminal: problems, tables and progress, plain where nobody looks."""

from __future__ import annotations

import errno
import json
import os
import re
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from itertools import groupby, zip_longest
from typing import TYPE_CHECKING, Any, Final

import click

from journalgen.columns import left, right, width, wrap
from journalgen.problems import Problem

if TYPE_CHECKING:
    from journalgen.pointing import Sources
    from journalgen.values import Place

WIDTH: Final = 80
CONTROL: Final = (
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufff9-\ufffb\ud800-\udfff]"
)
"""What drives a terminal, or turns the order in which its letters are shown; a pattern."""

_CONTROL: Final = re.compile(CONTROL)
_COLOUR: Final = r"\x1b\[(?:0|1|31|33)m"  # what `problem_lines` writes
_COLOUR_OR_CONTROL: Final = re.compile(f"{_COLOUR}|{CONTROL}")
_GAP: Final = "  "
_INDENT: Final = " " * 6
_NARROWEST: Final = 10  # columns of a text that has to make room
_BETWEEN: Final = 10  # seconds between two lines about progress


def refuse_colour() -> None:
    """Lets nothing in colour be said by this command: what `--no-colour` asks for."""
    context: click.Context | None = click.get_current_context()
    while context:
        context.color, context = False, context.parent


def plain() -> bool:
    """Whether the command was asked to speak to someone who hears or reads it line by line."""
    context = click.get_current_context(silent=True)
    return context is not None and context.color is False


def coloured() -> bool | None:
    """False where colour is refused; None lets the stream decide."""
    return False if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb" or plain() else None


def safe(text: str) -> str:
    """The text without control characters: what stands in a journal must not drive the terminal."""
    return _CONTROL.sub("\ufffd", text)


def one_line(text: str) -> str:
    """The same without tabs and line ends."""
    return safe(" ".join(text.split()))


def say(text: str, *, err: bool = True) -> None:
    """A message for people; results go to standard output with `err=False`. No control character passes.

    A message that is too long for a terminal of 80 columns goes on below; a result stays on its line.
    """
    shown = _COLOUR_OR_CONTROL.sub(lambda found: found[0] if len(found[0]) > 1 else "\ufffd", text)
    if err and sys.stderr.isatty():
        shown = "\n".join(_folded(line) for line in shown.split("\n"))
    echo(f"{shown}\n", err=err)


def echo(text: str | bytes, *, err: bool = False) -> None:
    """Writes a text as it is. Where results cannot be written that is said, and the command ends with 1."""
    try:
        click.echo(text, nl=False, err=err, color=coloured())
    except OSError as fault:
        if err or fault.errno == errno.EPIPE:  # nobody is left to be told, or nobody wants to hear more
            raise
        # Else Python would try once more at the end, and fail once more.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        echo(f"The results could not be written: {fault.strerror}.\n", err=True)
        raise SystemExit(1) from None


def _folded(line: str) -> str:
    """The line, parted between words where it is too long; no word is broken: it may be a path to be copied."""
    if width(click.unstyle(line)) <= WIDTH:
        return line
    import textwrap

    inset = " " * (len(line) - len(line.lstrip()))
    return textwrap.fill(
        line, WIDTH, subsequent_indent=inset, break_long_words=False, break_on_hyphens=False, replace_whitespace=False
    )


def say_json(data: object) -> None:
    """Data for other programs, on standard output: what would drive a terminal is escaped, and nothing is lost."""
    text = json.dumps(data, ensure_ascii=False, indent=1)
    echo(_CONTROL.sub(lambda found: f"\\u{ord(found[0]):04x}", f"{text}\n"))


def problem_lines(problems: Sequence[Problem], sources: Sources | None = None) -> Iterator[str]:
    """Problems grouped by file, as text of 80 columns; from `sources` the line of each, with its place marked."""
    for file, group in groupby(problems, key=lambda problem: problem.place.file):
        yield click.style(one_line(file), bold=True)
        before: Place | None = None
        for problem in group:
            severity = click.style(problem.severity, fg=_colour(problem), bold=True)
            yield f"  {problem.place.line}:{problem.place.column} {severity}, {problem.rule}"
            if problem.place != before:  # what was shown a moment ago need not be read again
                yield from _source(problem, sources)
            before = problem.place
            yield from wrap(safe(problem.message), WIDTH, _INDENT)
            yield from wrap(safe(f"Remedy: {problem.remedy}"), WIDTH, _INDENT)
        yield ""


def _colour(problem: Problem) -> str:
    return "red" if problem.is_error else "yellow"


def _source(problem: Problem, sources: Sources | None) -> Iterator[str]:
    line = sources.line(problem.place) if sources else None
    if line is None:
        return
    from journalgen.pointing import point_at

    shown, mark = point_at(line, problem.place.column, WIDTH - len(_INDENT) - len(_GAP))
    yield f"{_INDENT}{_GAP}{shown}"
    yield f"{_INDENT}{_GAP}{click.style(mark, fg=_colour(problem), bold=True)}"


def count_line(problems: Sequence[Problem]) -> str:
    """`2 errors, 1 warning`."""
    errors = sum(problem.is_error for problem in problems)
    warnings = len(problems) - errors
    return f"{errors} error{'' if errors == 1 else 's'}, {warnings} warning{'' if warnings == 1 else 's'}"


def table_lines(
    heads: Sequence[str], rows: Sequence[Sequence[str]], foot: Sequence[str] = (), *, texts: int = 1
) -> Iterator[str]:
    """A table of 80 columns: the first `texts` columns to the left, figures to the right, a line above the total.

    A text that is too wide goes on below itself; a figure is never cut.
    """
    cells = [[one_line(cell) for cell in row] for row in [heads, *rows, *([foot] if foot else [])]]
    widths = _widths(cells, texts)
    for n, row in enumerate(cells):
        if not plain() and (n == 1 or (foot and n == len(cells) - 1)):
            yield "-" * (sum(widths) + len(_GAP) * (len(widths) - 1))
        yield from _row_lines(row, widths, texts)


def _widths(cells: Sequence[Sequence[str]], texts: int) -> list[int]:
    """What each column takes; the widest texts make room for the rest."""
    widths = [max(map(width, column)) for column in zip(*cells, strict=True)]
    while sum(widths) + len(_GAP) * (len(widths) - 1) > WIDTH:
        widest = max(range(texts), key=lambda at: widths[at])
        if widths[widest] <= _NARROWEST:
            break
        widths[widest] -= 1
    return widths


def _row_lines(row: Sequence[str], widths: Sequence[int], texts: int) -> Iterator[str]:
    wrapped = [wrap(cell, widths[at]) if at < texts else [cell] for at, cell in enumerate(row)]
    for pieces in zip_longest(*wrapped, fillvalue=""):
        placed = [(left if at < texts else right)(piece, widths[at]) for at, piece in enumerate(pieces)]
        yield _GAP.join(placed).rstrip()


@contextmanager
def progress_bar(what: str, *, octets: bool = False) -> Iterator[Callable[[int, int], None]]:
    """A bar with the time left on a terminal, a line now and then where it was asked to be plain; else silence.

    What is counted are bytes where `octets` says so, and then the bar also tells how fast they go.
    """
    if not sys.stderr.isatty():
        yield lambda done, total: None
        return
    if plain():
        yield _progress_lines(what, spell_size if octets else str)
        return
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        DownloadColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
        TransferSpeedColumn,
    )

    counted: tuple[Any, ...] = (DownloadColumn(), TransferSpeedColumn()) if octets else (MofNCompleteColumn(),)
    columns: tuple[Any, ...] = (TextColumn(what), BarColumn(20 if octets else 40), *counted, TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)


def _progress_lines(what: str, spell: Callable[[int], str]) -> Callable[[int, int], None]:
    """A line now and then, with the time left; `spell` tells an amount."""
    begun = said = time.monotonic()

    def tell(done: int, total: int) -> None:
        nonlocal said
        now = time.monotonic()
        if now - said < _BETWEEN:
            return
        said = now
        left = f", {_span((now - begun) * (total - done) / done)} left" if done else ""
        say(f"{what}: {spell(done)} of {spell(total)}{left}")

    return tell


def spell_size(count: int) -> str:
    """Bytes as a person counts them: `3.4 GB`, `1.2 MB`, `512 bytes`."""
    for unit, size in (("GB", 10**9), ("MB", 10**6), ("kB", 10**3)):
        if count >= size:
            return f"{count / size:.1f} {unit}"
    return f"{count} byte{'' if count == 1 else 's'}"


def _span(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 90 else f"{seconds / 60:.0f} min"
