"""Work that a copy of the process does beside it."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from journalgen.beside import begin, beside
from tests.processes import left_over

ROOT = Path(__file__).parents[1]
LINUX = pytest.mark.skipif(sys.platform != "linux", reason="copies are made on Linux only")


def outcome_of(code: str) -> str:
    """What a process of one thread prints; the one that runs the tests has more."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", f"import os, signal, time\nfrom journalgen.beside import begin, beside\n{code}"]
    return subprocess.run(command, capture_output=True, text=True, check=True, env=environment).stdout


@LINUX
def test_the_outcome_comes_from_another_process() -> None:
    told = outcome_of(
        "begun = begin(lambda: str(os.getpid()).encode() + bytes(1 << 20))\nprint(os.getpid())\n"
        "found = begun.wait()\nprint(found.rstrip(bytes(1)).decode(), len(found) > 1 << 20, begun.wait())"
    )
    own, other, whole, again = told.split()
    assert own != other
    assert (whole, again) == ("True", "None")


@LINUX
def test_work_that_fails_has_no_outcome_and_says_nothing() -> None:
    assert outcome_of("print(begin(lambda: 1 / 0).wait())") == "None\n"


@LINUX
def test_where_nobody_hears_of_children_the_work_is_done_here() -> None:
    """Who starts a program may have it ignore how its children end."""
    told = outcome_of(
        "signal.signal(signal.SIGCHLD, signal.SIG_IGN)\nprint(begin(lambda: b'x').wait())\nbegin(lambda: b'x').end()\n"
        "with beside(lambda: b'x') as wait: pass\nprint('ended')"
    )
    assert told == "None\nended\n"


@LINUX
def test_where_no_copy_can_be_made_there_is_none() -> None:
    told = outcome_of(
        "def fails(): raise BlockingIOError(11, 'Resource temporarily unavailable')\n"
        "before = sorted(os.listdir('/proc/self/fd'))\nos.fork = fails\nprint(begin(lambda: b'x'))\n"
        "with beside(lambda: b'x') as wait: print(wait())\n"
        "print(sorted(os.listdir('/proc/self/fd')) == before, signal.pthread_sigmask(signal.SIG_BLOCK, []))"
    )
    assert told == "None\nNone\nTrue set()\n"


@LINUX
def test_an_interrupt_is_for_the_caller_alone() -> None:
    """It comes to both, as from a keyboard; the copy goes on, and what called for it is not run twice."""
    told = outcome_of(
        "os.setpgid(0, 0)\nbegun = begin(lambda: time.sleep(0.5) or b'done')\n"
        "try:\n    os.killpg(0, signal.SIGINT); time.sleep(5)\nexcept KeyboardInterrupt: print('heard')\n"
        "print(begun.wait())"
    )
    assert told == "heard\nb'done'\n"


@LINUX
def test_it_ends_with_the_caller() -> None:
    code = "from journalgen.beside import begin\nimport time\nbegin(lambda: time.sleep(60) or b'')\ntime.sleep(60)"
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    caller = subprocess.Popen([sys.executable, "-c", code], env=environment, start_new_session=True)
    time.sleep(0.5)
    caller.send_signal(signal.SIGKILL)
    caller.wait()
    assert left_over(caller.pid) == []


def test_a_process_of_several_threads_makes_none() -> None:
    """The tests' own has some, or is on a system where no copy is safe, or makes one that works."""
    begun = begin(lambda: b"done")
    assert begun is None or begun.wait() == b"done"
    with beside(lambda: b"done") as wait:
        assert wait() in (None, b"done")
