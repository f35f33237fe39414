"""Work over several processes gives what one process gives, and survives the loss of helpers."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

from journalgen.pictures import Picture, PicturesInterrupted, Request, prepare
from journalgen.pictures.helpers import Helpers
from journalgen.pictures.model import Interrupted
from tests.pictures.samples import noise, rectangle
from tests.processes import left_over


@pytest.fixture
def requests(tmp_path: Path) -> list[Request]:
    wanted = []
    for seed in range(6):
        file = tmp_path / f"photo {seed}.png"
        noise(700, 500, seed, cell=4).save(file)
        wanted.append(Request(str(file), (rectangle(0, 0, 50, 50),) if seed % 2 else ()))
    return wanted


def derived(cache: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in cache.iterdir() if path.name != "index.txt"}


def test_two_helpers_make_byte_for_byte_what_one_process_makes(tmp_path: Path, requests: list[Request]) -> None:
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(b"rubbish")
    wanted = [*requests, Request(str(broken))]
    seen: list[tuple[int, int]] = []
    alone = prepare(wanted, tmp_path / "alone", workers=1).answers
    together = prepare(wanted, tmp_path / "together", workers=2, progress=lambda *done: seen.append(done)).answers
    assert together == alone
    assert derived(tmp_path / "together") == derived(tmp_path / "alone")
    assert seen == [(done, len(wanted)) for done in range(1, len(wanted) + 1)]


def test_a_helper_that_is_killed_costs_no_picture(tmp_path: Path, requests: list[Request]) -> None:
    killed = []

    def kill_one(done: int, total: int) -> None:
        if done == 1:
            victim = multiprocessing.active_children()[0]
            os.kill(victim.pid or 0, signal.SIGKILL)
            killed.append(victim.pid)

    answers = prepare(requests, tmp_path / "cache", workers=2, progress=kill_one).answers
    assert killed
    assert all(isinstance(answers[request], Picture) for request in requests)


def test_where_no_helper_can_live_the_work_ends_with_a_sentence(tmp_path: Path, requests: list[Request]) -> None:
    over = threading.Event()

    def kill_all() -> None:
        while not over.is_set():
            for child in multiprocessing.active_children():
                with contextlib.suppress(ProcessLookupError):
                    os.kill(child.pid or 0, signal.SIGKILL)
            time.sleep(0.005)

    killer = threading.Thread(target=kill_all)
    killer.start()
    try:
        with pytest.raises(PicturesInterrupted, match="Helper processes cannot be started"):
            prepare(requests, tmp_path / "cache", workers=2)
    finally:
        over.set()
        killer.join()


def test_what_is_kept_is_counted_right_wherever_the_interrupt_falls(tmp_path: Path, requests: list[Request]) -> None:
    told, line = 0, 0
    while told < 2:  # as far as the line in which the first picture is spoken of
        cache = tmp_path / f"cache-{line}"
        with pytest.raises(Interrupted) as fault, interrupted_at(line, of="_take"):
            prepare(requests, cache, workers=1)
        told = fault.value.kept
        assert told == len(list(cache.glob("*.json")))
        line += 1
    assert line > 8


@contextlib.contextmanager
def interrupted_at(line: int, of: str) -> Iterator[None]:
    """An interrupt before one of the lines that a function runs through, counted over all its calls."""
    passed = 0

    def trace(frame: FrameType, event: str, _: object) -> Any:
        nonlocal passed
        if frame.f_code.co_name != of:
            return None
        if event == "line":
            if passed == line:
                raise KeyboardInterrupt
            passed += 1
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        yield
    finally:
        sys.settrace(before)


@pytest.mark.parametrize("workers", [1, 2])
def test_an_interrupt_keeps_what_was_finished(tmp_path: Path, requests: list[Request], workers: int) -> None:
    cache = tmp_path / "cache"

    def interrupt(done: int, total: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        prepare(requests, cache, workers=workers, progress=interrupt)
    assert not multiprocessing.active_children()
    kept = {path: path.stat().st_ino for path in cache.glob("*.avif")}
    assert kept
    assert not list(cache.glob(".*"))
    answers = prepare(requests, cache, workers=1).answers
    assert all(isinstance(found, Picture) for found in answers.values())
    assert {path: path.stat().st_ino for path in kept} == kept


def test_a_helper_leaves_it_to_its_parent_what_an_interrupt_means() -> None:
    with Helpers(1) as helper:
        assert helper.submit(signal.getsignal, signal.SIGINT).result() == signal.SIG_IGN


def write_slowly(file: Path) -> None:
    """As if a file were written and the disk took all day over it."""
    file.with_name(f".{file.name}.{os.getpid()}.part").write_bytes(b"half")
    time.sleep(3600)


def test_a_helper_that_takes_long_is_stopped_and_leaves_nothing_behind(tmp_path: Path) -> None:
    others = tmp_path / ".another.jpg.1.part"
    others.write_bytes(b"half")
    with Helpers(2) as helpers:
        works = [helpers.submit(write_slowly, tmp_path / f"{n}.jpg") for n in range(6)]
        while len(list(tmp_path.iterdir())) < 3:
            time.sleep(0.01)
        helpers.send_home({tmp_path})
        assert not multiprocessing.active_children()
    assert all(work.done() for work in works)
    assert list(tmp_path.iterdir()) == [others]


def test_what_a_helper_has_in_hand_is_finished_and_what_is_queued_is_not_begun(tmp_path: Path) -> None:
    with Helpers(1) as helper:
        helper.submit(os.getpid).result()
        works = [helper.submit(write_soon, tmp_path / f"{n}.jpg") for n in range(6)]
        while not list(tmp_path.glob("*.begun")):
            time.sleep(0.01)
        helper.send_home({tmp_path})
    assert works[0].exception() is None
    assert sorted(path.name for path in tmp_path.iterdir()) == ["0.begun", "0.jpg"]


def write_soon(file: Path) -> None:
    file.with_suffix(".begun").touch()
    time.sleep(0.1)
    file.touch()


SCRIPT = """
import sys
from pathlib import Path
from journalgen.pictures import Request, prepare

