"""`begin` and `session` at a terminal, as someone sits there: with completion, plainly, and given up halfway."""

from __future__ import annotations

import os
import re
import sys
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from journalgen.reading.journal import read_journal
from tests.journals import write_journal

if sys.platform == "win32":
    pytest.skip("terminals are made so by POSIX alone", allow_module_level=True)

import pexpect

HOUSE = Path(__file__).parents[2]
FILES = {
    "register/parts.yaml": "front wheel: {route: painted steel}\naxle:\n",
    "register/materials.yaml": "degreaser:\n",
    "entries/2024-03-01-strip.md": """
        ---
        hours: 1
        parts: front wheel
        bought:
          - {material: degreaser, amount: 1 L, price: 8}
        ---
        """,
}
NO_TITLE = ["--date", "2024-03-09", "--title", "x"]


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    return write_journal(tmp_path / "trolley", FILES)


def sit(*words: object, environment: Mapping[str, str] | None = None) -> Any:
    """The command at a terminal of 80 columns that shows what it is sent."""
    return pexpect.spawn(
        sys.executable,
        ["-m", "journalgen", *map(str, words)],
        env={
            **os.environ,
            "PYTHONPATH": str(HOUSE),
            "TERM": "xterm",
            "PROMPT_TOOLKIT_NO_CPR": "1",
            **(environment or {}),
        },
        encoding="utf-8",
        timeout=20,
        dimensions=(40, 80),
    )


def ended(child: Any) -> int:
    child.expect(pexpect.EOF)
    child.close()
    status: int = child.exitstatus
    return status


def entries(journal: Path) -> list[str]:
    return sorted(path.name for path in (journal / "entries").rglob("*.md"))


@pytest.mark.parametrize("way", ["completing", "plain", "dumb"])
def test_a_session_is_asked_for_and_written(journal: Path, way: str) -> None:
    options = ["--no-colour"] if way == "plain" else []
    environment = {"TERM": "dumb"} if way == "dumb" else {}
    child = sit(*options, "session", journal, "--date", "2024-03-09", environment=environment)
    for question, answer in (
        ("Title:", "Etched"), ("Which of these were done", "1"), ("Other parts", "axle"), ("Hours", "2h75"),
        ("59 minutes(.|\n)*Hours", "2:45"), ("Begun at", "19:15"), ("Materials", "degreaser 50 mL"),
        ("What happened", "Well."),
    ):  # fmt: skip
        child.expect(question)
        child.sendline(answer)  # what stands there to be mended goes as soon as something else is typed
    child.sendline("")
    assert ended(child) == 0
    session = read_journal(journal).journal.sessions[-1]
    assert (session.title, session.minutes, session.body) == ("Etched", 165, "Well.\n")
    assert session.parts == ("front wheel", "axle")
    assert session.uses[0].material == "degreaser"


@pytest.mark.parametrize("tabs", [1, 2, 3, 4])
def test_a_name_is_completed_from_the_register(journal: Path, tabs: int) -> None:
    child = sit("session", journal, *NO_TITLE, "--work", "step: clean")
    child.expect("arts, with commas")
    child.send("whe")
    child.expect("front wheel")  # offered, wherever the letters stand in it
    for _ in range(tabs):  # one that is too many takes nothing away
        child.send("\t")
        time.sleep(0.2)
    child.send("\r")
    child.expect("Hours")
    child.send("\r")
    child.expect("Materials")
    child.send("\r")
    child.expect("What happened")
    child.send("\r")
    assert ended(child) == 0
    assert read_journal(journal).journal.sessions[-1].parts == ("front wheel",)


def test_with_every_question_left_empty_nothing_is_written(journal: Path) -> None:
    child = sit("--no-colour", "session", journal)
    for question in ("Title:", "Which", "Parts", "Hours", "Materials", "What happened"):
        child.expect(question)
        child.sendline("")
    child.expect("Nothing was said, so nothing was written.")
    assert ended(child) == 0
    assert entries(journal) == ["2024-03-01-strip.md"]


@pytest.mark.parametrize("way", [[], ["--no-colour"]], ids=["completing", "plain"])
@pytest.mark.parametrize(
    ("key", "status", "said"),
    [("\x03", 130, "Interrupted; nothing was written."), ("\x04", 1, "Nothing was written.")],
    ids=["Ctrl-C", "Ctrl-D"],
)
def test_giving_up_writes_nothing_and_says_so(journal: Path, way: list[str], key: str, status: int, said: str) -> None:
    child = sit(*way, "session", journal)
    child.expect("Title:")
    child.sendline("Half a thought")
    child.expect("(Which|Parts)")
    child.send(key)
    child.expect(re.escape(said))
    assert ended(child) == status
    assert entries(journal) == ["2024-03-01-strip.md"]


