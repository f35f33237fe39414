"""A picture that bites is refused or becomes the right picture, in little time and little memory."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from journalgen.pictures import Picture, look_at
from tests.pictures.biting import REFUSED, RIGHT, biting
from tests.pictures.samples import BLUE, GREEN, RED, YELLOW, answer, colour_at, fault, largest, near

HOUSE = Path(__file__).parents[2]
MOST_SECONDS = 5  # of processor time: the clock on the wall also counts what others do
MOST_MEMORY = 500_000_000

# A process of its own for each, since what one has taken at most cannot be told apart from what another did.
_ALONE = """
import resource, sys
from pathlib import Path
from journalgen.intake.soundness import fault_of
from journalgen.intake.taken import see
from journalgen.pictures import Fault, Request, look_at, prepare
file = Path(sys.argv[1])
look_at(file), see(file), fault_of(file)
request = Request(str(file))
found = prepare([request], Path(sys.argv[2])).answers[request]
spent = resource.getrusage(resource.RUSAGE_SELF)
status = Path("/proc/self/status")  # where it is kept: the other figure also counts what the parent had taken
peak = int(status.read_text().partition("VmHWM:")[2].split()[0]) * 1024 if status.exists() else spent.ru_maxrss
kind = found.kind if isinstance(found, Fault) else "picture"
print(kind, spent.ru_utime + spent.ru_stime, peak)
"""


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_borne_is_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / "photo.jpg").write_bytes(biting(name))
    assert fault(tmp_path / "photo.jpg", tmp_path / "cache").kind == REFUSED[name][0]
    if REFUSED[name][0] == "too-large":
        seen = look_at(tmp_path / "photo.jpg")
        assert seen is not None
        assert seen.kind == "too-large"


@pytest.mark.parametrize("name", RIGHT)
def test_what_is_odd_becomes_the_right_picture(tmp_path: Path, name: str) -> None:
    (tmp_path / "photo.jpg").write_bytes(biting(name))
    found = answer(tmp_path / "photo.jpg", tmp_path / "cache")
    assert isinstance(found, Picture), found
    assert (found.width, found.height) == (96, 64)
    for kind in ("jpeg", "avif"):
        out = largest(found, tmp_path / "cache", kind)
        seen = [colour_at(out, x, y) for y in (0.25, 0.75) for x in (0.25, 0.75)]
        assert all(near(*two, 40) for two in zip(seen, (RED, GREEN, BLUE, YELLOW), strict=True)), seen


@pytest.mark.skipif(sys.platform == "win32", reason="what a process took is told by POSIX alone")
@pytest.mark.parametrize(
    "name",
    [
        "a PNG that unfolds to 475 MB", "a JPEG of a thousand layers",
        "a profile of 60 MB in a PNG", "the most that is read",
    ],
)  # fmt: skip
def test_none_takes_long_or_much(tmp_path: Path, name: str) -> None:
    from tests.pictures.biting import flat_png

    data = flat_png(9_900, 9_900, 8, 2, 24) if name == "the most that is read" else biting(name)
    (tmp_path / "photo.jpg").write_bytes(data)
    done = subprocess.run(
        [sys.executable, "-c", _ALONE, str(tmp_path / "photo.jpg"), str(tmp_path / "cache")],
        env={**os.environ, "PYTHONPATH": str(HOUSE)}, capture_output=True, check=True, text=True,
    )  # fmt: skip
    kind, seconds, memory = done.stdout.split()
    assert kind == (REFUSED[name][0] if name in REFUSED else "picture")
    assert float(seconds) < MOST_SECONDS
    assert int(memory) < MOST_MEMORY
