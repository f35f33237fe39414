"""How the program fares on the example journal: `python -m tests.bench`, a table, or `--json`.

Whole processes are timed, each beside a bare one in the same run, since a ratio tells more than
seconds do: machines differ, and drift. Nothing here is asserted.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import median
from typing import Final

from journalgen.house import example_folder

ON: Final = "2025-09-30"
PYTHON: Final = [sys.executable, "-c", "pass"]
WALK: Final = [
    sys.executable,
    "-c",
    "import os, sys; [f.stat() for d, _, _ in os.walk(sys.argv[1]) for f in os.scandir(d)]",
]
LOOP: Final = """
import sys
from pathlib import Path
from PIL import Image
for path in sorted(Path(sys.argv[1]).glob("*.jpg")):
    with Image.open(path) as photo:
        for width in (480, 960, 1600):
            small = photo.resize((width, photo.height * width // photo.width), Image.Resampling.LANCZOS)
            small.save(f"{sys.argv[2]}/{path.stem}-{width}.avif", quality=60, speed=9)
            small.save(f"{sys.argv[2]}/{path.stem}-{width}.jpg", quality=80)
"""
PICTURES: Final = [sys.executable, "-c", LOOP]


def seconds(command: Sequence[str | Path], before: Callable[[], object] = lambda: None, runs: int = 3) -> float:
    """The median wall time of a whole process."""
    taken = []
    for _ in range(runs):
        before()
        start = time.perf_counter()
        subprocess.run([str(word) for word in command], check=True, capture_output=True)
        taken.append(time.perf_counter() - start)
    return median(taken)


def measure() -> list[dict[str, object]]:
    """A row for each figure: what, seconds, what stands beside it, its seconds, and the ratio."""
    program = [sys.executable, "-m", "journalgen"]
    with tempfile.TemporaryDirectory() as folder:
        journal, out = Path(folder) / "journal", Path(folder) / "out"
        shutil.copytree(example_folder(), journal, ignore=shutil.ignore_patterns("web", ".journalgen"))
        out.mkdir()

        def forget() -> None:
            shutil.rmtree(journal / ".journalgen", ignore_errors=True)
            shutil.rmtree(journal / "web", ignore_errors=True)

        rows = [
            ("--help", [*program, "--help"], PYTHON, "an empty Python process"),
            ("totals --json", [*program, "totals", journal, "--json", "--on", ON], PYTHON, "an empty Python process"),
            (
                "assemble, nothing cached",
                [*program, "assemble", journal, "--on", ON],
                [*PICTURES, journal / "photos", out],
                "a bare Pillow loop for the same pictures, one process",
            ),
            ("assemble again", [*program, "assemble", journal, "--on", ON], [*WALK, journal], "a bare walk and stat"),
        ]
        return [_row(name, ours, bare, beside, forget) for name, ours, bare, beside in rows]


def _row(
    name: str, ours: Sequence[str | Path], bare: Sequence[str | Path], beside: str, forget: Callable[[], object]
) -> dict[str, object]:
    cold = name == "assemble, nothing cached"
    limit = seconds(bare, runs=1 if cold else 3)
    taken = seconds(ours, forget if cold else lambda: None, runs=1 if cold else 3)
    return {"figure": name, "seconds": taken, "beside": beside, "beside_seconds": limit, "ratio": taken / limit}


def main() -> None:
    rows = measure()
    if "--json" in sys.argv:
        sys.stdout.write(json.dumps(rows, indent=1) + "\n")
        return
    for row in rows:
        sys.stdout.write(
            f"{row['figure']:<26} {row['seconds']:>7.2f} s   {row['ratio']:>6.2f} x {row['beside']} "
            f"({row['beside_seconds']:.2f} s)\n"
        )


if __name__ == "__main__":
    main()
