"""What `preserve` puts into a bag, where it puts it, and what it says."""

from __future__ import annotations

import csv
import io
import json
import os
import sys
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest

from journalgen import __version__
from tests.intake.camera import digests, file_time
from tests.outside.bags import check, contents, preserve, small_journal
from tests.outside.papers import text_of

bagit = pytest.importorskip("bagit", reason="bagit is not installed")


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    return small_journal(tmp_path / "home" / "trolley")


def made(journal: Path, *args: object) -> Path:
    """Makes a bag, which must go well, and gives its path."""
    done = preserve(journal, *args)
    assert done.exit_code == 0, done.stderr
    return Path(done.stdout.strip())


def own_files(journal: Path) -> dict[str, bytes]:
    return {name: data for name, data in contents(journal).items() if name.split("/")[0] not in (".journalgen", "web")}


def test_a_bag_beside_the_journal_holds_all_of_it_and_the_site_and_the_library_finds_it_valid(journal: Path) -> None:
    before = digests(journal)
    today = datetime.now(UTC).date()
    bag = made(journal)
    assert bag.parent == journal.parent
    assert bag.name.startswith("test-trolley-20")
    assert abs((datetime.fromisoformat(bag.name[-10:]).date() - today).days) <= 1  # the journal's zone is another
    assert bagit.Bag(str(bag)).validate()
    assert check(bag).exit_code == 0
    found = contents(bag / "data")
    assert {f"journal/{name}": data for name, data in own_files(journal).items()} == {
        name: data for name, data in found.items() if name.startswith("journal/")
    }
    assert "site/owner/index.html" in found
    assert not [name for name in found if name.endswith((".js", ".avif"))]  # the plain theme
    rows = list(csv.reader(io.StringIO(found["tables/purchases.csv"].decode())))
    assert any("a secret seller" in row for row in rows)
    assert found["dossier.pdf"].startswith(b"%PDF-1.7")
    assert b"dossier.pdf\n    The record as one document" in found["README.txt"]
    assert b"photos/: the" in found["README.txt"]
    assert {name: digest for name, digest in digests(journal).items() if not name.startswith(".")} == {
        name: digest for name, digest in before.items() if not name.startswith(".")
    }
    assert sorted(path.name for path in journal.parent.iterdir()) == sorted([journal.name, bag.name])


def test_bag_info_says_what_the_journal_knows(journal: Path) -> None:
    bag = made(journal, "--to", journal.parent / "kept", "--on", "2024-03-12")
    info = bagit.Bag(str(bag)).info
    payload = contents(bag / "data")
    assert info["Payload-Oxum"] == f"{sum(map(len, payload.values()))}.{len(payload)}"
    assert info["Bag-Software-Agent"] == f"journalgen {__version__}"
    assert info["External-Identifier"] == info["Bag-Group-Identifier"] == "kept"
    assert info["Bag-Count"] == "1 of ?"
    assert info["Journal-As-At"] == "2024-03-12"
    assert info["Journal-Sessions"] == "1, from 2024-03-09 to 2024-03-09"
    assert datetime.fromisoformat(info["Bagging-Date"])
    assert all(len(line) <= 79 for line in (bag / "bag-info.txt").read_text().splitlines())


def test_times_of_change_are_kept_in_a_folder_and_in_a_zip(journal: Path) -> None:
    file_time(journal / "photos" / "wheel.jpg", datetime(2024, 7, 9, 19, 15, 2, tzinfo=UTC))
    bag = made(journal)
    kept = bag / "data" / "journal" / "photos" / "wheel.jpg"
    assert kept.stat().st_mtime == (journal / "photos" / "wheel.jpg").stat().st_mtime
    assert "\t2024-07-09T19:15:02Z\t" in (bag / "holdings.txt").read_text()
    packed = made(journal, "--zip")
    with zipfile.ZipFile(packed) as archive:
        row = archive.getinfo(f"{packed.stem}/data/journal/photos/wheel.jpg")
    assert row.date_time == (2024, 7, 9, 20, 15, 2)  # in the journal's zone


