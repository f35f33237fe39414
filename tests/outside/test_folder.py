"""Publishing to a folder: what is there already, what is in the way, disks that are full, runs that end early."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from journalgen.outside.publishing import holding
from journalgen.outside.publishing.faults import CannotPublish
from journalgen.outside.publishing.manifest import NAME, parse
from journalgen.outside.publishing.plan import SEND
from tests.outside.sites import SITE, Publisher, read_tree, without_manifest

PICTURE = "pictures/0123456789abcdef-480.jpg"
LOCK = holding.NAME


@pytest.fixture
def there(tmp_path: Path) -> Path:
    return tmp_path / "there"


@pytest.fixture
def publisher(tmp_path: Path, there: Path) -> Publisher:
    return Publisher(tmp_path, str(there))


def test_a_site_arrives_and_a_second_time_nothing_is_touched(publisher: Publisher, there: Path) -> None:
    publisher.publish(SITE)
    assert without_manifest(read_tree(there)) == SITE
    before = {path: path.stat().st_mtime_ns for path in there.rglob("*")}
    assert not publisher.publish().steps
    assert {path: path.stat().st_mtime_ns for path in there.rglob("*")} == before


def test_the_manifest_holds_the_digest_of_every_file(publisher: Publisher, there: Path) -> None:
    publisher.publish({"a/b.html": b"abc"})
    assert json.loads((there / NAME).read_text()) == {
        "format": "journalgen-published/1",
        "files": {"a/b.html": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
        "changing": [],
        "unlinked": [],
    }


def test_only_what_changed_is_sent_whatever_the_clocks_say(publisher: Publisher, there: Path) -> None:
    publisher.publish(SITE)
    for path in publisher.site.rglob("*"):
        os.utime(path, (2**33, 2**33))
    for path in there.rglob("*"):
        os.utime(path, (0, 0))
    assert not publisher.publish().steps
    plan = publisher.publish({**SITE, "pairs.html": b"new"})
    assert [(step.do, step.name, step.size) for step in plan.steps] == [("change", "pairs.html", 3)]


def test_a_file_that_grew_by_nothing_and_keeps_its_time_is_still_seen_to_have_changed(publisher: Publisher) -> None:
    publisher.publish(SITE)
    file = publisher.site / "pairs.html"
    then = file.stat()
    file.write_bytes(file.read_bytes().replace(b"i", b"j"))
    os.utime(file, ns=(then.st_atime_ns, then.st_mtime_ns))
    (publisher.journal / ".journalgen" / "digests").unlink(missing_ok=True)
    assert [step.name for step in publisher.publish().steps] == ["pairs.html"]


def test_files_of_others_stay_and_a_folder_that_holds_any_is_refused_at_first(
    publisher: Publisher, there: Path
) -> None:
    there.mkdir()
    (there / "mine.txt").write_text("mine")
    with pytest.raises(CannotPublish, match=r"is not empty, and .*: mine\.txt\. .*--replace"):
        publisher.publish(SITE)
    assert read_tree(there) == {"mine.txt": b"mine"}
    publisher.publish(SITE, replace=True)
    publisher.publish({"index.html": b"alone"})
    assert without_manifest(read_tree(there)) == {"mine.txt": b"mine", "index.html": b"alone"}
    assert sorted(path.name for path in there.iterdir()) == ["index.html", NAME, "mine.txt"]


def test_a_file_of_somebody_else_under_a_name_that_the_site_needs_is_not_written_over(
    publisher: Publisher, there: Path
) -> None:
    publisher.publish({"index.html": b"i"})
    (there / "sessions").mkdir()
    (there / "sessions" / "a.html").write_text("mine")
    with pytest.raises(CannotPublish, match=r"is a file that this program did not put there, .*: sessions/a\.html"):
        publisher.publish(SITE)
    assert without_manifest(read_tree(there)) == {"index.html": b"i", "sessions/a.html": b"mine"}
    publisher.publish(replace=True)
    assert without_manifest(read_tree(there)) == SITE


def test_what_somebody_took_away_comes_back_with_replace(publisher: Publisher, there: Path) -> None:
    publisher.publish(SITE)
    (there / "pairs.html").unlink()
    assert len(publisher.publish(replace=True).steps) == len(SITE)
    assert without_manifest(read_tree(there)) == SITE


@pytest.mark.parametrize("damage", [b"", b"{", b'{"format": "journalgen-published/9", "files": {}}', b"\xff\xfe"])
def test_a_damaged_manifest_stops_it_until_all_is_sent_anew(publisher: Publisher, there: Path, damage: bytes) -> None:
    publisher.publish(SITE)
    (there / NAME).write_bytes(damage)
    with pytest.raises(CannotPublish, match=f"{NAME} .* is damaged"):
        publisher.publish({"index.html": b"new"})
    assert without_manifest(read_tree(there)) == SITE
    publisher.publish(replace=True)
    assert without_manifest(read_tree(there)) == {**SITE, "index.html": b"new"}


@pytest.mark.parametrize("place", [".", "..", "web", "photos/site"])
def test_no_folder_of_the_journal_is_a_target(tmp_path: Path, place: str) -> None:
    with pytest.raises(CannotPublish, match="part of the journal, or the journal of it"):
        Publisher(tmp_path, place)


def test_a_share_that_is_not_mounted_is_not_made_up(tmp_path: Path) -> None:
    with pytest.raises(CannotPublish, match=r"There is no folder .*/share for the target web\. Is it mounted\?"):
        Publisher(tmp_path, str(tmp_path / "share" / "site")).publish(SITE)
    assert not (tmp_path / "share").exists()


def test_a_path_is_taken_from_the_journal(tmp_path: Path) -> None:
    Publisher(tmp_path, "../there").publish(SITE)
    Publisher(tmp_path, (tmp_path / "other").as_uri()).publish(SITE)
    assert without_manifest(read_tree(tmp_path / "there")) == without_manifest(read_tree(tmp_path / "other")) == SITE


def test_a_site_that_changes_while_it_is_sent_is_not_sent_half(publisher: Publisher, there: Path) -> None:
    def change(done: int, total: int) -> None:
        (publisher.site / "index.html").write_bytes(b"meanwhile")

    with pytest.raises(CannotPublish, match=r"index\.html was changed while the site was being sent"):
        publisher.publish(SITE, progress=change)
    assert not (there / "index.html").exists()
    publisher.publish()
    assert without_manifest(read_tree(there)) == {**SITE, "index.html": b"meanwhile"}


def test_an_interrupt_keeps_what_was_sent_and_the_rest_follows(publisher: Publisher, there: Path) -> None:
    def interrupt(done: int, total: int) -> None:
        if done > total - len(SITE["index.html"]):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        publisher.publish(SITE, progress=interrupt)
    assert len(publisher.sent.done) == len(SITE) - 1
    assert sorted(path.name for path in there.rglob(".*")) == []
    assert not (there / LOCK).exists()
    assert parse((there / NAME).read_bytes()).unlinked == {"index.html"}
    assert [step.name for step in publisher.publish().steps] == ["index.html"]


def test_what_was_being_sent_and_is_private_by_now_is_taken_away(publisher: Publisher, there: Path) -> None:
    def interrupt(done: int, total: int) -> None:
        if done > len(SITE[PICTURE]):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        publisher.publish(SITE, progress=interrupt)
    assert (there / PICTURE).exists()
    (there / "pictures" / f".{Path(PICTURE).name}.part").write_bytes(b"half")
    after = {name: data for name, data in SITE.items() if name != PICTURE}
    publisher.publish(after)
    assert without_manifest(read_tree(there)) == after


def test_progress_counts_bytes_up_to_the_whole(publisher: Publisher) -> None:
    heard: list[tuple[int, int]] = []
    publisher.publish(SITE, progress=lambda done, total: heard.append((done, total)))
    size = sum(map(len, SITE.values()))
    assert heard[0] == (0, size)
    assert heard[-1] == (size, size)
    assert [done for done, _ in heard] == sorted(done for done, _ in heard)
    assert len(heard) > 2 * len(SITE)


@contextmanager
def mounted(folder: Path, options: str) -> Iterator[bool]:
    """A small file system; False, and none, where this process may not make one."""
    folder.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(folder)], capture_output=True, check=False
    )
    try:
        yield made.returncode == 0
    finally:
        if made.returncode == 0:
            subprocess.run(["umount", "-l", str(folder)], check=True)


needs_posix = pytest.mark.skipif(sys.platform == "win32", reason="disks are made full in the manner of POSIX")


@needs_posix
def test_a_target_that_is_full_midway(publisher: Publisher, there: Path) -> None:
    """A real one where that can be had; else the picture is written to a device that is always full."""
    files = {**SITE, "pictures/ffffffffffffffff-480.jpg": os.urandom(900_000)}
    with mounted(there, "size=1m") as is_small:
        last = there / "pictures" / ".ffffffffffffffff-480.jpg.part"
        if not is_small:
            last.parent.mkdir()
            last.symlink_to("/dev/full")
        with pytest.raises(CannotPublish, match=r"The target is full: pictures/f{16}-480\.jpg .* Make room there"):
            publisher.publish(files, replace=not is_small)
        assert not os.path.lexists(last)
        assert (there / PICTURE).read_bytes() == SITE[PICTURE]
        assert not (there / "index.html").exists()
        if is_small:
            subprocess.run(["mount", "-o", "remount,size=8m", str(there)], check=True)
        assert PICTURE not in [step.name for step in publisher.publish().phase(SEND)]
        assert without_manifest(read_tree(there)) == files


@needs_posix
def test_a_target_that_may_only_be_read(publisher: Publisher, there: Path) -> None:
    with mounted(there, "ro") as is_read_only:
        if not is_read_only:
            if os.geteuid() == 0:
                pytest.skip("root may write everywhere, and may not mount anything here")
            there.chmod(stat.S_IRUSR | stat.S_IXUSR)
        with pytest.raises(CannotPublish, match=r"The target is read-only|does not let you write"):
            publisher.publish(SITE)
        there.chmod(stat.S_IRWXU) if not is_read_only else None
        assert not list(there.iterdir())


def test_a_name_that_the_target_cannot_hold(publisher: Publisher, there: Path) -> None:
    long = "a" * 245 + ".html"  # which can be held, but not while it is being written
    with pytest.raises(CannotPublish, match=r"cannot hold a file named a+\.html"):
        publisher.publish({**SITE, long: b"long"})
    assert not (there / "index.html").exists()
    publisher.publish(SITE)
    assert without_manifest(read_tree(there)) == SITE


def test_a_folder_in_the_way_of_a_file(publisher: Publisher, there: Path) -> None:
    publisher.publish({"index.html": b"i"})
    (there / "pairs.html").mkdir()
    with pytest.raises(CannotPublish, match=r"in the way of pairs\.html"):
        publisher.publish(SITE)
    (there / "pairs.html").rmdir()
    publisher.publish()
    assert without_manifest(read_tree(there)) == SITE


def test_another_publish_that_is_under_way_is_waited_for(publisher: Publisher, there: Path) -> None:
    publisher.publish(SITE)
    (there / LOCK).write_text("somebody else")
    with pytest.raises(CannotPublish, match=r"is under way\. .* counts as ended in 10 minutes"):
        publisher.publish({"index.html": b"new"})
    assert sorted(read_tree(there)) == sorted([*SITE, NAME, LOCK])
    long_ago = (there / LOCK).stat().st_mtime - 601
    os.utime(there / LOCK, (long_ago, long_ago))
    publisher.publish()
    assert without_manifest(read_tree(there)) == {"index.html": b"new"}


def test_a_lock_that_this_journal_left_here_is_taken_over_at_once(publisher: Publisher, there: Path) -> None:
    class Killed(BaseException):
        pass

    def kill(done: int, total: int) -> None:
        there.chmod(0o500)  # so that nothing can be given back
        raise Killed

    (there).mkdir()
    with pytest.raises(Killed):
        publisher.publish(SITE, progress=kill)
    there.chmod(0o700)
    if not (there / LOCK).exists():  # root gives back whatever is forbidden
        (there / LOCK).write_bytes(_mark(publisher))
    publisher.publish()
    assert without_manifest(read_tree(there)) == SITE


def _mark(publisher: Publisher) -> bytes:
    from journalgen import keeping

    kept = keeping.load(publisher.journal / ".journalgen" / "publishing" / "web", str)
    assert kept
    return kept.encode()


def test_a_run_whose_lock_was_taken_leaves_the_manifest_alone(
    publisher: Publisher, there: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(holding, "_BEAT", 0.0)

    def steal(done: int, total: int) -> None:
        if done > len(SITE[PICTURE]):
            (there / LOCK).write_text("somebody else")
            (there / NAME).write_text("theirs")

    with pytest.raises(CannotPublish, match="has taken over"):
        publisher.publish(SITE, progress=steal)
    assert (there / NAME).read_text() == "theirs"
    assert (there / LOCK).read_text() == "somebody else"
