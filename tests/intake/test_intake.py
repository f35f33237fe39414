"""Photographs from a card into the journal, as a person and a script meet it."""

from __future__ import annotations

import json
import os
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.intake.camera import (
    FORMATS,
    digests,
    entry_text,
    file_time,
    inspect,
    intake,
    journal_at,
    photograph,
    photos_of,
)  # fmt: skip

EVENING = "2024:03:09 19:15:02"
DAY = "2024/2024-03-09"


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    return journal_at(tmp_path / "trolley")


@pytest.fixture
def card(tmp_path: Path) -> Path:
    return tmp_path / "card"


def test_a_first_intake_opens_an_entry_that_reads_clean(journal: Path, card: Path) -> None:
    photograph(card / "DCIM" / "IMG_1.JPG", EVENING)
    photograph(card / "DCIM" / "IMG_2.JPG", "2024:03:10 01:20:00", seed=2)
    before = digests(card)
    done = intake(journal, card, "--part", "front wheel", "--shows", "before")
    assert done.exit_code == 0, done.stderr
    assert done.stdout.splitlines() == [
        f"photos/{DAY}/2024-03-09-191502-front-wheel-before.jpg",
        f"photos/{DAY}/2024-03-10-012000-front-wheel-before.jpg",
    ]
    assert entry_text(journal, "2024/2024-03-09.md").splitlines() == [
        "---",
        "date: 2024-03-09",
        "parts: [front wheel]",
        "# hours: 1:30",
        "# work:",
        "#   - {part: front wheel, step: degrease, hours: 0:45}",
        "# materials: degreaser 50 mL, 320 grit paper 2 sheets",
        "photos:",
        f"  - {{file: {DAY}/2024-03-09-191502-front-wheel-before.jpg, part: front wheel, shows: before}}",
        f"  - {{file: {DAY}/2024-03-10-012000-front-wheel-before.jpg, part: front wheel, shows: before}}",
        "---",
        "",
    ]
    assert inspect(journal) == []
    assert digests(card) == before
    assert set(photos_of(journal).values()) == set(before.values())
    assert "entries/2024/2024-03-09.md: opened with 2 photographs" in done.stderr
    assert "IMG_1.JPG -> 2024-03-09-191502-front-wheel-before.jpg" in done.stderr
    assert "2 copied and verified." in done.stderr
    assert f"Next: journalgen session {journal} --date 2024-03-09\n" in done.stderr


def test_an_entry_that_is_there_is_added_to_and_nothing_else_of_it_changes(journal: Path, card: Path) -> None:
    old = "---\r\ntitle: Etch   # my words\r\nphotos: [wheel.jpg]\r\nhours: 1\r\n---\r\nText.\r\n"
    entry = journal / "entries" / "2024-03-09-etch.md"
    entry.parent.mkdir()
    entry.write_bytes(old.encode())
    photograph(journal / "photos" / "wheel.jpg")
    photograph(card / "a.jpg", EVENING, seed=2)
    done = intake(journal, card)
    assert done.exit_code == 0, done.stderr
    line = f"[wheel.jpg,\r\n  {{file: {DAY}/2024-03-09-191502.jpg}}]"
    assert entry.read_bytes() == old.replace("[wheel.jpg]", line).encode()
    assert "entries/2024-03-09-etch.md: 1 photograph added" in done.stderr
    assert inspect(journal) == []


@pytest.mark.parametrize("ending", FORMATS)
def test_every_format_is_taken_in_and_shown(journal: Path, card: Path, ending: str) -> None:
    photograph(card / f"A{ending.upper()}", EVENING)
    done = intake(journal, card)
    assert (done.exit_code, done.stdout) == (0, f"photos/{DAY}/2024-03-09-191502{ending}\n"), done.stderr
    assert "left out" not in done.stderr
    assert inspect(journal) == []