if __name__ == "__main__":
    wanted = [Request(str(path)) for path in sorted(Path(sys.argv[1]).glob("*.png"))]
    try:
        prepare(wanted, Path(sys.argv[2]), workers=2, progress=lambda *done: print(*done, flush=True))
    except KeyboardInterrupt:
        sys.exit(130)
"""


def start(tmp_path: Path) -> subprocess.Popen[str]:
    (tmp_path / "script.py").write_text(SCRIPT)
    house = Path(__file__).parents[2]
    return subprocess.Popen(
        [sys.executable, str(tmp_path / "script.py"), str(tmp_path), str(tmp_path / "cache")],
        env={**os.environ, "PYTHONPATH": str(house)},
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip


@pytest.mark.skipif(sys.platform == "win32", reason="signals to a group of processes are a matter of POSIX")
def test_control_c_at_the_terminal_ends_quietly(tmp_path: Path, requests: list[Request]) -> None:
    process = start(tmp_path)
    assert process.stdout is not None
    assert process.stdout.readline() == "1 6\n"
    os.killpg(process.pid, signal.SIGINT)
    _, errors = process.communicate(timeout=30)
    assert (process.returncode, errors) == (130, "")
    assert list((tmp_path / "cache").glob("*.json"))


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="needs /proc to look for processes")
def test_helpers_do_not_outlive_a_parent_that_was_killed(tmp_path: Path, requests: list[Request]) -> None:
    process = start(tmp_path)
    assert process.stdout is not None
    process.stdout.readline()
    process.kill()
    process.communicate(timeout=30)
    assert not left_over(process.pid)


def test_importing_the_package_brings_in_no_decoder() -> None:
    code = (
        "import sys, journalgen.pictures; print({'PIL', 'pillow_heif'} & {name.split('.')[0] for name in sys.modules})"
    )
    house = Path(__file__).parents[2]
    said = subprocess.run([sys.executable, "-c", code], cwd=house, capture_output=True, text=True, check=True)
    assert said.stdout == "set()\n"
