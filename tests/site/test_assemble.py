"""A journal folder to its sites, whole: real files, real pictures, both editions."""

from __future__ import annotations

import hashlib
import json
import re
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from journalgen.command import main
from journalgen.site.assemble import JournalFaulty, Order, assemble
from journalgen.site.themes import UnknownTheme
from tests.journals import SETTINGS, FixedRates, write_journal

ON = date(2024, 9, 30)
RATES = FixedRates({("EUR", "GBP"): Fraction(85, 100)})
SECRETS = {
    "session": "Zebrafinch",
    "part": "quokka lever",
    "line": "ocelot note",
    "supplier": "Axolotl Stores",
    "number": "PQ-17-0031",
    "part number": "NUM-8812",
    "stored": "wombat shelf",
    "price": "1234.56",
    "file": "narwhal-letter",
}
FILES = {
    "register/parts.yaml": f"""
        wheel: {{number: {SECRETS["part number"]}, stored: {SECRETS["stored"]}, assembly: gear}}
        """,
    "entries/2024-03-09-open.md": f"""
        ---
        title: Wheel off
        hours: 2:30
        work:
          - {{part: wheel, step: strip, hours: 1:30}}
          - {{part: wheel, step: etch, note: {SECRETS["line"]}, private: yes}}
        bought:
          - {{part: wheel, price: {SECRETS["price"]}, from: {SECRETS["supplier"]}}}
        photos:
          - {{file: before.jpg, part: wheel, shows: before, hide: [[0, 0, 40, 40]]}}
          - {{file: after.jpg, part: wheel, shows: after}}
          - {{file: {SECRETS["file"]}.jpg, part: wheel, private: yes}}
        ---
        Seen by all.
        """,
    "entries/2024-03-10-secret.md": f"""
        ---
        title: {SECRETS["session"]}
        private: yes
        parts: {SECRETS["part"]}
        hours: 1
        ---
        """,
}
MORE = f"""
address = "https://trolley.example"
[machine]
identity_number = "{SECRETS["number"]}"
"""


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    root = write_journal(tmp_path / "trolley", FILES, SETTINGS + MORE)
    (root / "photos").mkdir()
    for n, name in enumerate(("before", "after", SECRETS["file"])):
        picture = Image.new("RGB", (600, 400), (90 * n, 120, 60))
        exif = Image.Exif()
        exif[270] = "Zebrafinch taken here"
        picture.save(root / "photos" / f"{name}.jpg", exif=exif)
    return root