def test_a_second_intake_copies_nothing_and_says_under_which_names_all_is_there(journal: Path, card: Path) -> None:
    photograph(card / "a.jpg", EVENING)
    photograph(card / "b.jpg", "2024:03:11 10:00:00", seed=2)
    intake(journal, card)
    before = digests(journal)
    done = intake(journal, card)
    assert (done.exit_code, done.stdout) == (0, "")
    assert digests(journal) == before
    assert f"a.jpg is photos/{DAY}/2024-03-09-191502.jpg\n" in done.stderr
    assert "0 copied and verified, 2 there already." in done.stderr


def test_what_is_there_under_another_name_is_found_without_the_cache(journal: Path, card: Path) -> None:
    mine = photograph(journal / "photos" / "by-hand" / "Wheel, old.JPG", EVENING)
    photograph(card / "a.jpg", EVENING)
    done = intake(journal, card)
    assert (done.exit_code, done.stdout) == (0, "")
    assert "a.jpg is photos/by-hand/Wheel, old.JPG, which no entry lists" in done.stderr
    assert list(photos_of(journal)) == ["by-hand/Wheel, old.JPG"]
    assert not (journal / "entries").exists()
    mine.write_bytes(mine.read_bytes() + b"edited")
    os.utime(mine, (0, 0))
    assert len(intake(journal, card).stdout.splitlines()) == 1


def test_files_as_long_as_each_other_are_not_taken_for_the_same(journal: Path, card: Path) -> None:
    one = photograph(card / "a.jpg", EVENING).read_bytes() + b"1"
    (card / "a.jpg").write_bytes(one)
    (card / "b.jpg").write_bytes(one[:-1] + b"2")
    (journal / "photos").mkdir()
    (journal / "photos" / "c.jpg").write_bytes(one[:-1] + b"3")
    done = intake(journal, card)
    assert len(done.stdout.splitlines()) == 2
    assert len(set(photos_of(journal).values())) == 3


def test_the_same_photograph_twice_on_the_card_comes_once(journal: Path, card: Path) -> None:
    photograph(card / "a.jpg", EVENING)
    photograph(card / "again" / "copy.jpg", EVENING)
    done = intake(journal, card, card / "a.jpg")
    assert done.stdout.splitlines() == [f"photos/{DAY}/2024-03-09-191502.jpg"]
    assert f"copy.jpg is photos/{DAY}/2024-03-09-191502.jpg\n" in done.stderr
    assert entry_text(journal, "2024/2024-03-09.md").count("{file:") == 1


def test_equal_names_of_two_cameras_and_one_second_do_not_meet(journal: Path, card: Path) -> None:
    for n, fraction in enumerate(["9", "1", "5"]):
        photograph(card / f"cam{n}" / "IMG_1.JPG", EVENING, seed=n + 1, fraction=fraction)
    before = digests(card)
    done = intake(journal, card)
    stem = f"{DAY}/2024-03-09-191502"
    assert done.stdout.splitlines() == [f"photos/{stem}.jpg", f"photos/{stem}_02.jpg", f"photos/{stem}_03.jpg"]
    made = photos_of(journal)
    order = [f"cam{n}/IMG_1.JPG" for n in (1, 2, 0)]  # by the fractions of the second
    assert [made[f"{stem}{end}.jpg"] for end in ("", "_02", "_03")] == [before[name] for name in order]


def test_names_that_differ_in_case_or_ending_alone_are_not_given(journal: Path, card: Path) -> None:
    folder = journal / "photos" / DAY
    folder.mkdir(parents=True)
    (folder / "2024-03-09-191502-LAMP.JPG").write_bytes(b"mine")
    (folder / "2024-03-09-191502_02-lamp.txt").write_bytes(b"mine too")
    photograph(card / "a.jpg", EVENING)
    done = intake(journal, card, "--part", "lamp")
    assert done.stdout == f"photos/{DAY}/2024-03-09-191502_03-lamp.jpg\n"
    names = [name.casefold() for name in photos_of(journal)]
    assert len(names) == len(set(names)) == 3


