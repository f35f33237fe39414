"""Killed, interrupted, out of room, on a disk that lies: nothing has a bag's name unless it is whole."""

from __future__ import annotations

import ctypes
import errno
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from journalgen.alone import alone
from journalgen.outside.bag import making, writing
from tests.intake.camera import digests
from tests.intake.test_killed import powerless, small_disk
from tests.outside.bags import check, contents, preserve, small_journal

pytest.importorskip("resource", reason="signals are a matter of POSIX")

HOUSE = Path(__file__).parents[2]


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    """With a film, so that some time goes by."""
    folder = small_journal(tmp_path / "home" / "trolley")
    (folder / "photos" / "film.mov").write_bytes(bytes(range(256)) * 160_000)
    assert preserve(folder, "--to", tmp_path / "first").exit_code == 0  # the pictures are made
    return folder


def start(
    journal: Path, *args: object, prepare: Callable[[], None] | None = None
) -> subprocess.Popen[str]:  # fmt: skip
    return subprocess.Popen(
        [sys.executable, "-m", "journalgen", "preserve", str(journal), *map(str, args)],
        env={**os.environ, "PYTHONPATH": str(HOUSE)}, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        start_new_session=True, preexec_fn=prepare,
    )  # fmt: skip


def wait_until_begun(folder: Path, process: subprocess.Popen[str]) -> None:
    end = time.monotonic() + 60
    while not (folder.is_dir() and list(folder.glob(".*-unfinished/*"))) and process.poll() is None:
        assert time.monotonic() < end
        time.sleep(0.001)


@pytest.mark.parametrize("name", ["kept", "kept.zip"])
def test_killed_at_any_moment_nothing_has_the_name_and_the_next_run_clears_up(
    journal: Path, tmp_path: Path, name: str
) -> None:
    before, disk = digests(journal), tmp_path / "disk"
    for pause in (0.0, 0.02, 0.07, 0.15, 0.3):
        process = start(journal, "--to", disk / name)
        wait_until_begun(disk, process)
        time.sleep(pause)
        process.kill()
        process.communicate(timeout=60)
        if (disk / name).exists():
            assert check(disk / name).exit_code == 0
            break
    done = preserve(journal, "--to", disk / "another")
    assert done.exit_code == 0, done.stderr
    assert {path.name for path in disk.iterdir()} <= {"another", name}
    assert check(disk / "another").exit_code == 0
    assert digests(journal / "photos") == {k[7:]: v for k, v in before.items() if k.startswith("photos/")}