def digests(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_both_editions_are_written_with_every_kind_of_file(journal: Path) -> None:
    done = assemble(Order(journal, ON), RATES)
    assert [site.relative_to(journal).as_posix() for site in done.sites] == ["web/public", "web/owner"]
    everywhere = {
        "index.html", "sessions.html", "sessions/2024-03-09-wheel-off.html", "parts.html", "parts/wheel.html",
        "pairs.html", "timeline.html", "hours.html", "materials.html", "about.html", "404.html", "feed.atom",
        "data/journal.json", "data/hours.csv", "data/stock.csv", "data/measures.csv", "data/steps.csv", "manifest.json",
    }  # fmt: skip
    owner, public = (set(digests(journal / "web" / edition)) for edition in ("owner", "public"))
    assert everywhere | {"costs.html", "data/purchases.csv"} <= owner
    assert everywhere | {"sitemap.xml"} <= public  # a list of full addresses: only what has one can have it
    assert "sitemap.xml" not in owner
    assert not {"costs.html", "data/purchases.csv"} & public
    assert not [problem for problem in done.problems if problem.is_error]


def test_nothing_private_or_hidden_is_in_any_byte_or_name_of_the_public_edition(journal: Path) -> None:
    assemble(Order(journal, ON), RATES)
    public = journal / "web" / "public"
    everything = b"".join(path.read_bytes() for path in public.rglob("*") if path.is_file()).lower()
    names = " ".join(digests(public)).lower()
    for secret in (*SECRETS.values(), "quokka-lever"):
        assert secret.lower().encode() not in everything
        assert secret.lower() not in names
    owner = b"".join(path.read_bytes() for path in (journal / "web" / "owner").rglob("*.html")).lower()
    for kind, secret in SECRETS.items():
        if kind not in ("file", "price"):
            assert secret.lower().encode() in owner


def test_the_totals_on_the_pages_are_those_of_the_command(journal: Path) -> None:
    assemble(Order(journal, ON), RATES)
    result = CliRunner().invoke(main, ["totals", str(journal), "--json", "--on", str(ON)])
    figures = json.loads(result.stdout)
    assert figures["hours"]["minutes"] == 210
    hours = (journal / "web" / "owner" / "hours.html").read_text()
    assert re.search(r"3\s*h\s*30\s*min", hours)
    costs = (journal / "web" / "owner" / "costs.html").read_text()
    assert f"£{float(figures['money']['total']):,.2f}" in costs


def test_the_same_journal_gives_the_same_bytes(journal: Path, tmp_path: Path) -> None:
    first = assemble(Order(journal, ON, to=tmp_path / "one"), RATES)
    second = assemble(Order(journal, ON, to=tmp_path / "two"), RATES)
    assert [digests(site) for site in first.sites] == [digests(site) for site in second.sites]


def test_originals_are_not_touched(journal: Path) -> None:
    before = digests(journal / "photos")
    assemble(Order(journal, ON), RATES)
    assert digests(journal / "photos") == before


def test_an_error_replaces_nothing(journal: Path) -> None:
    assemble(Order(journal, ON), RATES)
    before = digests(journal / "web")
    write_journal(journal, {"entries/2024-04-01-bad.md": "---\nhours: 2h75\n---\n"}, SETTINGS + MORE)
    with pytest.raises(JournalFaulty) as faulty:
        assemble(Order(journal, ON), RATES)
    assert [problem.rule for problem in faulty.value.problems if problem.is_error] == ["hours"]
    assert digests(journal / "web") == before
    result = CliRunner().invoke(main, ["assemble", str(journal)])
    assert result.exit_code == 1
    assert "entries/2024-04-01-bad.md" in result.stderr
    assert "Nothing was replaced" in result.stderr
    assert result.stdout == ""


def test_leave_out_assembles_the_rest_and_says_so_to_the_owner_alone(journal: Path) -> None:
    write_journal(journal, {"entries/2024-04-01-bad.md": "---\nhours: 2h75\n---\n"}, SETTINGS + MORE)
    done = assemble(Order(journal, ON, leave_out=True), RATES)
    assert done.left_out == ("entries/2024-04-01-bad.md",)
    owner = (journal / "web" / "owner" / "index.html").read_text()
    public = (journal / "web" / "public" / "index.html").read_text()
    assert "entries/2024-04-01-bad.md" in owner
    assert "2024-04-01-bad" not in public
    assert not (journal / "web" / "owner" / "sessions" / "2024-04-01-bad.html").exists()


def test_leave_out_does_not_reach_the_settings(journal: Path) -> None:
    write_journal(journal, {}, SETTINGS + '[editions.public]\nhide = ["price"]\n')
    with pytest.raises(JournalFaulty):
        assemble(Order(journal, ON, leave_out=True), RATES)
    assert not (journal / "web").exists()


def test_a_region_hidden_once_is_hidden_wherever_the_photograph_is_shown(journal: Path) -> None:
    again = {"entries/2024-05-01-again.md": "---\nphotos:\n  - {file: before.jpg, part: wheel}\n---\n"}
    write_journal(journal, again, SETTINGS + MORE)
    picture = Image.new("RGB", (600, 400), (255, 255, 255))
    picture.paste((255, 0, 0), (0, 0, 40, 20))
    picture.paste((0, 0, 255), (0, 20, 40, 40))
    picture.save(journal / "photos" / "before.jpg", quality=95)
    assemble(Order(journal, ON), RATES)
    for path in (journal / "web" / "owner" / "pictures").glob("*.jpg"):
        with Image.open(path) as shown:
            if shown.width < 600:
                continue
            top, bottom = shown.getpixel((20, 8)), shown.getpixel((20, 32))
            assert isinstance(top, tuple)
            assert isinstance(bottom, tuple)
            assert max(abs(a - b) for a, b in zip(top, bottom, strict=True)) < 60  # red and blue can no longer be told


def test_a_region_that_lies_outside_the_photograph_is_an_error(journal: Path) -> None:
    wrong = {"entries/2024-05-01-again.md": "---\nphotos:\n  - {file: after.jpg, hide: [[5000, 0, 10, 10]]}\n---\n"}
    write_journal(journal, wrong, SETTINGS + MORE)
    with pytest.raises(JournalFaulty) as faulty:
        assemble(Order(journal, ON), RATES)
    assert "photo-hide-outside" in [problem.rule for problem in faulty.value.problems]


@pytest.mark.parametrize("contents", [b"", b"not a picture", b"<svg xmlns='http://www.w3.org/2000/svg'/>"])
def test_a_broken_photograph_is_a_warning_and_a_marked_gap(journal: Path, contents: bytes) -> None:
    (journal / "photos" / "after.jpg").write_bytes(contents)
    done = assemble(Order(journal, ON), RATES)
    assert "photo-broken" in [problem.rule for problem in done.problems if not problem.is_error]
    assert "after.jpg" in (journal / "web" / "owner" / "sessions" / "2024-03-09-wheel-off.html").read_text()
    inspected = CliRunner().invoke(main, ["inspect", str(journal), "--json"])
    assert "photo-broken" in inspected.stdout


def test_an_empty_journal_says_how_to_write_the_first_entry(tmp_path: Path) -> None:
    root = write_journal(tmp_path / "empty", {})
    result = CliRunner().invoke(main, ["assemble", str(root)], catch_exceptions=False)
    assert result.exit_code == 0
    page = Path(result.stdout.splitlines()[0])
    assert "journalgen session" in page.read_text()


def test_an_unknown_theme_is_told_with_the_known_ones(journal: Path) -> None:
    with pytest.raises(UnknownTheme, match="enamel"):
        assemble(Order(journal, ON, theme="neon"), RATES)


def test_another_folder_holds_a_folder_for_each_edition(journal: Path, tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["assemble", str(journal), "--edition", "owner", "--to", str(tmp_path / "out")])
    assert result.exit_code == 0
    assert result.stdout.strip() == str(tmp_path / "out" / "owner" / "index.html")
    assert not (journal / "web").exists()
