"""What the commands say while they work: to people at a terminal, and to a file that is read afterwards."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[1]
SCRIPT = """
import time
from journalgen.terminal import progress_bar
with progress_bar("pictures") as progress:
    for done in range(1, 21):
        time.sleep(0.1)
        progress(done, 200)
"""
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(HOUSE), "TERM": "xterm", "COLUMNS": "100"}


@pytest.mark.skipif(sys.platform == "win32", reason="terminals are made so by POSIX alone")
def test_a_terminal_is_told_how_many_are_done_and_the_time_left() -> None:
    import pty

    ours, theirs = pty.openpty()
    with subprocess.Popen([sys.executable, "-c", SCRIPT], env=ENVIRONMENT, stdout=theirs, stderr=theirs) as process:
        os.close(theirs)
        said = b""
        while chunk := read(ours):
            said += chunk
    os.close(ours)
    assert process.returncode == 0
    shown = said.decode()
    assert re.search(r"pictures .*\d+/200", shown)
    assert re.search(r"0:00:\d\d", shown)


def read(end: int) -> bytes:
    try:
        return os.read(end, 4096)
    except OSError:  # so Linux says that the other end was closed
        return b""


def test_a_pipe_is_told_nothing() -> None:
    done = subprocess.run([sys.executable, "-c", SCRIPT], env=ENVIRONMENT, capture_output=True, check=True)
    assert (done.stdout, done.stderr) == (b"", b"")