def test_the_same_day_gives_the_same_bytes(journal: Path) -> None:
    bags = [made(journal, "--to", journal.parent / name / "kept") for name in "ab"]
    assert contents(bags[0]) == contents(bags[1])
    zips = [made(journal, "--to", journal.parent / name / "kept.zip") for name in "ab"]
    assert zips[0].read_bytes() == zips[1].read_bytes()


def test_a_zip_holds_what_the_folder_holds(journal: Path, tmp_path: Path) -> None:
    bag = made(journal, "--to", tmp_path / "a" / "kept")
    packed = made(journal, "--to", tmp_path / "b" / "kept.zip")
    assert check(packed).exit_code == 0
    with zipfile.ZipFile(packed) as archive:
        archive.extractall(tmp_path / "out")
    assert contents(tmp_path / "out" / "kept") == contents(bag)
    assert bagit.Bag(str(tmp_path / "out" / "kept")).validate()
    assert list((tmp_path / "b").iterdir()) == [packed]


def test_a_public_bag_holds_the_public_site_and_nothing_that_it_hides(journal: Path) -> None:
    bag = made(journal, "--edition", "public")
    assert bag.name.startswith("test-trolley-public-")
    found = contents(bag)
    assert {name.split("/")[1] for name in found if name.startswith("data/")} == {
        "README.txt", "dossier.pdf", "site", "tables",
    }  # fmt: skip
    assert bagit.Bag(str(bag)).validate()
    said = text_of(bag / "data" / "dossier.pdf").encode()
    everything = b"\n".join([*found.values(), *(name.encode() for name in found), said])
    for secret in (
        b"secret seller",
        b"Nobody",
        b"whispered",
        b"2024-03-16",
        b"under the bench",
        b"12.50",
        b"wheel.jpg",
    ):
        assert secret not in everything
    assert b"Scale came off" in everything


def test_a_folder_that_is_there_gets_the_bag_into_it(journal: Path, tmp_path: Path) -> None:
    (tmp_path / "disk").mkdir()
    (tmp_path / "disk" / "other.txt").write_text("mine")
    bag = made(journal, "--to", tmp_path / "disk")
    assert bag.parent == tmp_path / "disk"
    assert (tmp_path / "disk" / "other.txt").read_text() == "mine"


@pytest.mark.parametrize(
    ("to", "said"),
    [
        ("home/trolley/kept", "lies in the journal itself"),
        ("home/trolley", "lies in the journal itself"),
        ("kept", "is there already, and nothing is written over"),
        ("kept/inside", "is a bag; a bag put into it would spoil it"),
        ("file.zip", "is there already, and nothing is written over"),
        ("link", "is there already, and nothing is written over"),
    ],
)
def test_nothing_is_written_over_or_into_the_journal(journal: Path, tmp_path: Path, to: str, said: str) -> None:
    (tmp_path / "file.zip").write_bytes(b"mine")
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    made(journal, "--to", tmp_path / "kept")
    before = contents(tmp_path / "kept")
    done = preserve(journal, "--to", tmp_path / to)
    assert (done.exit_code, done.stdout) == (1, "")
    assert said in done.stderr
    assert contents(tmp_path / "kept") == before
    assert (tmp_path / "file.zip").read_bytes() == b"mine"
    assert os.path.lexists(tmp_path / "link")
    assert own_files(journal).keys() == {*own_files(small_journal(tmp_path / "again"))}


def test_an_entry_with_errors_is_kept_and_left_out_of_the_pages(journal: Path) -> None:
    (journal / "entries" / "2024-05-01-wrong.md").write_text("---\nhours: 2h75\n---\nA word of it.\n")
    done = preserve(journal)
    bag = Path(done.stdout.strip())
    assert done.exit_code == 0
    assert "Kept, and left out of the pages because of errors:\n  entries/2024-05-01-wrong.md" in done.stderr
    assert (bag / "data" / "journal" / "entries" / "2024-05-01-wrong.md").read_text().endswith("A word of it.\n")
    assert not list((bag / "data" / "site").rglob("*wrong*"))
    assert bagit.Bag(str(bag)).validate()


