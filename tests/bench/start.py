"""What the commands take to begin: beside an empty Python process."""

from __future__ import annotations

import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from journalgen.house import example_folder
from tests.bench.rows import PROGRAM, Row, in_turn, run

ON: Final = "2025-09-30"
EMPTY: Final = (sys.executable, "-c", "pass")


def measure() -> Iterator[Row]:
    """`--help`, and a verb that reads the example journal whole."""
    with tempfile.TemporaryDirectory() as folder:
        journal = Path(folder) / "journal"
        shutil.copytree(example_folder(), journal, ignore=shutil.ignore_patterns("web", ".journalgen", "photos"))
        for name, command in (
            ("--help", [*PROGRAM, "--help"]),
            ("totals --json, the example", [*PROGRAM, "totals", journal, "--json", "--on", ON]),
        ):
            ours, empty = in_turn(5, lambda command=command: run(command).seconds, lambda: run(EMPTY).seconds)
            yield Row(name, ours, "s", None, "an empty Python process", empty)