def test_giving_up_a_new_journal_leaves_no_folder(tmp_path: Path) -> None:
    child = sit("begin", tmp_path / "new")
    child.expect("Title")
    child.send("\x03")
    child.expect("nothing was written")
    assert ended(child) == 130
    assert not (tmp_path / "new").exists()


def test_a_new_journal_is_asked_for_and_laid_out(tmp_path: Path) -> None:
    child = sit("begin", tmp_path / "new", "--currency", "GBP", environment={"TZ": "Europe/London"})
    for question, answer in (
        (r"Title \[new\]", "Old thing"), ("Machine", ""), ("Time zone", ""), ("Units", "imperial"), ("Language", "fr"),
        ("Leave out", "prices"),
    ):  # fmt: skip
        child.expect(question)
        child.sendline(answer)
    assert ended(child) == 0
    reading = read_journal(tmp_path / "new")
    settings = reading.journal.settings
    assert reading.problems == ()
    assert (settings.title, settings.home_currency, settings.units, settings.language, settings.hide) == (
        "Old thing", "GBP", "imperial", "fr", {"prices"},
    )  # fmt: skip


@pytest.mark.parametrize(
    "words", [["session", "--no-questions"], ["begin", "--yes"]], ids=["session --no-questions", "begin --yes"]
)
def test_nothing_is_asked_where_that_is_wanted(journal: Path, tmp_path: Path, words: list[str]) -> None:
    folder = journal if words[0] == "session" else tmp_path / "new"
    child = sit(words[0], folder, words[1])
    assert ended(child) == 0
    assert "Enter" not in child.before
    assert entries(folder)


def test_a_session_of_which_all_was_said_asks_nothing(journal: Path) -> None:
    child = sit(
        "session", journal, *NO_TITLE, "--parts", "axle", "--hours", "1", "--start", "19:00", "--work", "part: axle",
        "--materials", "degreaser 5 mL", "--photos", "all", "--text", "Well.",
    )  # fmt: skip
    assert ended(child) == 0
    assert "Enter" not in child.before


def test_the_path_may_go_elsewhere_while_questions_stay_on_the_terminal(journal: Path, tmp_path: Path) -> None:
    out = tmp_path / "path.txt"
    child = pexpect.spawn(
        "/bin/sh", ["-c", f'"{sys.executable}" -m journalgen session "{journal}" --date 2024-03-09 > "{out}"'],
        env={**os.environ, "PYTHONPATH": str(HOUSE), "TERM": "xterm", "PROMPT_TOOLKIT_NO_CPR": "1"}, encoding="utf-8",
        timeout=20,
    )  # fmt: skip
    child.expect("Title:")
    child.sendline("Etched")
    for question in ("Which", "Parts", "Hours", "Materials", "What happened"):
        child.expect(question)
        child.sendline("")
    assert ended(child) == 0
    assert out.read_text().strip() == str(journal / "entries" / "2024" / "2024-03-09-etched.md")


def test_the_editor_opens_on_what_was_written(journal: Path, tmp_path: Path) -> None:
    child = sit("session", journal, "--no-questions", *NO_TITLE, "--edit", environment={"EDITOR": "cat", "VISUAL": ""})
    assert ended(child) == 0
    assert "title: x" in child.before


def test_colour_is_for_terminals_and_can_be_refused(journal: Path) -> None:
    (journal / "entries" / "2024-03-02.md").write_text("---\nhours: 2h75\n---\n")

    def inspected(*words: str, **environment: str) -> str:
        child = sit(*words, environment=environment)
        assert ended(child) == 1
        said: str = child.before
        return said

    assert "\x1b[31m" in inspected("inspect", str(journal))
    for plain in (
        inspected("--no-colour", "inspect", str(journal)), inspected("inspect", str(journal), "--no-colour"),
        inspected("inspect", str(journal), NO_COLOR="1"), inspected("inspect", str(journal), TERM="dumb"),
    ):  # fmt: skip
        assert "\x1b" not in plain
        assert "2:8 error, hours" in plain
        assert "        hours: 2h75\r\n               ^\r\n" in plain
