"""Photographs are the same, byte for byte and in their times, after every verb."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from journalgen.command import main
from tests.intake.camera import photograph
from tests.journals import SETTINGS, write_journal
from tests.pictures.biting import RIGHT, biting
from tests.preview.running import running

ON = ["--on", "2024-04-01"]
SMALL = [name for name in RIGHT if "MB" not in name]
ENTRY = """
    ---
    parts: wheel
    hours: 1
    work: [{part: wheel, step: prime, material: zinc primer, amount: 5 mL, coat: 1}]
    photos:
    PHOTOS
    ---
    """
REGISTER = "zinc primer: {kind: coating, solids: 52 %, film: 40 um, recoat: 4 h .. 7 d}\n"

Seen = dict[str, tuple[bytes, int]]


def originals(*folders: Path) -> Seen:
    """Every file of photographs with what is in it and when it was changed."""
    return {
        str(path): (path.read_bytes(), path.stat().st_mtime_ns)
        for folder in folders
        for path in folder.rglob("*")
        if path.is_file() and not path.name.endswith(".md")
    }


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    lines = [
        f"  - {{file: {n}.jpg, part: wheel, shows: before, hide: [[10, 10, 20, 20]]}}" for n in range(len(SMALL) + 2)
    ]
    entry = ENTRY.replace("PHOTOS", "\n    ".join(lines))
    files = {"entries/2024-03-09-prime.md": entry, "register/materials.yaml": REGISTER}
    home = write_journal(tmp_path / "journal", files, SETTINGS + '[targets.stick]\nurl = "../there"\n')
    (home / "photos").mkdir()
    for n, name in enumerate(SMALL):
        (home / "photos" / f"{n}.jpg").write_bytes(biting(name))
    (home / "photos" / f"{len(SMALL)}.jpg").write_bytes(b"<svg onload=hit(1)>")
    photograph(home / "photos" / "2024-03-20-unused.jpg", "2024:03:20 19:15:02", seed=4)
    photograph(tmp_path / "card" / "IMG_1.jpg", "2024:03:21 19:15:02", seed=5)
    photograph(tmp_path / "card" / "IMG_2.tif", "2024:03:21 19:15:03", seed=6)
    (tmp_path / "card" / "film.mov").write_bytes(b"\0\0\0\x14ftypqt  " + bytes(40))
    for path in (*(home / "photos").iterdir(), *(tmp_path / "card").iterdir()):
        os.utime(path, ns=(1_600_000_000_123_456_789, 1_600_000_000_123_456_789))
    return home


def verbs(home: Path) -> Iterator[list[object]]:
    """Every verb of the command but `preview`, with all that it can do to a journal."""
    there, card = home.parent, home.parent / "card"
    yield ["begin", there / "new", "--example"]
    yield ["begin", there / "other", "--yes"]
    yield ["session", home, "--date", "2024-03-20", "--parts", "wheel", "--photos", "all", "--no-questions"]
    yield ["intake", card, "--journal", home, "--dry-run"]
    yield ["intake", card, "--journal", home, "--part", "wheel", "--shows", "after"]
    yield ["intake", card, "--journal", home]
    yield ["inspect", home, *ON]
    yield ["assemble", home, *ON, "--pages-only"]
    yield ["assemble", home, *ON]
    yield ["assemble", home, *ON, "--theme", "plain", "--to", there / "plain", "--leave-out"]
    yield ["totals", home, *ON, "--csv", there / "totals"]
    yield ["ready", home, *ON]
    yield ["estimate", "zinc primer", home, *ON, "--area", "1 m2"]
    yield ["calendar", home, *ON, "--to", there / "waits.ics"]
    yield ["preserve", home, *ON, "--to", there / "bag"]
    yield ["preserve", home, *ON, "--to", there / "second", "--since", there / "bag"]
    yield ["preserve", home, *ON, "--to", there / "bag.zip", "--zip"]
    yield ["preserve", home, *ON, "--to", there / "public", "--edition", "public"]
    yield ["preserve", "--check", there / "bag"]
    yield ["dossier", home, *ON, "--to", there / "dossier.pdf"]
    yield ["publish", "stick", home, *ON, "--dry-run"]
    yield ["publish", "stick", home, *ON, "--yes"]
    yield ["publish", "stick", home, *ON, "--replace", "--yes"]


def test_originals_are_the_same_after_every_verb(journal: Path) -> None:
    tried = {"preview"}
    kept = originals(journal / "photos", journal.parent / "card")
    assert len(kept) == len(SMALL) + 5
    for words in verbs(journal):
        done = CliRunner().invoke(main, [*map(str, words)], catch_exceptions=False)
        assert done.exit_code == 0, (words, done.output)
        tried.add(str(words[0]))
        now = originals(journal / "photos", journal.parent / "card")
        assert {name: now.get(name) for name in kept} == kept, words
        kept = now  # what was taken in is an original from now on
    assert len(kept) == len(SMALL) + 8
    assert tried == set(main.commands)


def test_a_preview_leaves_originals_alone(journal: Path) -> None:
    kept = originals(journal / "photos")
    with running(journal) as preview:
        preview.wait_for("/sessions/2024-03-09-prime.html", "<img")
    assert originals(journal / "photos") == kept


def test_the_example_is_copied_and_not_changed(tmp_path: Path) -> None:
    from journalgen.house import example_folder

    kept = originals(example_folder() / "photos")
    done = CliRunner().invoke(main, ["begin", str(tmp_path / "new"), "--example"], catch_exceptions=False)
    assert done.exit_code == 0
    assert originals(example_folder() / "photos") == kept
    assert {Path(n).name: data for n, (data, _) in originals(tmp_path / "new" / "photos").items()} == {
        Path(n).name: data for n, (data, _) in kept.items()
    }
