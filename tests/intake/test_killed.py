"""Killed, interrupted, out of room, not allowed, not alone: nothing half under its name, and the next run completes."""

from __future__ import annotations

import ctypes
import errno
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from journalgen.alone import alone
from journalgen.intake import copying
from tests.intake.camera import digests, entry_text, inspect, intake, journal_at, photograph, photos_of

resource = pytest.importorskip("resource", reason="signals and limits are a matter of POSIX")

HOUSE = Path(__file__).parents[2]
MANY = 60


@pytest.fixture
def card(tmp_path: Path) -> Path:
    """Photographs of two evenings, long enough that some time goes by."""
    whole = photograph(tmp_path / "card" / "a.jpg", "2024:03:09 19:15:02", size=700).read_bytes()
    other = photograph(tmp_path / "card" / "a.jpg", "2024:03:11 19:15:02", size=700).read_bytes()
    for n in range(MANY):
        (tmp_path / "card" / f"{n:03}.jpg").write_bytes((whole if n % 2 else other) + bytes([n]))
    (tmp_path / "card" / "a.jpg").unlink()
    (tmp_path / "card" / "001.mov").write_bytes(b"film" * 100_000)
    return tmp_path / "card"


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    return journal_at(tmp_path / "trolley", {"2024-03-09-etch.md": "---\ntitle: Etch # mine\n---\nText.\n"})


def start(
    journal: Path, *args: object, prepare: Callable[[], None] | None = None
) -> subprocess.Popen[str]:  # fmt: skip
    return subprocess.Popen(
        [sys.executable, "-m", "journalgen", "intake", "--journal", str(journal), *map(str, args)],
        env={**os.environ, "PYTHONPATH": str(HOUSE)}, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        start_new_session=True, preexec_fn=prepare,
    )  # fmt: skip


def in_place(journal: Path) -> list[Path]:
    return [path for path in (journal / "photos").rglob("*.*") if path.is_file() and not path.name.startswith(".")]


def wait_for(journal: Path, process: subprocess.Popen[str], many: int) -> None:
    end = time.monotonic() + 60
    while len(in_place(journal)) < many and process.poll() is None:
        assert time.monotonic() < end
        time.sleep(0.001)


def assert_nothing_is_half(journal: Path, card: Path) -> None:
    """Whatever has its name is whole, and so is every entry."""
    whole = set(digests(card).values())
    made = {name: digest for name, digest in photos_of(journal).items() if not Path(name).name.startswith(".")}
    assert set(made.values()) <= whole
    assert len(set(made.values())) == len(made)
    for path in (journal / "entries").rglob("*.md"):
        if not path.name.startswith("."):
            assert path.read_text().startswith("---\n")
    assert not [problem for problem in inspect(journal) if problem["severity"] == "error"]


def assert_complete(journal: Path, card: Path) -> None:
    """Everything came once, is listed once, and nothing else was left."""
    made = photos_of(journal)
    assert sorted(made.values()) == sorted(digests(card).values())
    listed = entry_text(journal, "2024-03-09-etch.md") + entry_text(journal, "2024/2024-03-11.md")
    for name in made:
        assert listed.count(f"{{file: {name}}}") == (0 if name.endswith(".mov") else 1)
    assert listed.startswith("---\ntitle: Etch # mine\nphotos:\n")
    assert not list((journal / "entries").rglob(".*"))
    assert inspect(journal) == []


