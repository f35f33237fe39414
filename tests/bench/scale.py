"""Ten times the journal, ten times the time: whole processes over journals that grow, with nothing cached."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Sequence
from math import log
from pathlib import Path
from typing import Final

from tests.bench.journals import ON, Size, small_photograph, write_journal
from tests.bench.rows import PROGRAM, Process, Row, run

SESSIONS: Final = (250, 1000, 4000)
A_SESSION: Final = 10
"""Photographs."""


def measure(sessions: Sequence[int] = SESSIONS) -> Iterator[Row]:
    """The exponent of the time, the memory of the largest, and how large its files are."""
    taken: list[Process] = []
    for count in sessions:
        with tempfile.TemporaryDirectory() as folder:
            journal = Path(folder) / "journal"
            write_journal(journal, Size(sessions=count, photographs=A_SESSION * count), small_photograph())
            taken.append(run([*PROGRAM, "assemble", journal, "--on", ON]))
            what = f"{count} sessions, {A_SESSION * count} small photographs"
            yield Row(f"assemble, nothing cached, {what}", taken[-1].seconds, "s")
            if count == sessions[-1]:
                yield from _of_largest(journal, taken[-1], what)
    if len(taken) > 1:
        exponent = fit_exponent(sessions, [process.seconds for process in taken])
        yield Row(f"exponent of the time over {', '.join(map(str, sessions))} sessions", exponent, "", 1.1)


def _of_largest(journal: Path, process: Process, what: str) -> Iterator[Row]:
    yield Row(f"memory at most, {what}", process.megabytes, "MB", 500)
    pages = [path.stat().st_size for path in (journal / "web").glob("*/**/*.html")]
    yield Row(f"largest page, {what}", max(pages) / 1000, "kB", 500)
    indexes = [path.stat().st_size for path in (journal / "web" / "owner").glob("search-index*.js")]
    yield Row(f"largest of {len(indexes)} files of the search index", max(indexes) / 1000, "kB", 500)


def fit_exponent(sizes: Sequence[int], seconds: Sequence[float]) -> float:
    """The slope of the straight line through the logarithms, by least squares.

    >>> round(fit_exponent([10, 100, 1000], [0.2, 2, 20]), 6)
    1.0
    """
    points = [(log(size), log(second)) for size, second in zip(sizes, seconds, strict=True)]
    middle = [sum(values) / len(points) for values in zip(*points, strict=True)]
    across = sum((x - middle[0]) ** 2 for x, _ in points)
    return sum((x - middle[0]) * (y - middle[1]) for x, y in points) / across
