"""Which entry photographs are listed in, and what becomes of entries that cannot be added to."""

from __future__ import annotations

import stat
import sys
from datetime import date, datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from journalgen import whole
from journalgen.intake import listing
from journalgen.intake.listing import Entry, choose_entry
from journalgen.intake.model import Row
from journalgen.slugs import key
from tests.intake.camera import entry_text, inspect, intake, journal_at, photograph, photos_of

DAY = date(2024, 3, 9)
EVENING = "2024:03:09 19:15:02"
FILE = "2024/2024-03-09/2024-03-09-191502.jpg"


def entry(name: str, start: str | None = None, parts: tuple[str, ...] = (), *, sound: bool = True) -> Entry:
    begun = time.fromisoformat(start) if start else None
    return Entry(f"entries/{name}.md", DAY, begun, frozenset(key(part) for part in parts), sound)


ONE, NINE, SEVEN = entry("one"), entry("nine", "09:00"), entry("seven", "19:00")
WHEEL, LAMP, FAULTY = entry("wheel", None, ("wheel",)), entry("lamp", None, ("Head lamp",)), entry("x", sound=False)
CHOICES = {
    "the only one": ([SEVEN], "12:00", (), SEVEN),
    "the last that had begun": ([NINE, SEVEN], "19:15", (), SEVEN),
    "the one before": ([NINE, SEVEN], "18:59", (), NINE),
    "past midnight": ([NINE, SEVEN], "00:30", (), SEVEN),
    "none had begun": ([NINE, SEVEN], "08:00", (), NINE),
    "none had begun, one does not say": ([ONE, NINE], "08:00", (), ONE),
    "none says": ([WHEEL, LAMP], "12:00", (), WHEEL),
    "the one of the part": ([WHEEL, LAMP], "12:00", ("head-lamp",), LAMP),
    "a part of no entry": ([WHEEL, LAMP], "12:00", ("axle",), WHEEL),
    "a sound one first": ([FAULTY, SEVEN], "12:00", (), SEVEN),
    "a faulty one only": ([FAULTY], "12:00", (), FAULTY),
}


@pytest.mark.parametrize(("entries", "at", "parts", "wanted"), CHOICES.values(), ids=CHOICES.keys())
def test_among_several_entries_of_a_day(entries: list[Entry], at: str, parts: tuple[str, ...], wanted: Entry) -> None:
    clock = time.fromisoformat(at)
    day = date(2024, 3, 10) if clock.hour < 4 else DAY
    row = Row("a.jpg", DAY, datetime.combine(day, clock, ZoneInfo("Europe/London")), parts)
    assert choose_entry(row, entries) == wanted


@pytest.fixture
def card(tmp_path: Path) -> Path:
    photograph(tmp_path / "card" / "a.jpg", EVENING)
    return tmp_path / "card"


def test_photographs_of_one_day_go_to_the_sessions_they_were_taken_in_and_it_is_said(
    tmp_path: Path, card: Path
) -> None:
    journal = journal_at(
        tmp_path / "j",
        {
            "2024-03-09-lamp.md": "---\nstart: 09:00\n---\n",
            "2024-03-09-wheel.md": "---\nstart: 19:00\n---\n",
        },
    )
    photograph(card / "b.jpg", "2024:03:09 10:00:00", seed=2)
    done = intake(journal, card)
    assert "191502.jpg" in entry_text(journal, "2024-03-09-wheel.md")
    assert "100000.jpg" in entry_text(journal, "2024-03-09-lamp.md")
    assert "entries/2024-03-09-lamp.md: 1 photograph added" in done.stderr
    assert "the day has other entries, which stay as they are: entries/2024-03-09-lamp.md" in done.stderr


@pytest.mark.parametrize(
    "faulty",
    ["---\nhours: 2h75\n---\n", "---\ntitle: [a\n---\n", "---\ntitle: open\n", "---\nphotos: [../../out.jpg]\n---\n"],
    ids=["a value", "YAML", "no end", "a line of photos"],
)
def test_an_entry_with_errors_is_left_and_the_next_intake_adds_when_it_is_mended(
    tmp_path: Path, card: Path, faulty: str
) -> None:
    journal = journal_at(tmp_path / "j", {"2024-03-09-etch.md": faulty})
    done = intake(journal, card)
    assert done.exit_code == 1
    assert done.stdout == f"photos/{FILE}\n"
    assert entry_text(journal, "2024-03-09-etch.md") == faulty
    assert "entries/2024-03-09-etch.md: It has errors, so it was left as it is." in done.stderr
    assert f"  - {{file: {FILE}}}" in done.stderr
    assert list((journal / "entries").iterdir()) == [journal / "entries" / "2024-03-09-etch.md"]
    (journal / "entries" / "2024-03-09-etch.md").write_text("---\nhours: 2\n---\n")
    again = intake(journal, card)
    assert (again.exit_code, again.stdout) == (0, "")
    assert entry_text(journal, "2024-03-09-etch.md") == f"---\nhours: 2\nphotos:\n  - {{file: {FILE}}}\n---\n"
    assert list(photos_of(journal)) == [FILE]
    assert inspect(journal) == []


