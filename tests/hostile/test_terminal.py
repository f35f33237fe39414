"""Nothing that stands in a journal drives the terminal, or hides from the eye, whatever verb speaks of it."""

from __future__ import annotations

import re
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.hostile.journal import ON
from tests.hostile.making import run
from tests.hostile.strings import TERMINAL
from tests.intake.camera import photograph

OWN = re.compile(r"\x1b\[(?:0|1|31|33)m")  # colours of ours
DRIVES = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ufff9-\ufffb\ud800-\udfff]"
)
ON_DAY = ["--on", ON]


def assert_harmless(said: str) -> None:
    found = DRIVES.search(OWN.sub("", said))
    assert found is None, repr(said[max(0, found.start() - 200) : found.end() + 20]) if found else ""


@pytest.mark.parametrize(
    "words",
    [
        ["inspect", *ON_DAY], ["inspect", "--json", *ON_DAY], ["totals", *ON_DAY], ["totals", "--json", *ON_DAY],
        ["ready", *ON_DAY], ["ready", "--json", *ON_DAY], ["ready", "--on", "2024-01-17"], ["assemble", *ON_DAY],
        ["ready", "--json", "--on", "2024-01-17"], ["inspect", "--no-colour", *ON_DAY],
        ["publish", "--dry-run", *ON_DAY], ["calendar", *ON_DAY],
    ],
    ids=" ".join,
)  # fmt: skip
def test_what_a_verb_says_of_a_hostile_journal_is_harmless(driving: Path, words: Sequence[str]) -> None:
    verb, *options = words
    said = run(verb, driving, *options, status=None)
    assert said.exit_code in (0, 1)
    assert_harmless(said.stdout.replace("\r\n", "\n"))
    assert_harmless(said.stderr)


@pytest.mark.parametrize("text", TERMINAL, ids=range(len(TERMINAL)))
def test_what_was_typed_is_said_back_harmless(driving: Path, tmp_path: Path, text: str) -> None:
    journal = driving
    for words in (
        ["estimate", text, journal], ["estimate", f"{text} material0", journal, "--part", text],
        ["totals", journal, "--part", text], ["totals", journal, "--since", text], ["ready", journal, "--hours", text],
        ["publish", text, journal], ["assemble", tmp_path / text], ["assemble", journal, "--theme", text],
        ["session", journal, "--hours", text], ["session", journal, "--work", text],
        ["session", journal, "--photos", text],
        ["intake", tmp_path / text, "--journal", journal], ["preserve", journal, "--since", text],
        ["begin", tmp_path / "new", "--units", text], ["begin", tmp_path / "new", "--time-zone", text],
        ["inspect", tmp_path / text], ["preserve", "--check", tmp_path / text], ["preview", tmp_path / text],
        ["calendar", journal, "--to", tmp_path / "no" / text / "no" / "x"], [text],
    ):  # fmt: skip
        said = run(*words, status=None)
        assert said.exit_code in (0, 1, 2), words
        assert_harmless(said.stdout)
        assert_harmless(said.stderr)


@pytest.mark.skipif(sys.platform == "win32", reason="names of files may not hold such letters there")
@pytest.mark.parametrize(
    "text", ["".join(text for text in TERMINAL[n::2] if "/" not in text) for n in (0, 1)], ids=[0, 1]
)
def test_files_with_such_names_are_told_of_harmless(tmp_path: Path, text: str) -> None:
    folder = tmp_path / f"journal {text}"
    steps: list[list[object]] = [
        ["begin", folder, "--yes", "--title", text],
        ["session", folder, "--title", text, "--parts", text, "--text", text, "--date", "2024-03-09"],
        ["intake", photograph(tmp_path / "card" / f"{text}.jpg", "2024:03:09 19:15:02"), "--journal", folder],
        ["intake", photograph(tmp_path / "card" / f"{text}.jpg"), "--journal", folder, "--json"],
        ["inspect", folder], ["assemble", folder], ["totals", folder, "--csv", tmp_path / f"totals {text}"],
        ["calendar", folder, "--to", tmp_path / f"{text}.ics"], ["preserve", folder, "--to", tmp_path / f"bag {text}"],
        ["preserve", "--check", tmp_path / f"bag {text}"], ["preserve", "--check", tmp_path / f"bag {text}", "--json"],
        ["preserve", folder, "--to", tmp_path / f"bag {text}", "--json"],
    ]  # fmt: skip
    for words in steps:
        said = run(*words, status=None)
        assert said.exit_code in (0, 1), (words, said.output)
        assert_harmless(said.stdout)
        assert_harmless(said.stderr)


def test_what_is_at_fault_is_shown_harmless(faulty: Path, tmp_path: Path) -> None:
    for words in (
        ["inspect"],
        ["inspect", "--json"],
        ["assemble", "--leave-out", "--to", tmp_path],
        ["totals"],
        ["ready"],
    ):
        said = run(words[0], faulty, *words[1:], *ON_DAY, status=1)
        assert_harmless(said.stdout)
        assert_harmless(said.stderr)


def test_names_that_a_shell_completes_are_harmless(driving: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from click.shell_completion import BashComplete

    from journalgen.command import main

    monkeypatch.setenv("COMP_WORDS", f"journalgen totals {driving} --part ")
    monkeypatch.setenv("COMP_CWORD", "4")
    said = BashComplete(main, {}, "journalgen", "_JOURNALGEN_COMPLETE").complete()
    assert_harmless(said)
    assert not re.search(r"[$`;&|<>()'\"\\*?]", re.sub(r"(?m)^plain,", "", said))


@pytest.mark.skipif(sys.platform == "win32", reason="terminals are made so by POSIX alone")
def test_what_a_session_offers_at_a_terminal_is_harmless(driving: Path, tmp_path: Path) -> None:
    import os

    import pexpect

    journal = tmp_path / "journal"
    shutil.copytree(driving, journal, ignore=shutil.ignore_patterns("web", "photos"))
    said = b""
    child = pexpect.spawn(
        sys.executable, ["-m", "journalgen", "session", str(journal), "--date", ON, "--no-colour"],
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2]), "TERM": "dumb"}, timeout=60,
    )  # fmt: skip
    while child.expect([rb": $|ends it\.\r\n  $", pexpect.EOF]) == 0:
        said += child.before + child.after
        child.sendline(b"")
    said += child.before if isinstance(child.before, bytes) else b""
    child.close(force=True)
    assert b"Materials, such as" in said
    assert_harmless(said.decode().replace("\r\n", "\n").replace("\r", "\n"))