def test_films_and_raw_files_come_beside_their_photograph_and_stay_out_of_the_site(journal: Path, card: Path) -> None:
    photograph(card / "IMG_1.HEIC", EVENING)
    (card / "IMG_1.MOV").write_bytes(b"a film")
    (card / "img_1.dng").write_bytes(b"a raw file")
    (card / "IMG_2.NEF").write_bytes(b"another")
    file_time(card / "IMG_2.NEF", datetime(2024, 3, 9, 20, tzinfo=UTC))
    done = intake(journal, card)
    assert done.exit_code == 0, done.stderr
    assert sorted(photos_of(journal)) == [
        f"{DAY}/2024-03-09-191502.dng",
        f"{DAY}/2024-03-09-191502.heic",
        f"{DAY}/2024-03-09-191502.mov",
        f"{DAY}/2024-03-09-200000.nef",
    ]
    assert "3 copied, and left out of the site" in done.stderr
    assert "IMG_1.MOV -> 2024-03-09-191502.mov: a film" in done.stderr
    assert entry_text(journal, "2024/2024-03-09.md").count("{file:") == 1
    assert inspect(journal) == []


def test_a_film_that_comes_later_goes_beside_the_photograph_that_is_there(journal: Path, card: Path) -> None:
    photograph(journal / "photos" / "mine" / "Wheel.heic", EVENING)
    photograph(card / "IMG_1.HEIC", EVENING)
    (card / "IMG_1.MOV").write_bytes(b"a film")
    assert intake(journal, card).stdout == "photos/mine/Wheel.mov\n"
    (card / "IMG_1.MOV").write_bytes(b"another film")
    assert intake(journal, card).stdout == "photos/mine/Wheel_02.mov\n"


def test_a_photograph_and_what_was_made_of_it_are_two(journal: Path, card: Path) -> None:
    photograph(card / "IMG_1.HEIC", EVENING)
    photograph(card / "IMG_1.JPG", EVENING)
    done = intake(journal, card)
    assert done.stdout.splitlines() == [
        f"photos/{DAY}/2024-03-09-191502.heic",
        f"photos/{DAY}/2024-03-09-191502_02.jpg",
    ]


def test_the_ending_is_that_of_what_the_picture_is(journal: Path, card: Path) -> None:
    photograph(card / "a.heic", EVENING).rename(card / "a.jpg")
    assert intake(journal, card).stdout == f"photos/{DAY}/2024-03-09-191502.heic\n"


