"""`assemble` once more: said again at once where nothing has changed, done anew where anything has."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from tests.journals import write_journal

FILES = {
    "entries/2024-03-09-etch.md": """
        ---
        hours: 2
        parts: wheel
        photos: [one.png]
        ---
        Etched.
        """,
    "register/parts.yaml": "wheel: {assembly: running gear}\n",
}
HEAVY = ("click", "jinja2", "yaml", "PIL", "msgspec", "markdown_it", "babel")
LOADED = f"""
import sys
from journalgen.start import main
sys.argv = ["journalgen", *sys.argv[1:]]
try:
    main()
finally:
    print("loaded:", *(name for name in {HEAVY!r} if name in sys.modules), file=sys.stderr)
"""


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    folder = write_journal(tmp_path / "journal", FILES)
    (folder / "photos").mkdir()
    Image.new("RGB", (40, 30), (200, 30, 30)).save(folder / "photos" / "one.png")
    settle()
    return folder


def settle() -> None:
    """Lets the clock go on: what was changed a moment ago is never taken to be unchanged."""
    time.sleep(0.1)


def run(*words: str | Path, cwd: Path | None = None) -> tuple[str, str, bool]:
    """What a run prints on either stream, and whether it loaded anything."""
    command = [sys.executable, "-c", LOADED, *map(str, words)]
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=cwd, env=environment)
    said, _, loaded = done.stderr.rpartition("loaded:")
    return done.stdout, said, bool(loaded.split())


def assemble(journal: Path, *words: str) -> tuple[str, str, bool]:
    return run("assemble", journal, "--on", "2024-06-01", *words)


def test_nothing_changed_is_said_again_and_nothing_is_loaded(journal: Path) -> None:
    out, said, loaded = assemble(journal)
    assert loaded
    assert out.splitlines() == [str(journal / "web" / edition / "index.html") for edition in ("owner", "public")]
    assert assemble(journal) == (out, said, False)


def test_it_is_said_again_whether_colour_is_wanted_or_not(journal: Path) -> None:
    first = run("--no-colour", "assemble", journal)
    assert run("--no-colour", "assemble", journal)[2] is False
    assert run("assemble", journal, "--no-colour")[:2] == first[:2]


def page(journal: Path) -> Path:
    return journal / "web" / "public" / "index.html"


CHANGES: dict[str, Callable[[Path], object]] = {
    "an entry": lambda j: (j / "entries/2024-03-09-etch.md").write_text("---\nhours: 3\n---\nMore.\n"),
    "of the same length": lambda j: change(j / "entries/2024-03-09-etch.md", "hours: 2", "hours: 3"),
    "a new entry": lambda j: (j / "entries/2024-03-10.md").write_text("---\nhours: 1\n---\n"),
    "an entry gone": lambda j: (j / "entries/2024-03-09-etch.md").unlink(),
    "a register": lambda j: (j / "register/parts.yaml").write_text("wheel: {assembly: brakes}\n"),
    "the settings": lambda j: change(j / "journal.toml", "Test", "Best"),
    "a photograph": lambda j: Image.new("RGB", (40, 30), (30, 200, 30)).save(j / "photos" / "one.png"),
    "a photograph gone": lambda j: (j / "photos" / "one.png").unlink(),
    "a theme of its own": lambda j: write(j / "themes" / "own" / "theme.toml", 'parent = "enamel"\n'),
    "a page": lambda j: page(j).write_text("mine"),
    "a page gone": lambda j: page(j).unlink(),
    "something in the site": lambda j: (j / "web" / "public" / "mine.txt").write_text("mine"),
    "a site gone": lambda j: shutil.rmtree(j / "web" / "owner"),
    "the pictures gone": lambda j: shutil.rmtree(j / ".journalgen" / "pictures"),
    "the record": lambda j: (j / ".journalgen" / "last").write_text("rubbish"),
}


def change(path: Path, old: str, new: str) -> None:
    path.write_text(path.read_text().replace(old, new))


def write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True)
    path.write_text(text)


@pytest.mark.parametrize("name", CHANGES)
def test_whatever_changes_is_noticed(journal: Path, name: str) -> None:
    assemble(journal)
    assert not assemble(journal)[2]
    CHANGES[name](journal)
    settle()
    assert assemble(journal)[2]
    assert page(journal).read_text().startswith("<!DOCTYPE html>")
    assert not assemble(journal)[2]


def test_a_picture_that_was_spoilt_in_a_site_is_mended_by_the_next_run(journal: Path) -> None:
    """Pictures are looked at by a copy of the process, all at once where all are known to have been sound."""
    for n in range(3):
        change(journal / "entries/2024-03-09-etch.md", "Etched.", f"Etched, {n}.")
        settle()
        assemble(journal)
    kept = {path.name: path.read_bytes() for path in (journal / ".journalgen" / "pictures").glob("*.avif")}
    picture = next((journal / "web" / "owner" / "pictures").glob("*.avif"))
    with picture.open("r+b") as stream:
        stream.truncate(100)
    change(journal / "entries/2024-03-09-etch.md", "Etched,", "Well etched,")  # else nothing is looked at
    settle()
    assemble(journal)
    for place in ("web/owner", "web/public", ".journalgen"):
        assert {path.name: path.read_bytes() for path in (journal / place / "pictures").glob("*.avif")} == kept


def test_a_copy_of_a_picture_in_a_folder_below_does_not_stand_for_it(journal: Path) -> None:
    assemble(journal)
    pictures = journal / ".journalgen" / "pictures"
    shutil.copytree(pictures, pictures / "older", copy_function=shutil.copy2)
    spoilt = next(pictures.glob("*.avif"))
    sound = spoilt.read_bytes()
    spoilt.unlink()
    spoilt.write_bytes(b"spoilt")
    change(journal / "entries/2024-03-09-etch.md", "Etched.", "Etched, well.")
    settle()
    assemble(journal)
    assert spoilt.read_bytes() == sound


@pytest.mark.parametrize(
    "words", [("--edition", "owner"), ("--theme", "plain"), ("--leave-out",), ("--pages-only",), ("--on", "2024-06-02")]
)
def test_other_words_are_another_run(journal: Path, words: tuple[str, ...]) -> None:
    assemble(journal)
    assert assemble(journal, *words)[2]
    assert not assemble(journal, *words)[2]
    assert assemble(journal)[2]


def test_a_theme_elsewhere_is_watched(journal: Path, tmp_path: Path) -> None:
    theme = tmp_path / "away"
    write(theme / "theme.toml", 'parent = "enamel"\n')
    settle()
    assemble(journal, "--theme", str(theme))
    assert not assemble(journal, "--theme", str(theme))[2]
    (theme / "more.html").write_text("x")
    settle()
    assert assemble(journal, "--theme", str(theme))[2]


def test_from_another_folder_a_relative_path_is_another_journal(journal: Path) -> None:
    (journal / "below").mkdir()
    assert run("assemble", "--on", "2024-06-01", cwd=journal)[0]
    assert not run("assemble", "--on", "2024-06-01", cwd=journal)[2]
    assert "not a journal" in run("assemble", "--on", "2024-06-01", cwd=journal / "below")[1]


def test_a_folder_that_is_only_linked_to_is_looked_into_each_time(journal: Path) -> None:
    (journal / "photos" / "kept").symlink_to(journal / "photos")
    settle()
    assemble(journal)
    assert assemble(journal)[2]


def test_errors_are_told_each_time(journal: Path) -> None:
    (journal / "entries" / "2024-04-01-bad.md").write_text("---\nhours: many\n---\n")
    settle()
    for _ in range(2):
        out, said, loaded = assemble(journal)
        assert loaded
        assert not out
        assert "Nothing was replaced" in said


def test_the_day_ends(journal: Path) -> None:
    """Without --on the record holds for today alone."""
    run("assemble", journal)
    assert not run("assemble", journal)[2]
    record = journal / ".journalgen" / "last"
    parts = record.read_bytes().split(b"\0\n")
    first, last = map(float, parts[2].split())
    assert first <= time.time() < last <= first + 25 * 3600
    parts[2] = f"{first - 86400} {first}".encode()
    record.write_bytes(b"\0\n".join(parts))
    assert run("assemble", journal)[2]


def test_pages_only_makes_no_picture_and_says_how_many_are_lacking(journal: Path) -> None:
    out, said, _ = assemble(journal, "--pages-only")
    assert out
    assert "1 photograph without a picture yet" in said
    assert not list((journal / "web").rglob("*.avif"))
    assert "is not made yet" in (journal / "web/owner/sessions/2024-03-09-etch.html").read_text()
    assert "not made" not in (journal / "web/public/sessions/2024-03-09-etch.html").read_text()
    _, said, _ = assemble(journal)
    assert "picture yet" not in said
    assert len(list((journal / "web").glob("*/pictures/*.avif"))) == 2
    assert "picture yet" not in assemble(journal, "--pages-only")[1]
