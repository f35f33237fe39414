"""Yearly copies: what is new since an earlier bag or a day, and bags that together hold everything."""

from __future__ import annotations

import json
import os
import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.outside.bags import check, contents, preserve, small_journal, write_bag

bagit = pytest.importorskip("bagit", reason="bagit is not installed")


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    return small_journal(tmp_path / "home" / "trolley")


@pytest.fixture
def disk(tmp_path: Path) -> Path:
    (tmp_path / "disk").mkdir()
    return tmp_path / "disk"


def made(journal: Path, *args: object) -> Path:
    done = preserve(journal, *args)
    assert done.exit_code == 0, done.stderr
    return Path(done.stdout.strip())


def a_year_later(journal: Path) -> None:
    (journal / "entries" / "2024" / "2024-03-16-quiet.md").unlink()
    (journal / "entries" / "2025-04-01-rust.md").write_text("---\nparts: front wheel\nhours: 1\n---\nRust again.\n")
    with (journal / "register" / "parts.yaml").open("a") as register:
        register.write("hub:\n  stored: shelf\n")


def test_only_what_is_new_or_changed_is_copied_and_the_chain_holds_everything(journal: Path, disk: Path) -> None:
    first = made(journal, "--to", disk / "2024", "--on", "2024-12-31")
    a_year_later(journal)
    second = made(journal, "--to", disk / "2025", "--since", first, "--on", "2025-12-31")
    own = {name for name in contents(second) if name.startswith("data/journal/")}
    assert own == {"data/journal/entries/2025-04-01-rust.md", "data/journal/register/parts.yaml"}
    assert not list((second / "data" / "site").rglob("*.jpg"))  # the pictures are as they were
    assert bagit.Bag(str(second)).validate()
    info = bagit.Bag(str(second)).info
    assert (info["Builds-On"], info["Bag-Group-Identifier"], info["Bag-Count"]) == ("2024", "2024", "2 of ?")
    third = made(journal, "--to", disk / "2026", "--since", second, "--on", "2025-12-31")
    assert set(contents(third / "data")) == {"README.txt"}
    done = check(third)
    assert done.exit_code == 0
    assert done.stdout.splitlines()[-1].startswith("Together they hold all that the journal held: ")

    over: dict[str, bytes] = {}
    for bag in (first, second, third):
        over |= contents(bag / "data")
    for name, data in contents(journal).items():
        if not name.startswith(".journalgen"):
            assert over[f"journal/{name}"] == data


def test_an_earlier_bag_is_found_under_any_name_and_as_a_zip(journal: Path, disk: Path) -> None:
    first = made(journal, "--to", disk / "2024.zip")
    a_year_later(journal)
    second = made(journal, "--to", disk / "2025", "--since", first)
    first.rename(disk / "the first one.zip")
    done = check(second)
    assert done.exit_code == 0
    assert "Together they hold all" in done.stdout


def test_an_earlier_bag_that_lies_elsewhere_is_named(journal: Path, disk: Path, tmp_path: Path) -> None:
    first = made(journal, "--to", tmp_path / "elsewhere" / "2024")
    second = made(journal, "--to", disk / "2025", "--since", first)
    done = check(second)
    assert done.exit_code == 0
    assert "Together" not in done.stdout
    assert "of the journal: in 2024, which is not beside this bag and was not checked." in done.stderr
    told = json.loads(check(second, "--json").stdout)
    assert [row["bag"] for row in told["elsewhere"]] == ["2024"]


def test_damage_in_the_earlier_bag_is_found_when_the_later_is_checked(journal: Path, disk: Path) -> None:
    first = made(journal, "--to", disk / "2024")
    second = made(journal, "--to", disk / "2025", "--since", first)
    photo = first / "data" / "journal" / "photos" / "wheel.jpg"
    photo.write_bytes(photo.read_bytes()[:-1] + b"x")
    done = check(second)
    assert done.exit_code == 1
    assert "damaged data/journal/photos/wheel.jpg" in done.stdout
    assert "2024 is not whole" in done.stdout


def test_a_file_that_is_in_none_of_the_bags_is_missing(journal: Path, disk: Path) -> None:
    """Even if someone took it out of the earlier bag's manifests too, so that that bag is whole in itself."""
    first = made(journal, "--to", disk / "2024")
    second = made(journal, "--to", disk / "2025", "--since", first)
    info = bagit.Bag(str(first)).info["External-Identifier"]
    (first / "data" / "journal" / "photos" / "wheel.jpg").unlink()
    kept = {name.removeprefix("data/"): data for name, data in contents(first).items() if name.startswith("data/")}
    shutil.rmtree(first)
    agent = f"External-Identifier: {info}\nBag-Software-Agent: journalgen 0\n".encode()
    write_bag(first, kept, algorithms=("sha256", "sha512"), tags={"bag-info.txt": agent})
    done = check(second)
    assert done.exit_code == 1
    assert "missing data/journal/photos/wheel.jpg: The journal held it, and 2024 does not." in done.stdout


def test_since_a_day_goes_by_when_a_file_was_changed_or_came(journal: Path, disk: Path) -> None:
    """A photograph copied in today with the camera's time is new today."""
    old = datetime(2020, 1, 1, tzinfo=UTC).timestamp()
    for path in journal.rglob("*"):
        if path.is_file():
            os.utime(path, (old, old))
    today = made(journal, "--to", disk / "a", "--since", datetime.now(UTC).date() - timedelta(days=1))
    assert "data/journal/photos/wheel.jpg" in contents(today)
    later = made(journal, "--to", disk / "b", "--since", datetime.now(UTC).date() + timedelta(days=2))
    assert not [name for name in contents(later) if name.startswith("data/journal/")]
    assert "site/owner/index.html" in contents(later / "data")
    assert bagit.Bag(str(later)).validate()
    held = (later / "holdings.txt").read_text()
    assert "\t-\tdata/journal/photos/wheel.jpg\n" in held
    done = check(later)
    assert (done.exit_code, "Together they hold all" in done.stdout) == (0, True)
    shutil.rmtree(today)
    assert "5 files of the journal: in an earlier bag." in check(later).stderr


@pytest.mark.parametrize(
    ("since", "options", "said"),
    [
        ("broken", [], "is not whole"),
        ("foreign", [], "has no SHA-512 manifest"),
        ("2024", ["--edition", "public"], "is of the owner's edition"),
        ("2024", [], "is called 2024 too"),
        ("not there", [], "--since"),
    ],
)
def test_what_cannot_be_built_on_is_said(
    journal: Path, disk: Path, since: str, options: list[str], said: str
) -> None:  # fmt: skip
    made(journal, "--to", disk / "2024")
    made(journal, "--to", disk / "broken")
    (disk / "broken" / "data" / "journal" / "journal.toml").unlink()
    write_bag(disk / "foreign", {"a": b"a"}, algorithms=["md5"])
    given = disk / since if (disk / since).exists() else since
    to = disk / "other" / "2024" if since == "2024" and not options else disk / "2025"
    done = preserve(journal, "--to", to, "--since", given, *options)
    assert done.exit_code in (1, 2)
    assert done.stdout == ""
    assert said in done.stderr
    assert not (disk / "2025").exists()


def test_a_foreign_bag_can_be_built_on(journal: Path, disk: Path) -> None:
    shutil.copytree(journal, disk / "mine" / "journal")
    bagit.make_bag(str(disk / "mine"), checksums=["sha512"])
    bag = made(journal, "--to", disk / "2025", "--since", disk / "mine")
    assert not [name for name in contents(bag) if name.startswith("data/journal/")]
    assert "in mine, which is not beside" in check(bag).stderr