@pytest.mark.parametrize("many", [0, 1, 7, MANY // 2, MANY, MANY + 1])
def test_killed_at_any_moment_the_next_run_completes(journal: Path, card: Path, many: int) -> None:
    before = digests(card)
    process = start(journal, card)
    wait_for(journal, process, many)
    process.kill()
    process.communicate(timeout=60)
    assert_nothing_is_half(journal, card)
    if many % 2:  # and without the cache
        for file in (journal / ".journalgen").glob("*"):
            file.unlink()
    again = intake(journal, card)
    assert again.exit_code == 0, again.stderr
    assert_complete(journal, card)
    assert digests(card) == before


def test_killed_again_and_again_it_still_completes(journal: Path, card: Path) -> None:
    for n in range(12):
        process = start(journal, card)
        wait_for(journal, process, 5 * n + 3)
        time.sleep(0.013 * (n % 4))
        process.kill()
        process.communicate(timeout=60)
        assert_nothing_is_half(journal, card)
    assert intake(journal, card).exit_code == 0
    assert_complete(journal, card)


def test_killed_between_the_last_copy_and_the_entries(
    journal: Path, card: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Killed(BaseException):
        pass

    def kill(*args: object, **options: object) -> None:
        raise Killed

    with monkeypatch.context() as patch:
        patch.setattr("journalgen.intake.run.list_rows", kill)
        with pytest.raises(Killed):
            intake(journal, card, "--part", "lamp", "--shows", "after")
    assert len(in_place(journal)) == MANY + 1
    empty = photograph(card.parent / "other" / "b.jpg", "2024:03:09 20:00:00")
    done = intake(journal, empty)  # even by an intake of something else, and as it was asked for then
    assert done.exit_code == 0, done.stderr
    text = entry_text(journal, "2024-03-09-etch.md")
    assert text.count("part: lamp, shows: after}") == MANY // 2
    assert text.count("{file:") == MANY // 2 + 1
    assert inspect(journal) == []


def test_what_another_intake_did_not_get_is_named(journal: Path, card: Path) -> None:
    process = start(journal, card)
    wait_for(journal, process, 3)
    process.kill()
    process.communicate(timeout=60)
    other = photograph(card.parent / "other" / "b.jpg", "2024:03:09 20:00:00")
    came = len(in_place(journal))
    done = intake(journal, other, "--json")
    assert "still to come from an earlier intake that was not finished" in done.stderr
    missing = json.loads(done.stdout)["still_to_come"]
    assert set(missing) < {str(path) for path in card.iterdir()}
    assert len(missing) == MANY + 1 - came
    done = intake(journal, card)
    assert done.exit_code == 0
    assert "still to come" not in done.stderr


def test_an_interrupt_ends_cleanly_and_keeps_and_lists_what_was_copied(journal: Path, card: Path) -> None:
    process = start(journal, card)
    wait_for(journal, process, 5)
    process.send_signal(signal.SIGINT)
    out, said = process.communicate(timeout=60)
    assert process.returncode == 130, said
    copied = out.splitlines()
    assert 5 <= len(copied) < MANY
    assert sorted(copied) == sorted(path.relative_to(journal).as_posix() for path in in_place(journal))
    assert "Interrupted; what was copied is kept and listed." in said
    assert_nothing_is_half(journal, card)
    texts = "".join(path.read_text() for path in (journal / "entries").rglob("*.md"))
    assert texts.count("{file:") == sum(not name.endswith(".mov") for name in copied)
    assert intake(journal, card).exit_code == 0
    assert_complete(journal, card)


@contextmanager
def small_disk(folder: Path) -> Iterator[bool]:
    """A file system with room for a few dozen files; False, and none, where this process may not make one."""
    folder.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64m,nr_inodes=40", "tmpfs", str(folder)], capture_output=True, check=False
    )
    try:
        yield made.returncode == 0
    finally:
        if made.returncode == 0:
            subprocess.run(["umount", "-l", str(folder)], check=True)


def test_a_disk_that_is_full_midway(tmp_path: Path, card: Path) -> None:
    """A real one where that can be had; else a limit on how long a file may be."""
    with small_disk(tmp_path / "disk") as is_small:
        journal = journal_at(tmp_path / "disk" / "j", {"2024-03-09-etch.md": "---\ntitle: Etch # mine\n---\n"})

        def limit() -> None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, 300_000))

        process = start(journal, card, prepare=None if is_small else limit)
        out, said = process.communicate(timeout=60)
        assert process.returncode == 1
        assert "Traceback" not in said
        assert ("The copying was stopped: No space left on device." if is_small else "File too large.") in said
        assert 0 < len(out.splitlines()) < MANY + 1
        assert_nothing_is_half(journal, card)
        assert not list(journal.rglob(".*.part"))
        if is_small:
            subprocess.run(["mount", "-o", "remount,nr_inodes=0", str(tmp_path / "disk")], check=True)
        assert intake(journal, card).exit_code == 0
        assert_complete(journal, card)


