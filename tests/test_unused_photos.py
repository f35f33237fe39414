"""Which photographs are of a day and not used yet."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from PIL import Image

from journalgen.reading.journal import read_journal
from journalgen.reading.texts import list_plain_files
from journalgen.unused_photos import unused_photos
from tests.journals import write_journal

DAY = date(2024, 3, 9)
NOW = datetime(2024, 3, 12, tzinfo=UTC)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return write_journal(
        tmp_path,
        {"entries/2024-03-01.md": "---\nphotos: 2024-03-09-used.jpg\n---\n![](../photos/2024-03-09-shown.jpg)\n"},
    )


def put(root: Path, file: str, taken: str | None = None, changed: datetime | None = None) -> Path:
    path = root / "photos" / file
    path.parent.mkdir(parents=True, exist_ok=True)
    exif = Image.Exif()
    if taken:
        exif.get_ifd(0x8769)[0x9003] = taken
    Image.new("RGB", (4, 4)).save(path, "JPEG", exif=exif)
    if changed:
        os.utime(path, (changed.timestamp(), changed.timestamp()))
    return path


def found(root: Path) -> tuple[str, ...]:
    return unused_photos(read_journal(root).journal, root, frozenset(list_plain_files(root / "photos")), DAY, NOW)


def test_the_date_in_a_folder_or_a_name_tells_the_day(root: Path) -> None:
    for file in ("2024-03-09.jpg", "2024-03-09_a.JPG", "2024/2024-03-09/b.jpg", "2024-03-08.jpg", "2024-03-091.jpg",
                 "2024/2024-03-09/2024-03-10 c.jpg", "wheel-2024-03-09.jpg", "2024-03-09.txt",
                 "2024-02-30.jpg"):  # fmt: skip
        put(root, file)
    assert found(root) == ("2024-03-09.jpg", "2024-03-09_a.JPG", "2024/2024-03-09/b.jpg")


def test_else_what_the_camera_wrote(root: Path) -> None:
    put(root, "a.jpg", "2024:03:09 21:00:00")
    put(root, "b.jpg", "2024:03:10 05:10:00")
    put(root, "late.jpg", "2024:03:10 00:10:00")  # past midnight it is still the evening's
    put(root, "c.jpg", "0000:00:00 00:00:00")
    put(root, "2024-03-08.jpg", "2024:03:09 21:00:00")  # a name that tells another day is believed
    assert found(root) == ("a.jpg", "late.jpg")


def test_a_file_that_was_last_changed_before_the_day_is_not_opened(root: Path) -> None:
    put(root, "a.jpg", "2024:03:09 21:00:00", changed=datetime(2024, 3, 1))  # noqa: DTZ001
    assert found(root) == ()


def test_what_an_entry_lists_or_shows_is_used(root: Path) -> None:
    for file in ("2024-03-09-used.jpg", "2024-03-09-shown.jpg", "2024-03-09-new.jpg"):
        put(root, file)
    assert "2024-03-09-used.jpg" not in found(root)
    assert "2024-03-09-new.jpg" in found(root)


@pytest.mark.parametrize("contents", [b"", b"\xff\xd8\xff", b"not a picture", b"\x89PNG\r\n\x1a\n" + b"\0" * 50])
def test_a_broken_picture_tells_no_day(root: Path, contents: bytes) -> None:
    (root / "photos").mkdir()
    (root / "photos" / "a.jpg").write_bytes(contents)
    assert found(root) == ()


def test_where_there_are_no_photographs_there_are_none(root: Path) -> None:
    assert found(root) == ()
