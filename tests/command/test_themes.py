"""Assembling with another theme, from the command: which one is taken, and what is said of one that is at fault."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from PIL import Image

from journalgen.command import main
from tests.journals import SETTINGS, write_journal

FILES = {
    "register/parts.yaml": "wheel: {assembly: gear}\n",
    "entries/2024-03-09-open.md": """
        ---
        title: Wheel off
        hours: 2:30
        private: yes
        parts: wheel
        photos:
          - {file: before.jpg, part: wheel, shows: before}
        ---
        Seen by the owner.
        """,
    "entries/2024-03-10-more.md": "---\nparts: wheel\nhours: 1\nphotos:\n  - {file: after.jpg, part: wheel}\n---\n",
}


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    root = write_journal(tmp_path / "trolley", FILES, SETTINGS)
    (root / "photos").mkdir()
    for n, name in enumerate(("before", "after")):
        Image.new("RGB", (600, 400), (90 * n, 120, 60)).save(root / "photos" / f"{name}.jpg")
    lay(root, "grey", {"theme.toml": 'parent = "enamel"\n', "enamel.css": "/* grey */"})
    return root


def lay(journal: Path, name: str, files: dict[str, str]) -> Path:
    folder = journal / "themes" / name
    folder.mkdir(parents=True)
    for file, text in files.items():
        (folder / file).write_text(text, encoding="utf-8")
    return folder


def assemble(journal: Path, *options: str) -> Result:
    return CliRunner().invoke(main, ["assemble", str(journal), "--on", "2024-09-30", *options], catch_exceptions=False)


def css(journal: Path) -> str:
    return (journal / "web" / "public" / "enamel.css").read_text(encoding="utf-8")


def digests(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_the_journal_chooses_its_theme_and_the_option_wins(journal: Path) -> None:
    assert assemble(journal).exit_code == 0
    first = css(journal)
    assert first != "/* grey */"
    write_journal(journal, {}, SETTINGS + 'theme = "grey"\n')
    assert assemble(journal).exit_code == 0
    assert css(journal) == "/* grey */"
    assert assemble(journal, "--theme", "enamel").exit_code == 0
    assert css(journal) == first


def test_a_theme_by_path_from_the_command_and_from_the_journal(journal: Path, tmp_path: Path) -> None:
    (journal / "themes" / "grey").rename(tmp_path / "elsewhere")
    assert assemble(journal, "--theme", str(tmp_path / "elsewhere")).exit_code == 0
    assert css(journal) == "/* grey */"
    write_journal(journal, {}, SETTINGS + 'theme = "../elsewhere"\n')
    (tmp_path / "elsewhere" / "enamel.css").write_text("/* by path */")
    assert assemble(journal).exit_code == 0
    assert css(journal) == "/* by path */"


def test_an_unknown_theme_is_told_with_the_known_ones_and_where_it_is_asked_for(journal: Path) -> None:
    result = assemble(journal, "--theme", "neon")
    assert result.exit_code == 2
    assert "enamel, grey" in result.stderr
    write_journal(journal, {}, SETTINGS + '\ntheme = "neon"\n')
    line = (journal / "journal.toml").read_text().splitlines().index('theme = "neon"') + 1
    result = assemble(journal)
    assert result.exit_code == 1
    assert f"journal.toml:{line}: There is no theme neon. Known: enamel, grey" in result.stderr
    assert not (journal / "web").exists()


@pytest.mark.parametrize(
    ("files", "place"),
    [
        ({"hours.html": "{% extends 'base.html' %}\n{% block record %}{{ 1 / 0 }}{% endblock %}"}, "hours.html:2: "),
        ({"hours.html": "{% if %}"}, "hours.html:1: "),
        # a fault that only the public edition meets, after the owner's was rendered
        ({"about.html": "\n{{ 1 / 0 if not page.owner }}"}, "about.html:2: "),
        ({"theme.toml": 'parent = "broken"\n'}, "theme.toml:1: "),
        ({"theme.toml": 'parent = "enamel"\nfiles = ["own.css"]\n'}, "theme.toml:2: "),
        ({"theme.toml": 'parent = "enamel"\nfiles = ["index.html"]\n'}, "theme.toml:2: "),
        ({"theme.toml": "parent = enamel\n"}, "theme.toml:1: "),
    ],
)
def test_a_faulty_theme_gives_its_place_and_leaves_every_site_as_it_was(
    journal: Path, files: dict[str, str], place: str
) -> None:
    assert assemble(journal).exit_code == 0
    before = digests(journal / "web")
    folder = lay(journal, "broken", {"theme.toml": 'parent = "enamel"\n', **files})
    result = assemble(journal, "--theme", "broken")
    assert result.exit_code == 1
    assert result.stdout == ""
    assert f"{folder.resolve()}/{place}" in result.stderr.replace("\n", "")
    assert "Traceback" not in result.stderr
    assert digests(journal / "web") == before
    assert [path.name for path in (journal / "web").iterdir() if ".new-" in path.name] == []


def test_with_jpeg_alone_no_other_picture_is_written(journal: Path) -> None:
    lay(journal, "blue", {"theme.toml": 'parent = "enamel"\npictures = ["jpeg"]\n'})
    assert assemble(journal).exit_code == 0
    assert list((journal / "web" / "owner" / "pictures").glob("*.avif"))
    assert assemble(journal, "--theme", "blue").exit_code == 0
    for edition in ("owner", "public"):
        site = journal / "web" / edition
        assert list((site / "pictures").glob("*.jpg"))
        assert not list(site.rglob("*.avif"))
        assert ".avif" not in (site / "manifest.json").read_text()


def test_plain_is_whole_and_every_picture_it_shows_is_there(journal: Path) -> None:
    write_journal(journal, {}, SETTINGS + 'theme = "plain"\n')
    assert assemble(journal).exit_code == 0
    site = journal / "web" / "owner"
    shown: set[Path] = set()
    for page in site.rglob("*.html"):
        for address in re.findall(r'(?:src|href)="([^"#:]+)(?:#[^"]*)?"', page.read_text(encoding="utf-8")):
            assert (page.parent / address).is_file(), (page, address)
            shown.add((page.parent / address).resolve())
    assert any(path.suffix == ".jpg" for path in shown)
    assert not [path for path in site.rglob("*") if path.suffix in (".js", ".avif")]
    assert b"<script" not in b"".join(path.read_bytes() for path in site.rglob("*.html"))