def test_a_damaged_photograph_is_kept_and_not_listed(journal: Path, card: Path) -> None:
    for n, ending in enumerate(FORMATS):
        whole = photograph(card / f"a{ending}", EVENING, seed=n, size=400).read_bytes()
        (card / f"a{ending}").write_bytes(whole[: len(whole) * 2 // 3])
    (card / "page.jpg").write_bytes(b"<html>not found</html>")
    before = digests(card)
    done = intake(journal, card)
    assert done.exit_code == 0
    assert f"{len(FORMATS) + 1} copied and verified." in done.stderr
    assert set(photos_of(journal).values()) == set(before.values())
    assert not (journal / "entries").exists()
    assert inspect(journal) == []
    assert done.stderr.count("damaged or cut short") + done.stderr.count("It is cut short") + done.stderr.count(
        "its beginning is damaged"
    ) == len(FORMATS) + 1  # fmt: skip


def test_an_empty_file_is_refused_and_the_others_come(journal: Path, card: Path) -> None:
    photograph(card / "a.jpg", EVENING)
    (card / "b.jpg").write_bytes(b"")
    done = intake(journal, card)
    assert done.exit_code == 1
    assert len(photos_of(journal)) == 1
    assert f"{card / 'b.jpg'}: It is empty" in done.stderr
    assert "1 copied and verified, 1 not taken in." in done.stderr


def test_what_is_none_of_a_cameras_is_passed_over_in_a_folder_and_refused_by_name(journal: Path, card: Path) -> None:
    photograph(card / "a.jpg", EVENING)
    photograph(card / ".hidden.jpg", EVENING, seed=2)
    photograph(card / ".trash" / "b.jpg", EVENING, seed=3)
    (card / "notes.txt").write_text("x")
    (card / "list").write_text("x")
    done = intake(journal, card)
    assert (done.exit_code, len(photos_of(journal))) == (0, 1)
    assert "passed over, being nothing of a camera's: 1 (none), 1 .txt" in done.stderr
    refused = intake(journal, card / "notes.txt")
    assert refused.exit_code == 1
    assert "notes.txt: It is no photograph, film or raw file." in refused.stderr
    photograph(card / "c.jpg", EVENING, seed=4).rename(card / "no-ending")
    assert intake(journal, card / "no-ending").stdout == f"photos/{DAY}/2024-03-09-191502_02.jpg\n"


def test_times_that_no_camera_told_are_said(journal: Path, card: Path) -> None:
    file_time(photograph(card / "a.png"), datetime(2024, 3, 9, 20, 30, tzinfo=UTC))
    photograph(card / "b.jpg", changed="2024:03:09 21:00:00", seed=2)
    os.utime(photograph(card / "c.jpg", seed=3), (0, 0))
    done = intake(journal, card)
    assert (
        "no camera told when this was taken, but the file's time of change:\n    a.png: 2024-03-09 20:30" in done.stderr
    )
    assert "but the picture's own time of change:\n    b.jpg: 2024-03-09 21:00" in done.stderr
    assert "but nothing, so it counts as taken now:\n    c.jpg: " in done.stderr


def test_days_are_those_of_the_journals_time_zone(tmp_path: Path, card: Path) -> None:
    journal = journal_at(tmp_path / "far", zone="Pacific/Auckland")
    photograph(card / "a.jpg", EVENING, offset="+00:00")
    assert intake(journal, card).stdout == "photos/2024/2024-03-10/2024-03-10-081502.jpg\n"


def test_a_dry_run_writes_nothing_and_says_what_a_run_then_does(journal: Path, card: Path) -> None:
    entry = journal / "entries" / "2024-03-09-etch.md"
    entry.parent.mkdir()
    entry.write_text("---\ntitle: Etch\n---\n")
    photograph(card / "a.jpg", EVENING)
    photograph(card / "b.jpg", EVENING, seed=2)
    photograph(card / "c.jpg", "2024:03:11 10:00:00", seed=3)
    (card / "a.mov").write_bytes(b"film")
    (card / "d.jpg").write_bytes((card / "c.jpg").read_bytes()[:300])
    (card / "e.jpg").write_bytes((card / "c.jpg").read_bytes())
    before = {path: path.stat() for path in journal.rglob("*")}
    dry = json.loads(intake(journal, card, "--dry-run", "--json", "--part", "lamp").stdout)
    assert {path: path.stat() for path in journal.rglob("*")} == before
    real = json.loads(intake(journal, card, "--json", "--part", "lamp").stdout)
    assert (dry.pop("dry_run"), real.pop("dry_run")) == (True, False)
    assert dry == real
    assert real["format"] == "journalgen-intake/1"
    assert [row["entry"] for row in real["entries"]] == ["entries/2024-03-09-etch.md", "entries/2024/2024-03-11.md"]
    assert [row["opened"] for row in real["entries"]] == [False, True]
    assert len(real["copied"]) == 5
    assert sum(row["not_shown"] is not None for row in real["copied"]) == 1


def test_a_folder_of_the_journal_itself_is_there_already(journal: Path) -> None:
    mine = photograph(journal / "photos" / "a.jpg", EVENING)
    other = photograph(journal / "from the card" / "b.jpg", EVENING, seed=2)
    photograph(journal / "web" / "owner" / "c.jpg", EVENING, seed=3)
    done = intake(journal, mine)
    assert (done.exit_code, done.stdout) == (0, "")
    assert "a.jpg is photos/a.jpg" in done.stderr
    done = intake(journal, journal)
    assert done.stdout == f"photos/{DAY}/2024-03-09-191502.jpg\n"
    assert other.exists()


def test_a_line_that_was_taken_out_is_not_put_back(journal: Path, card: Path) -> None:
    photograph(card / "a.jpg", EVENING)
    intake(journal, card)
    entry = journal / "entries" / "2024" / "2024-03-09.md"
    entry.write_text("---\ndate: 2024-03-09\n---\n")
    done = intake(journal, card)
    assert entry.read_text() == "---\ndate: 2024-03-09\n---\n"
    assert "which no entry lists" in done.stderr


def test_the_part_is_spelt_as_the_register_does(journal: Path, card: Path) -> None:
    (journal / "register").mkdir()
    (journal / "register" / "parts.yaml").write_text('Front wheel: {also called: [wheel]}\n"Räder, alle":\n')
    photograph(card / "a.jpg", EVENING)
    done = intake(journal, card, "--part", "WHEEL", "--part", "axle")
    assert done.stdout == f"photos/{DAY}/2024-03-09-191502-front-wheel-axle.jpg\n"
    assert "part: [Front wheel, axle]" in entry_text(journal, "2024/2024-03-09.md")
    assert '"axle" is not a known part' in done.stderr


def test_a_slip_of_the_pen_does_not_get_into_the_names_of_files(journal: Path, card: Path) -> None:
    (journal / "register").mkdir()
    (journal / "register" / "parts.yaml").write_text("front wheel:\n")
    photograph(card / "a.jpg", EVENING)
    refused = intake(journal, card, "--part", "frunt wheel")
    assert refused.exit_code == 2
    assert "did you mean front wheel?" in refused.stderr
    assert not list((journal / "photos").rglob("*.jpg"))


def test_a_part_with_a_comma_in_its_name_is_one_part(journal: Path, card: Path) -> None:
    (journal / "register").mkdir()
    (journal / "register" / "parts.yaml").write_text('"axle, left":\n')
    photograph(card / "a.jpg", EVENING)
    assert intake(journal, card, "--part", "axle, left").exit_code == 0
    assert 'part: ["axle, left"]' in entry_text(journal, "2024/2024-03-09.md")
    assert inspect(journal) == []


@pytest.mark.parametrize("part", ["Räder: vorn", "ось", '"quoted" #1', "a" * 200])
def test_any_part_makes_a_portable_name_and_a_line_that_reads(journal: Path, card: Path, part: str) -> None:
    photograph(card / "a.jpg", EVENING)
    done = intake(journal, card, "--part", part, "--shows", "after")
    assert done.exit_code == 0, done.stderr
    (name,) = [Path(file).name for file in photos_of(journal)]
    assert name.isascii()
    assert len(name) < 100
    assert name.startswith("2024-03-09-191502")
    assert name.endswith("-after.jpg")
    assert inspect(journal) == []


def test_hundreds_of_one_second_are_told_apart(journal: Path, card: Path) -> None:
    whole = photograph(card / "a.jpg", EVENING).read_bytes()
    for n in range(120):
        (card / f"{n}.jpg").write_bytes(whole + bytes([n]))
    done = intake(journal, card)
    assert len(set(done.stdout.splitlines())) == 121
    assert "and 111 more; --json names them all" in done.stderr
    assert f"photos/{DAY}/2024-03-09-191502_121.jpg" in done.stdout
    assert inspect(journal) == []


def test_copies_keep_the_time_of_the_file(journal: Path, card: Path) -> None:
    file_time(photograph(card / "a.png"), datetime(2024, 3, 9, 20, 30, tzinfo=UTC))
    intake(journal, card)
    (made,) = (journal / "photos").rglob("*.png")
    assert made.stat().st_mtime_ns == (card / "a.png").stat().st_mtime_ns


def test_wrong_usage(tmp_path: Path, journal: Path, card: Path) -> None:
    photograph(card / "a.jpg")
    assert intake(journal).exit_code == 2
    assert intake(journal, card / "absent.jpg").exit_code == 2
    assert intake(journal, card, "--shows", "beside").exit_code == 2
    nowhere = intake(tmp_path, card)
    assert nowhere.exit_code == 2
    assert "There is one in" in nowhere.stderr


def test_nothing_to_take_in_is_said(journal: Path, card: Path) -> None:
    card.mkdir()
    done = intake(journal, card)
    assert done.exit_code == 1
    assert "No photograph was found. Name photographs, or a folder that holds some." in done.stderr
    assert not (journal / "photos").exists()


def test_settings_with_errors_stop_an_intake_before_anything(journal: Path, card: Path) -> None:
    photograph(card / "a.jpg", EVENING)
    (journal / "journal.toml").write_text('time_zone = "Nowhere/Here"\n')
    done = intake(journal, card)
    assert done.exit_code == 1
    assert "journal.toml has errors" in done.stderr
    assert not (journal / "photos").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="links take rights on Windows")
def test_links_are_followed_to_files_and_never_out_of_the_journal(journal: Path, card: Path, tmp_path: Path) -> None:
    photograph(card / "a.jpg", EVENING)
    (card / "link.jpg").symlink_to(card / "a.jpg")
    (card / "circle").symlink_to(card)
    (card / "gone.jpg").symlink_to(card / "absent.jpg")
    os.mkfifo(card / "pipe.jpg")
    done = intake(journal, card)
    assert len(done.stdout.splitlines()) == 1
    other = journal_at(tmp_path / "other")
    (other / "photos").symlink_to(card)
    done = intake(other, card)
    assert done.exit_code == 1
    assert "photos/ is a link that leads out of the journal" in done.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="links take rights on Windows")