def test_errors_that_allow_no_site_keep_nothing_from_being_kept(journal: Path) -> None:
    (journal / "register" / "parts.yaml").write_text("front wheel: [\n")
    done = preserve(journal)
    bag = Path(done.stdout.strip())
    assert done.exit_code == 1
    assert "kept without site, tables, dossier" in done.stderr
    assert (bag / "data" / "journal" / "register" / "parts.yaml").read_text() == "front wheel: [\n"
    assert {path.name for path in (bag / "data").iterdir()} == {"journal", "README.txt"}
    assert b"errors that kept its pages" in (bag / "data" / "README.txt").read_bytes()
    assert bagit.Bag(str(bag)).validate()
    done = preserve(journal, "--edition", "public")
    assert (done.exit_code, done.stdout) == (1, "")
    assert "there is no public edition to preserve" in done.stderr


def test_links_are_not_followed_out_of_the_journal_and_that_is_said(journal: Path, tmp_path: Path) -> None:
    (tmp_path / "secret.txt").write_text("not the journal's")
    (journal / "photos" / "out.jpg").symlink_to(tmp_path / "secret.txt")
    (journal / "photos" / "in.jpg").symlink_to("wheel.jpg")
    (journal / "more").symlink_to(journal / "photos")
    (journal / "lost.txt").symlink_to("nowhere")
    done = preserve(journal)
    bag = Path(done.stdout.strip())
    assert done.exit_code == 1
    assert "photos/out.jpg: This link leads out of the journal" in done.stderr
    assert "more: This link to a folder was not followed" in done.stderr
    assert "lost.txt: It cannot be read" in done.stderr
    found = contents(bag)
    assert found["data/journal/photos/in.jpg"] == found["data/journal/photos/wheel.jpg"]
    assert b"not the journal's" not in b"".join(found.values())
    assert bagit.Bag(str(bag)).info["Not-In-This-Bag"][0].startswith("lost.txt:")
    assert b"photos/out.jpg" in found["data/README.txt"]
    assert check(bag).exit_code == 0


@pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="these names cannot be made there")
def test_odd_names_are_kept_and_reported_and_come_back(journal: Path) -> None:
    odd = ["a\nb.txt", "c\rd.txt", "100%.txt", "100%25.txt", "q?.txt", "aux.txt", " lead.txt", "trail ", "é.txt",
           "A.txt", "a.txt", "*star.txt", "back\\slash.txt"]  # fmt: skip
    for name in odd:
        (journal / "notes").mkdir(exist_ok=True)
        (journal / "notes" / name).write_text(repr(name))
    (journal / "notes" / os.fsdecode(b"caf\xe9.txt")).write_text("Latin-1")
    (journal / ".hidden").write_text("x")
    done = preserve(journal)
    assert done.exit_code == 0
    bag = Path(done.stdout.strip())
    kept = contents(bag / "data" / "journal" / "notes")
    assert kept == {**{name: repr(name).encode() for name in odd}, "caf=E9.txt": b"Latin-1"}
    assert check(bag).exit_code == 0
    for line in (
        "notes/q?.txt: Windows allows no ? in a name",
        "notes/aux.txt: Windows keeps the name aux.txt for a device",
        "notes/trail : Windows allows no dot or space at the end of a name",
        "notes/caf\\xe9.txt".replace("\\xe9", "\\udce9") + " -> notes/caf=E9.txt",
        "Left out, being hidden:\n  .hidden",
    ):
        assert line in done.stderr
    names = json.loads(preserve(journal, "--zip", "--json").stdout)["names"]
    assert "notes/A.txt, notes/a.txt: Windows and macOS take these for one file" in names
    assert check(bag.with_name(f"{bag.name}.zip")).exit_code == 0


def test_without_a_journal_it_says_how_to_begin(tmp_path: Path) -> None:
    done = preserve(tmp_path)
    assert done.exit_code == 2
    assert "journalgen begin" in done.stderr


def test_json_tells_the_same(journal: Path) -> None:
    told = json.loads(preserve(journal, "--json").stdout)
    bag = Path(told["bag"])
    assert told["format"] == "journalgen-preserve/1"
    assert told["files"] == len(contents(bag / "data"))
    assert told["octets"] == sum(map(len, contents(bag / "data").values()))
    assert told["with_site"]