def test_what_another_run_is_writing_is_not_cleared_up(journal: Path, tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    (disk / ".other.journalgen-unfinished" / "other").mkdir(parents=True)
    with alone(disk / ".other.journalgen-lock"):
        assert preserve(journal, "--to", disk / "kept").exit_code == 0
        assert (disk / ".other.journalgen-unfinished" / "other").is_dir()
        done = preserve(journal, "--to", disk / "other")
        assert done.exit_code == 1
        assert "Another run is writing" in done.stderr
    assert preserve(journal, "--to", disk / "other").exit_code == 0
    assert {path.name for path in disk.iterdir()} == {"kept", "other"}


def test_the_same_journal_is_not_preserved_twice_at_once(journal: Path, tmp_path: Path) -> None:
    with alone(journal / ".journalgen" / "preserve.lock"):
        done = preserve(journal, "--to", tmp_path / "kept")
    assert done.exit_code == 1
    assert "is being preserved by another run" in done.stderr


@pytest.mark.parametrize("name", ["kept", "kept.zip"])
def test_an_interrupt_leaves_nothing(journal: Path, tmp_path: Path, name: str) -> None:
    disk = tmp_path / "disk"
    process = start(journal, "--to", disk / name)
    wait_until_begun(disk, process)
    process.send_signal(signal.SIGINT)
    out, said = process.communicate(timeout=60)
    assert (process.returncode, out) == (130, ""), said
    assert "Interrupted; nothing was written." in said
    assert list(disk.iterdir()) == []


def test_a_disk_that_is_full_midway(journal: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A real one where that can be had; it has room enough, as far as was known, and then not."""
    with small_disk(tmp_path / "disk") as is_small:
        if not is_small:
            monkeypatch.setattr(writing.os, "fsync", _full)
        done = preserve(journal, "--to", tmp_path / "disk" / "kept")
        assert (done.exit_code, done.stdout) == (1, "")
        assert "No space left on device. Nothing was left there." in done.stderr
        assert list((tmp_path / "disk").iterdir()) == []


def _full(handle: int) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize(("name", "twice"), [("kept", False), ("kept.zip", True)])
def test_without_room_for_all_nothing_is_begun(
    journal: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, twice: bool
) -> None:
    monkeypatch.setattr(making, "free_space", lambda folder: 60_000_000 if twice else 1_000_000)
    done = preserve(journal, "--to", tmp_path / "disk" / name)
    assert (done.exit_code, done.stdout) == (1, "")
    assert "There is not enough room:" in done.stderr
    assert ("since a zip is packed from a folder beside it" in done.stderr) is twice
    assert not (tmp_path / "disk").exists()


@pytest.mark.parametrize("name", ["kept", "kept.zip"])
def test_a_disk_that_keeps_other_bytes_is_found_out(
    journal: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    utime = os.utime

    def spoil(path: Path, ns: tuple[int, int]) -> None:
        if path.name == "film.mov":
            with path.open("r+b") as stream:
                stream.seek(1_000_000)
                stream.write(b"\0\0\0\0")
        utime(path, ns=ns)

    with monkeypatch.context() as patch:
        patch.setattr(writing.os, "utime", spoil)
        done = preserve(journal, "--to", tmp_path / "disk" / name)
    assert (done.exit_code, done.stdout) == (1, "")
    assert "What was written is not what was read (data/journal/photos/film.mov: " in done.stderr
    assert list((tmp_path / "disk").iterdir()) == []


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="it cannot be told there which file a handle is of")
def test_a_file_that_changes_while_it_is_copied_is_named_and_the_rest_is_kept(
    journal: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stat = os.fstat
    seen: list[int] = []

    def fstat(handle: int) -> os.stat_result:
        if len(seen) == 0 and os.readlink(f"/proc/self/fd/{handle}").endswith("wheel.jpg"):
            seen.append(handle)
            found = stat(handle)
            with (journal / "photos" / "wheel.jpg").open("ab") as still_written:
                still_written.write(b"more")
            return found
        return stat(handle)

    with monkeypatch.context() as patch:
        patch.setattr(writing.os, "fstat", fstat)
        done = preserve(journal, "--to", tmp_path / "kept")
    assert done.exit_code == 1
    assert "photos/wheel.jpg: It was changed while it was copied." in done.stderr
    kept = contents(tmp_path / "kept" / "data" / "journal")
    assert "photos/wheel.jpg" not in kept
    assert "photos/film.mov" in kept
    assert check(tmp_path / "kept").exit_code == 0


def no_reading() -> None:
    """Takes the power away to read what the permissions forbid."""
    powerless()
    if os.geteuid() == 0:
        ctypes.CDLL(None).prctl(24, 2, 0, 0, 0)  # PR_CAPBSET_DROP, CAP_DAC_READ_SEARCH: capability.h of Linux


@pytest.mark.skipif(sys.platform != "linux" and os.geteuid() == 0, reason="root may read anything")
def test_a_file_that_may_not_be_read_is_named_and_the_rest_is_kept(journal: Path, tmp_path: Path) -> None:
    (journal / "photos" / "film.mov").chmod(0)
    (journal / "locked").mkdir(mode=0)
    process = start(journal, "--to", tmp_path / "kept", prepare=no_reading)
    _, said = process.communicate(timeout=60)
    (journal / "photos" / "film.mov").chmod(0o644)
    assert process.returncode == 1
    assert "photos/film.mov: It cannot be read: Permission denied." in said
    assert "locked/: The folder cannot be opened: Permission denied." in said
    assert check(tmp_path / "kept").exit_code == 0


@pytest.mark.skipif(sys.platform != "linux" and os.geteuid() == 0, reason="root may write anywhere")
def test_where_nothing_may_be_written_that_is_said(journal: Path, tmp_path: Path) -> None:
    (tmp_path / "disk").mkdir(mode=0o555)
    process = start(journal, "--to", tmp_path / "disk" / "kept", prepare=powerless)
    out, said = process.communicate(timeout=60)
    assert (process.returncode, out) == (1, "")
    assert "The bag could not be written to" in said
    assert "Permission denied" in said
    assert "Traceback" not in said