def test_a_link_to_the_card_is_no_copy(journal: Path, card: Path) -> None:
    photograph(card / "a.jpg", EVENING)
    (journal / "photos").mkdir()
    (journal / "photos" / "a.jpg").symlink_to(card / "a.jpg")
    assert len(intake(journal, card).stdout.splitlines()) == 1


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere names are text")
def test_names_that_are_no_text_are_shown_as_such(journal: Path, card: Path) -> None:
    photograph(card / "a.jpg", EVENING)
    os.rename(card / "a.jpg", os.fsencode(card) + b"/a\xff\x1b[31m\n.jpg")
    done = intake(journal, card)
    assert done.exit_code == 0, done.stderr
    assert "    a\\udcff\ufffd[31m .jpg -> 2024-03-09-191502.jpg\n" in done.stderr
    again = json.loads(intake(journal, card, "--json").stdout)
    assert again["there"][0]["from"].endswith("a\udcff\x1b[31m\n.jpg")


@pytest.mark.parametrize("name", ["photos", "photos/2024"])
def test_a_file_where_a_folder_should_be_is_said(journal: Path, card: Path, name: str) -> None:
    photograph(card / "a.jpg", EVENING)
    (journal / name).parent.mkdir(exist_ok=True)
    (journal / name).write_text("in the way")
    done = intake(journal, card)
    assert (done.exit_code, done.stdout) == (1, "")
    assert "photos/ cannot be written: " in done.stderr
    assert (journal / name).read_text() == "in the way"


def test_what_a_camera_puts_after_the_picture_does_not_make_it_damaged(journal: Path, card: Path) -> None:
    for n, ending in enumerate([".heic", ".avif", ".webp", ".jpg"]):
        file = photograph(card / f"{n}{ending}", EVENING)
        file.write_bytes(file.read_bytes() + b"\x00\x00\x00\x03its own notes")
    done = intake(journal, card)
    assert "left out" not in done.stderr
    assert entry_text(journal, "2024/2024-03-09.md").count("{file:") == 4
