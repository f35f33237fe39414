"""What is asked of a session, and what the answers become."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from journalgen.asking.asker import Asker
from journalgen.asking.session_questions import FIELDS, ask_session
from journalgen.beginning import NewEntry, entry_text
from journalgen.catching import Said, Sitting, read_said, sit_down
from journalgen.problems import Problems
from journalgen.reading.entries import parse_entry
from tests.asking.scripted import Scripted
from tests.journals import FixedRates, write_journal

FILES = {
    "register/parts.yaml": """
        front wheel: {route: painted steel, also called: [wheel], assembly: running gear}
        axle: {route: painted steel}
        lamp:
        """,
    "register/materials.yaml": "degreaser:\nzinc primer:\n",
    "entries/2024-03-01-strip.md": """
        ---
        hours: 1
        work:
          - {part: front wheel, step: strip}
        bought:
          - {material: degreaser, amount: 1 L, price: 8}
        materials: degreaser 250 mL
        ---
        """,
}


@pytest.fixture
def sitting(tmp_path: Path) -> Sitting:
    return sit(write_journal(tmp_path / "trolley", FILES))


def sit(root: Path) -> Sitting:
    def clock(zone: ZoneInfo) -> datetime:
        return datetime(2024, 3, 9, 21, 45, tzinfo=zone)

    return sit_down(root, None, clock, FixedRates())


def asked(sitting: Sitting, asker: Asker, said: Said | None = None, *, editing: bool = False) -> NewEntry:
    said = said or Said()
    entry = read_said(said, sitting)
    return ask_session(asker, entry, sitting.known, sitting.starts, said.fields, editing=editing)


def test_every_question_may_be_left_empty(sitting: Sitting) -> None:
    asker = Scripted([""] * 6)
    entry = asked(sitting, asker)
    assert entry_text(entry) == entry_text(NewEntry(date(2024, 3, 9)))
    assert [question.partition(",")[0].strip(": ") for question in asker.asked] == [
        "Title", "Which of these were done? Numbers such as 1 3", "Parts", "Hours", "Materials", "",
    ]  # fmt: skip
    assert asker.answers == []


def test_one_can_go_back_to_what_was_asked_before(sitting: Sitting) -> None:
    """Past what was not asked: without hours there is no question when it began, and there are no photographs."""
    asker = Scripted(
        ["<", "Etcht", "", "<", "<", "Etched", "1", "lamp", "", "<", "1:30", "<", "2:30", "", "degreaser 50 mL",
         "It wnt", "<", "<", "", "It went", "well.", ""]
    )  # fmt: skip
    entry = asked(sitting, asker)
    assert (entry.title, entry.parts, entry.hours, entry.text) == (
        "Etched",
        ["front wheel", "lamp"],
        "2:30",
        "It went\nwell.",
    )
    assert len(entry.work) == 1
    assert entry.materials == []
    assert asker.answers == []
    assert "This is the first question." in asker.heard
    assert "Taken back: It wnt" in asker.heard


def test_answers_become_an_entry_that_reads_clean(sitting: Sitting) -> None:
    step = sitting.starts[0].step
    asker = Scripted(
        ["Etched", "1", "wheel, Lamp", "2:30", "19:15", "degreaser 50 mL, zinc-primer 2 tins", "It went", "well.", ""]
    )
    entry = asked(sitting, asker)
    problems = Problems()
    session = parse_entry(entry_text(entry), "entries/2024-03-09-etched.md", "GBP", problems)
    assert session is not None
    assert problems.found == []
    assert (session.title, session.minutes, session.parts) == ("Etched", 150, ("front wheel", "lamp"))
    assert str(session.start) == "19:15:00"
    assert [(line.parts, line.step) for line in session.work] == [(("front wheel",), step)]
    assert [(use.material, use.amount and use.amount.unit) for use in session.uses] == [
        ("degreaser", "mL"), ("zinc primer", "tins"),
    ]  # fmt: skip
    assert session.body == "It went\nwell.\n"


def test_the_work_that_is_ready_is_offered_and_what_is_left_in_the_tin(sitting: Sitting) -> None:
    asker = Scripted([""] * 6)
    asked(sitting, asker)
    assert "Ready to be done" in asker.said
    assert "front wheel" in asker.said
    assert "degreaser    L" not in asker.said
    assert [line for line in asker.heard if line.startswith("degreaser")] == ["degreaser   L     0.75"]
    offered = dict(zip(asker.asked, asker.offered, strict=True))
    assert next(offers for question, offers in offered.items() if question.startswith("Parts")) == [
        "front wheel", "axle", "lamp",
    ]  # fmt: skip
    assert next(offers for question, offers in offered.items() if question.startswith("Materials"))[0] == "degreaser"


def test_only_some_ten_are_shown_and_how_many_more_there_are(tmp_path: Path) -> None:
    many = "".join(f"part {n}: {{route: painted steel}}\n" for n in range(30))
    asker = Scripted([""] * 6)
    asked(sit(write_journal(tmp_path, {"register/parts.yaml": many})), asker)
    assert "20 more: journalgen ready" in asker.said
    assert "part 9" in asker.said
    assert "part 10" not in asker.said


def test_nothing_is_asked_about_what_was_said(sitting: Sitting) -> None:
    said = Said("T", "axle", "1:00", None, "19:00", ["part: axle"], "degreaser 5 mL", (), "Text.")
    asker = Scripted([])
    entry = asked(sitting, asker, said)
    assert asker.asked == []
    assert (entry.title, entry.parts, entry.hours, entry.text) == ("T", ["axle"], "1:00", "Text.")
    assert set(FIELDS) - said.fields == {"photos"}


def test_the_text_is_left_to_the_editor(sitting: Sitting) -> None:
    asker = Scripted([""] * 5)
    asked(sitting, asker, editing=True)
    assert not any("What happened" in line for line in asker.heard)


def test_hours_below_those_of_the_lines_are_asked_for_again(sitting: Sitting) -> None:
    asker = Scripted(["", "", "1:00", "2:30", "", "", ""])
    entry = asked(sitting, asker, Said(work=["part: axle, hours: 2:00"]))
    assert entry.hours == "2:30"
    assert "2:00 together" in asker.said


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("degreaser 5 L", "less left than that: 0.75 L"),
        ("degreaser", "not said how much degreaser"),
        ("degreaser 2 sheets", "kept in L"),
        ("degresser 5 mL", "did you mean degreaser?"),
        ("degreaser 1,5 mL", "one number or two"),
    ],
)
def test_a_use_that_the_stock_will_not_agree_with_is_asked_for_again(sitting: Sitting, typed: str, told: str) -> None:
    asker = Scripted(["", "", "", "", typed, "degreaser 5 mL", ""])
    entry = asked(sitting, asker)
    assert told in " ".join(asker.heard)
    assert list(entry.materials) == [{"use": "degreaser", "amount": "5 mL"}]


def test_a_part_that_is_not_known_is_kept_when_it_is_said_twice(sitting: Sitting) -> None:
    asker = Scripted(["", "", "weel", "weel", "", "", ""])
    assert asked(sitting, asker).parts == ["weel"]
    assert "did you mean wheel" in asker.said or "did you mean front wheel" in asker.said


def test_photographs_of_the_day_are_chosen_by_number(tmp_path: Path) -> None:
    root = write_journal(tmp_path, FILES)
    (root / "photos" / "2024" / "2024-03-09").mkdir(parents=True)
    for name in ("2024/2024-03-09/b.jpg", "2024-03-09 a.jpg", "2024-03-08.jpg", "2024-03-09.txt"):
        (root / "photos" / name).write_bytes(b"x")
    asker = Scripted(["", "", "axle", "", "", "2", ""])
    entry = asked(sit(root), asker)
    assert [line for line in asker.heard if ".jpg" in line] == ["  1  2024-03-09 a.jpg", "  2  2024/2024-03-09/b.jpg"]
    assert list(entry.photos) == [{"file": "2024/2024-03-09/b.jpg", "part": "axle", "shows": "during"}]
