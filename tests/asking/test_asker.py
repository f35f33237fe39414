"""One question: an answer is checked at once, and asked for again with the remedy."""

from __future__ import annotations

import pytest

from journalgen.asking.asker import ask
from journalgen.reading.hours import parse_session_hours
from tests.asking.scripted import Scripted


def test_an_empty_answer_leaves_it_empty() -> None:
    assert ask(Scripted([" "]), "Hours: ", parse_session_hours, None) is None


def test_what_cannot_be_read_is_asked_for_again_with_the_remedy_and_can_be_mended() -> None:
    asker = Scripted(["2h75", "2:45"])
    assert ask(asker, "Hours: ", parse_session_hours, None) == 165
    assert asker.asked == ["Hours: ", "Hours: "]
    assert asker.started == ["", "2h75"]
    assert "Write 2.5, 2:30" in asker.said


def test_what_is_doubted_is_kept_when_it_is_said_again() -> None:
    def doubt(name: str) -> str | None:
        return None if name == "wheel" else f"{name} is not known."

    asker = Scripted(["weel", "weel "])
    assert ask(asker, "Part: ", str.strip, "", doubt=doubt) == "weel"
    assert "give the same again" in asker.said
    assert ask(Scripted(["weel", "wheel"]), "Part: ", str.strip, "", doubt=doubt) == "wheel"
    again = Scripted(["weel", "whel", "whel"])
    assert ask(again, "Part: ", str.strip, "", doubt=doubt) == "whel"
    assert ask(Scripted(["weel", ""]), "Part: ", str.strip, "none", doubt=doubt) == "none"


def test_an_input_that_ends_is_no_answer() -> None:
    with pytest.raises(EOFError):
        ask(Scripted([]), "Part: ", str.strip, "")


def test_remedies_drive_no_terminal_and_fit_80_columns() -> None:
    asker = Scripted(["\x1b[31m" + "x" * 200, ""])
    ask(asker, "Hours: ", parse_session_hours, None)
    assert "\x1b" not in asker.said
    assert max(map(len, asker.heard)) <= 80