def test_a_disk_that_fails_while_a_file_is_written(journal: Path, card: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    calls = iter(range(10_000))

    def fsync(handle: int) -> None:
        if next(calls) >= 20:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(copying.os, "fsync", fsync)
        done = intake(journal, card)
    assert done.exit_code == 1
    assert len(done.stdout.splitlines()) == 20
    assert "No space left on device" in done.stderr
    assert f"{MANY + 1 - 20} not copied." in done.stderr
    assert_nothing_is_half(journal, card)
    assert intake(journal, card).exit_code == 0
    assert_complete(journal, card)


def test_without_room_for_all_nothing_is_begun(journal: Path, card: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("journalgen.intake.run.free_space", lambda folder: 1000)
    done = intake(journal, card)
    assert done.exit_code == 1
    assert "There is not enough room:" in done.stderr
    assert not (journal / "photos").exists()


def test_a_copy_that_differs_is_thrown_away(journal: Path, card: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    flush = copying.os.fsync

    def fsync(handle: int) -> None:
        flush(handle)
        name = os.readlink(f"/proc/self/fd/{handle}") if Path("/proc/self/fd").exists() else ""
        if name.endswith(".part") and os.pread(os.open(name, os.O_RDONLY), 1, os.fstat(handle).st_size - 1) == b"\x05":
            os.pwrite(os.open(name, os.O_WRONLY), b"\x00", os.fstat(handle).st_size // 2)

    with monkeypatch.context() as patch:
        patch.setattr(copying.os, "fsync", fsync)
        done = intake(journal, card)
    if Path("/proc/self/fd").exists():
        assert done.exit_code == 1
        assert f"{card / '005.jpg'}: The copy is not the same as the original, and was thrown away." in done.stderr
    assert_nothing_is_half(journal, card)
    assert intake(journal, card).exit_code == 0
    assert_complete(journal, card)


def test_a_source_that_changes_while_it_is_copied_is_not_taken_in(
    journal: Path, card: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    flush = copying.os.fsync

    def fsync(handle: int) -> None:
        flush(handle)
        with (card / "000.jpg").open("ab") as still_written:
            still_written.write(b"more")

    with monkeypatch.context() as patch:
        patch.setattr(copying.os, "fsync", fsync)
        done = intake(journal, card / "000.jpg")
    assert done.exit_code == 1
    assert "It was changed while it was copied." in done.stderr
    assert in_place(journal) == []


def powerless() -> None:
    """Takes away from a process that may do anything the power to write where the permissions forbid it."""
    if os.geteuid() == 0:
        ctypes.CDLL(None).prctl(24, 1, 0, 0, 0)  # PR_CAPBSET_DROP, CAP_DAC_OVERRIDE: capability.h of Linux


@pytest.mark.skipif(sys.platform != "linux" and os.geteuid() == 0, reason="root may write anywhere")
@pytest.mark.parametrize(
    ("locked", "said"),
    [
        (".", "The journal cannot be written: Permission denied. Nothing was copied."),
        ("photos", "photos/ cannot be written: Permission denied. Nothing was copied."),
    ],
)
def test_where_nothing_may_be_written_nothing_is_copied_and_it_is_said(
    journal: Path, card: Path, locked: str, said: str
) -> None:
    (journal / "photos").mkdir()
    (journal / locked).chmod(0o555)
    process = start(journal, card, prepare=powerless)
    out, err = process.communicate(timeout=60)
    (journal / locked).chmod(0o755)
    assert (process.returncode, out) == (1, "")
    assert said in err
    assert "Traceback" not in err
    assert in_place(journal) == []


@pytest.mark.skipif(sys.platform != "linux" and os.geteuid() == 0, reason="root may write anywhere")
@pytest.mark.parametrize("locked", ["entries", "entries/2024-03-09-etch.md"])
def test_entries_that_may_not_be_written_are_left_and_the_lines_are_shown(
    journal: Path, card: Path, locked: str
) -> None:
    (journal / locked).chmod(0o555 if locked == "entries" else 0o444)
    process = start(journal, card, prepare=powerless)
    out, err = process.communicate(timeout=60)
    (journal / locked).chmod(0o755 if locked == "entries" else 0o644)
    assert process.returncode == 1
    assert len(out.splitlines()) == MANY + 1
    assert "entries/2024-03-09-etch.md: It could not be written: Permission denied." in err
    assert err.count("- {file: 2024/2024-03-09/") == MANY // 2
    assert entry_text(journal, "2024-03-09-etch.md") == "---\ntitle: Etch # mine\n---\nText.\n"
    assert intake(journal, card).exit_code == 0
    assert_complete(journal, card)


@pytest.mark.skipif(sys.platform != "linux" and os.geteuid() == 0, reason="root may read anything")
def test_a_photograph_that_may_not_be_read_is_named_and_the_others_come(journal: Path, card: Path) -> None:
    (card / "003.jpg").chmod(0)
    (card / "locked").mkdir(mode=0)

    def no_reading() -> None:
        powerless()
        if os.geteuid() == 0:
            ctypes.CDLL(None).prctl(24, 2, 0, 0, 0)  # CAP_DAC_READ_SEARCH

    process = start(journal, card, prepare=no_reading)
    out, err = process.communicate(timeout=60)
    (card / "003.jpg").chmod(0o644)
    (card / "locked").rmdir()
    assert process.returncode == 1
    assert len(out.splitlines()) == MANY
    assert f"{card / '003.jpg'}: It cannot be read: Permission denied." in err
    assert f"{card / 'locked'}: The folder cannot be opened: Permission denied." in err
    assert intake(journal, card).exit_code == 0
    assert_complete(journal, card)


def test_a_second_intake_at_the_same_time_is_turned_away(journal: Path, card: Path) -> None:
    (journal / ".journalgen").mkdir()
    with alone(journal / ".journalgen" / "intake.lock"):
        process = start(journal, card)
        out, err = process.communicate(timeout=60)
        assert intake(journal, card, "--dry-run").exit_code == 0
    assert (process.returncode, out) == (1, "")
    assert "Another intake into this journal is running." in err
    assert in_place(journal) == []


def test_two_at_once_bring_everything_once(journal: Path, card: Path) -> None:
    both = [start(journal, card), start(journal, card)]
    for process in both:
        process.communicate(timeout=60)
    assert 0 in [process.returncode for process in both]
    assert_complete(journal, card)
