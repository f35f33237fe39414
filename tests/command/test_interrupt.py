"""Control-C while pictures are made: a sentence, what was finished kept, and nothing left running."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest

from tests.journals import write_journal
from tests.pictures.samples import corners
from tests.processes import left_over

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals to a group of processes are a matter of POSIX")

MANY = 40
HOUSE = Path(__file__).parents[2]


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    """More photographs than are finished in the time that it takes to interrupt."""
    lines = "\n".join(f"  - {{file: {n:02}.jpg, caption: one of many}}" for n in range(MANY))
    folder = write_journal(
        tmp_path / "trolley", {"entries/2024-03-09-etch.md": f"---\nhours: 1\nphotos:\n{lines}\n---\n"}
    )
    out = BytesIO()
    corners(4000, 3000).save(out, "JPEG", quality=90)
    (folder / "photos").mkdir()
    for n in range(MANY):
        (folder / "photos" / f"{n:02}.jpg").write_bytes(out.getvalue() + bytes([n]))
    return folder


def assemble(journal: Path) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "journalgen", "assemble", str(journal), "--on", "2024-04-01"],
        env={**os.environ, "PYTHONPATH": str(HOUSE)},
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip


def finished(journal: Path) -> dict[Path, int]:
    """The records of pictures, which are the last that is written of each, and which files they are."""
    return {path: path.stat().st_ino for path in (journal / ".journalgen" / "pictures").glob("*.json")}


def wait_for_pictures(journal: Path, process: subprocess.Popen[str], many: int) -> None:
    end = time.monotonic() + 60
    while len(finished(journal)) < many:
        assert process.poll() is None
        assert time.monotonic() < end
        time.sleep(0.01)


@pytest.mark.parametrize("send", [os.killpg, os.kill], ids=["to the group", "to the process"])
def test_an_interrupt_ends_cleanly_and_keeps_what_was_finished(journal: Path, send: Callable[[int, int], None]) -> None:
    process = assemble(journal)
    wait_for_pictures(journal, process, 2)
    send(process.pid, signal.SIGINT)
    out, said = process.communicate(timeout=60)
    assert (process.returncode, out) == (130, "")
    told = re.fullmatch(
        r"Interrupted; (\d+) pictures that were finished are kept\. Assemble again for the rest\.\n", said
    )
    assert told, said
    kept = finished(journal)
    assert 2 <= len(kept) < MANY
    assert int(told[1]) == len(kept)
    assert not list((journal / ".journalgen" / "pictures").glob(".*"))
    assert not (journal / "web").exists()
    if Path("/proc/self/stat").exists():
        assert not left_over(process.pid)

    again = assemble(journal)
    wait_for_pictures(journal, again, len(kept) + 1)
    again.send_signal(signal.SIGINT)
    again.communicate(timeout=60)
    assert kept.items() <= finished(journal).items()


def test_an_interrupt_before_any_picture_is_begun_ends_as_cleanly(journal: Path) -> None:
    process = assemble(journal)
    time.sleep(0.5)  # among the imports, or at reading
    os.killpg(process.pid, signal.SIGINT)
    _, said = process.communicate(timeout=60)
    assert process.returncode == 130
    assert re.fullmatch(r"\n?Interrupted; .+ kept\.( .+)?\n", said)


def test_a_second_interrupt_changes_nothing(journal: Path) -> None:
    process = assemble(journal)
    wait_for_pictures(journal, process, 1)
    os.killpg(process.pid, signal.SIGINT)
    time.sleep(0.1)
    os.killpg(process.pid, signal.SIGINT)
    _, said = process.communicate(timeout=60)
    assert process.returncode == 130
    assert said.startswith("Interrupted; ")
    assert not list((journal / ".journalgen" / "pictures").glob(".*"))
    if Path("/proc/self/stat").exists():
        assert not left_over(process.pid)


def test_no_interrupt_is_lost_where_python_calls_back_from_within() -> None:
    """As it does at every import: what comes just then is dropped, and only told of."""
    program = """
import signal, time
from journalgen import interrupts
interrupts.lose_none()
class Dropped:
    def __del__(self):
        signal.raise_signal(signal.SIGINT)
try:
    Dropped()
    time.sleep(30)
except KeyboardInterrupt:
    print("heard")
"""
    ran = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=20, check=True,
                         env={**os.environ, "PYTHONPATH": str(HOUSE)})  # fmt: skip
    assert (ran.stdout, ran.stderr) == ("heard\n", "")
