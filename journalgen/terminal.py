"""How the commands speak on a terminal: problems, tables and progress, plain where nobody looks."""

from __future__ import annotations

import os
import re
import sys
import textwrap
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from itertools import groupby
from typing import Any, Final

import click

from journalgen.problems import Problem

WIDTH: Final = 80
_CONTROL: Final = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def coloured() -> bool | None:
    """False where colour is refused; None lets the stream decide."""
    return False if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb" else None


def safe(text: str) -> str:
    """The text without control characters: what stands in a journal must not drive the terminal."""
    return _CONTROL.sub("\ufffd", text)


def say(text: str, *, err: bool = True) -> None:
    """A message for people; results go to standard output with `err=False`."""
    click.echo(text, err=err, color=coloured())


def problem_lines(problems: Sequence[Problem]) -> Iterator[str]:
    """Problems grouped by file, as text of 80 columns."""
    for file, group in groupby(problems, key=lambda problem: problem.place.file):
        yield click.style(safe(file), bold=True)
        for problem in group:
            place = f"{problem.place.line}:{problem.place.column}"
            severity = click.style(problem.severity, fg="red" if problem.is_error else "yellow")
            yield f"  {place:<7} {severity} {problem.rule}"
            yield from _wrapped(problem.message, "          ")
            yield from _wrapped(problem.remedy, "          -> ", "             ")
        yield ""


def _wrapped(text: str, first: str, rest: str | None = None) -> list[str]:
    return textwrap.wrap(
        safe(text), WIDTH, initial_indent=first, subsequent_indent=first if rest is None else rest,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip


def count_line(problems: Sequence[Problem]) -> str:
    """`2 errors, 1 warning`."""
    errors = sum(problem.is_error for problem in problems)
    warnings = len(problems) - errors
    return f"{errors} error{'' if errors == 1 else 's'}, {warnings} warning{'' if warnings == 1 else 's'}"


def table_lines(heads: Sequence[str], rows: Sequence[Sequence[str]], foot: Sequence[str] = ()) -> Iterator[str]:
    """A table: the first column to the left, figures to the right, a line above the total."""
    cells = [[safe(cell) for cell in row] for row in [heads, *rows, *([foot] if foot else [])]]
    widths = [max(len(row[i]) for row in cells) for i in range(len(heads))]
    widths[0] = min(widths[0], WIDTH - sum(widths[1:]) - 2 * len(widths))
    for n, row in enumerate(cells):
        if n == 1 or (foot and n == len(cells) - 1):
            yield "-" * (sum(widths) + 2 * (len(widths) - 1))
        name = row[0] if len(row[0]) <= widths[0] else row[0][: widths[0] - 1] + "\u2026"
        figures = (cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True))
        yield "  ".join([name.ljust(widths[0]), *figures]).rstrip()


@contextmanager
def progress_bar(what: str) -> Iterator[Callable[[int, int], None]]:
    """A bar with the time left on a terminal; silence elsewhere."""
    if not sys.stderr.isatty():
        yield lambda done, total: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns: tuple[Any, ...] = (TextColumn(what), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)