def test_lines_that_were_put_in_by_hand_are_not_added_again(tmp_path: Path, card: Path) -> None:
    journal = journal_at(tmp_path / "j", {"2024-03-09-etch.md": "---\nhours: 2h75\n---\n"})
    intake(journal, card)
    mended = f"---\nhours: 2\nphotos:\n  - {{file: {FILE}, caption: mine}}\n---\n"
    (journal / "entries" / "2024-03-09-etch.md").write_text(mended)
    assert intake(journal, card).exit_code == 0
    assert entry_text(journal, "2024-03-09-etch.md") == mended
    assert list(photos_of(journal)) == [FILE]


def test_an_entry_that_cannot_be_added_to_is_left(tmp_path: Path, card: Path) -> None:
    old = "---\nparts: &p [wheel]\nphotos: *p\n---\n"
    journal = journal_at(tmp_path / "j", {"2024-03-09-etch.md": old})
    done = intake(journal, card)
    assert done.exit_code == 1
    assert entry_text(journal, "2024-03-09-etch.md") == old
    assert "It was left as it is. `photos` is written in a way that cannot be added to" in done.stderr


def test_an_entry_with_warnings_is_added_to(tmp_path: Path, card: Path) -> None:
    journal = journal_at(tmp_path / "j", {"2024-03-09-etch.md": "---\ntitel: x\nbought:\n  - {part: axle}\n---\n"})
    assert intake(journal, card).exit_code == 0
    assert entry_text(journal, "2024-03-09-etch.md").endswith(f"photos:\n  - {{file: {FILE}}}\n---\n")


def test_a_private_entry_without_front_matter_dated_by_its_name(tmp_path: Path, card: Path) -> None:
    journal = journal_at(tmp_path / "j", {"2024-03-09-etch.md": "Just words.\n"})
    assert intake(journal, card).exit_code == 0
    assert entry_text(journal, "2024-03-09-etch.md") == f"---\nphotos:\n  - {{file: {FILE}}}\n---\nJust words.\n"
    assert inspect(journal) == []


@pytest.mark.parametrize("times", [1, 99])
def test_an_entry_that_is_saved_in_the_same_moment_loses_nothing(
    tmp_path: Path, card: Path, monkeypatch: pytest.MonkeyPatch, times: int
) -> None:
    journal = journal_at(tmp_path / "j", {"2024-03-09-etch.md": "---\nhours: 1\n---\n"})
    path = journal / "entries" / "2024-03-09-etch.md"
    saved = iter(range(times))

    def replace(file: Path, before: bytes, after: bytes) -> None:
        if (n := next(saved, None)) is not None:
            path.write_text(f"---\nhours: {n + 2}\n---\n")
        whole.replace_unchanged(file, before, after)

    monkeypatch.setattr(listing, "replace_unchanged", replace)
    done = intake(journal, card)
    if times == 1:
        assert done.exit_code == 0
        assert path.read_text() == f"---\nhours: 2\nphotos:\n  - {{file: {FILE}}}\n---\n"
    else:
        assert done.exit_code == 1
        assert path.read_text() == "---\nhours: 4\n---\n"
        assert "someone is changing it just now" in done.stderr
    assert list(path.parent.iterdir()) == [path]


@pytest.mark.skipif(sys.platform == "win32", reason="permissions and links are a matter of POSIX")
def test_an_entrys_permissions_stay_and_a_link_stays_a_link(tmp_path: Path, card: Path) -> None:
    journal = journal_at(tmp_path / "j", {"kept/etch.txt": "---\ndate: 2024-03-09\n---\n"})
    real = journal / "entries" / "kept" / "etch.txt"
    real.chmod(0o640)
    link = journal / "entries" / "2024-03-09-etch.md"
    link.symlink_to("kept/etch.txt")
    assert intake(journal, card).exit_code == 0
    assert link.is_symlink()
    assert FILE in real.read_text()
    assert stat.S_IMODE(real.stat().st_mode) == 0o640
