"""How fast pictures are made from nothing: `python -m tests.bench cold`, beside a bare libvips loop.

A hundred and twenty photographs of twelve megapixels, which are those of the example enlarged and cut, make a journal
of eight sessions. The program assembles it with nothing cached; beside it a loop without a journal, pages or a cache
makes the same six files of each photograph, a process a core with one thread each. Both are whole processes, and take
turns, since machines drift. Nothing here is asserted.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from journalgen.pictures.measures import WIDTHS
from tests.bench.journals import ON, Size, write_journal, write_photographs
from tests.bench.rows import PROGRAM, Row, in_turn, run

PHOTOGRAPHS: Final = 120
A_SESSION: Final = 15
LIMIT: Final = 0.9

LOOP: Final = f"""
import os, subprocess, sys
from pathlib import Path

CORES = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()

def make(files, out):
    import pyvips
    for file in files:
        for width in {WIDTHS}:
            small = pyvips.Image.thumbnail(file, width).copy_memory()  # else each of the two would decode it anew
            name = f"{{out}}/{{Path(file).stem}}-{{width}}"
            small.heifsave(f"{{name}}.avif", compression="av1", Q=60, effort=0, keep="none")
            small.jpegsave(f"{{name}}.jpg", Q=80, keep="none")

folder, out, share = *sys.argv[1:3], sys.argv[3:]
files = sorted(map(str, Path(folder).glob("*.jpg")))
if share:
    make(files[int(share[0])::CORES], out)
else:
    os.environ["VIPS_CONCURRENCY"] = "1"
    helpers = [subprocess.Popen([sys.executable, *sys.orig_argv[1:], str(n)]) for n in range(CORES)]
    sys.exit(max(helper.wait() for helper in helpers))
"""


def measure(runs: int = 3, photographs: int = PHOTOGRAPHS) -> Iterator[Row]:
    """Reading, pictures and pages of both editions, as a whole process."""
    with tempfile.TemporaryDirectory() as folder:
        journal, out = Path(folder) / "journal", Path(folder) / "out"
        lay_out(journal, photographs)

        def clear() -> None:
            for kept in (journal / ".journalgen", journal / "web", out):
                shutil.rmtree(kept, ignore_errors=True)
            out.mkdir()

        def ours() -> float:
            clear()
            return run([*PROGRAM, "assemble", journal, "--on", ON]).seconds

        def beside() -> float:
            taken = run([sys.executable, "-c", LOOP, journal / "photos", out]).seconds
            _compare_what_was_made(journal / ".journalgen" / "pictures", out, photographs)
            return taken

        taken, limit = in_turn(runs, ours, beside)
        what = f"assemble, nothing cached, {photographs} photographs of 12 megapixels"
        yield Row(what, taken, "s", LIMIT, "a bare libvips loop for the same pictures, a process a core", limit)


def lay_out(journal: Path, photographs: int) -> None:
    """A journal with a session for every fifteen photographs, and three parts a session."""
    sessions = max(1, photographs // A_SESSION)
    write_journal(journal, Size(sessions=sessions, parts=3 * sessions, photographs=photographs))
    made = journal.parent / "made"
    write_photographs(made, photographs)
    for named, file in zip(_named(journal), sorted(made.iterdir()), strict=True):
        file.rename(journal / "photos" / named)


def _named(journal: Path) -> list[str]:
    """The names of photographs that the entries speak of."""
    lines = [line for entry in (journal / "entries").rglob("*.md") for line in entry.read_text("utf-8").splitlines()]
    marked = (line.partition("{file: ")[2].partition(",")[0] for line in lines)
    return sorted(name for name in marked if name)


def _compare_what_was_made(cache: Path, out: Path, photographs: int) -> None:
    """Raises RuntimeError if either made another number of files: then the seconds would tell nothing."""
    for folder in (cache, out):
        for ending in ("avif", "jpg"):
            made = len(list(folder.glob(f"*.{ending}")))
            if made != photographs * len(WIDTHS):
                raise RuntimeError(f"{folder} holds {made} files of {ending}, not {photographs * len(WIDTHS)}.")
