"""The program speaks to no other computer of its own accord: no verb but `publish` to a server opens a connection."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.intake.camera import photograph
from tests.journals import SETTINGS, write_journal
from tests.kills.scenes import TARGET

ENTRY = "---\nparts: wheel\nhours: 1\n---\nWell.\n"
HOUSE = Path(__file__).parents[2]
# Read by every Python that is started below, so that helper processes are heard as well.
LISTENER = """
import os, sys

def hear(event, given):
    if event in ("socket.connect", "socket.getaddrinfo", "socket.gethostbyname", "socket.sendto"):
        with open(os.environ["HEARD"], "a") as heard:
            heard.write(f"{event} {given[1:]}\\n")

sys.addaudithook(hear)
"""


@pytest.fixture(scope="module")
def ear(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("ear")
    (folder / "sitecustomize.py").write_text(LISTENER)
    return folder


def run(ear: Path, *words: object) -> str:
    """What was heard while a command ran."""
    heard = ear / "heard"
    heard.unlink(missing_ok=True)
    paths = os.pathsep.join((str(ear), str(HOUSE)))
    done = subprocess.run(
        [sys.executable, *map(str, words)], env={**os.environ, "PYTHONPATH": paths, "HEARD": str(heard)},
        capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode in (0, 1), done.stderr
    assert "Traceback" not in done.stderr
    return heard.read_text() if heard.exists() else ""


def test_what_is_listened_for_is_heard(ear: Path) -> None:
    code = "import socket; s = socket.socket(); s.settimeout(1); s.connect_ex(('127.0.0.1', 9))"
    assert "socket.connect" in run(ear, "-c", code)


def test_what_makes_the_record_for_others_connects_to_nothing(ear: Path, tmp_path: Path) -> None:
    journal = write_journal(tmp_path / "journal", {"entries/2024-03-09-a.md": ENTRY}, SETTINGS + TARGET)
    for words in (
        ("dossier", journal, "--to", tmp_path / "record.pdf"),
        ("preserve", journal, "--to", tmp_path / "bag"),
        ("preserve", "--check", tmp_path / "bag"),
        ("publish", "stick", journal, "--yes"),  # which is a folder
    ):
        assert run(ear, "-m", "journalgen", *words) == "", words


def test_no_verb_of_daily_work_connects_to_anything(ear: Path, tmp_path: Path) -> None:
    journal = tmp_path / "example"
    photograph(tmp_path / "card" / "a.jpg", "2025:09:28 19:15:00")
    on = ("--on", "2025-09-30")
    for words in (
        ("begin", journal, "--example"),
        ("session", journal, "--title", "Quiet", "--hours", "1", "--date", "2025-09-28"),
        ("intake", tmp_path / "card", "--journal", journal),
        ("inspect", journal),
        ("assemble", journal, *on, "--pages-only"),
        ("totals", journal, *on),
        ("ready", journal, *on),
        ("estimate", "red oxide primer", journal, "--area", "1 m2", *on),
        ("calendar", journal, *on),
    ):
        assert run(ear, "-m", "journalgen", *words) == "", words
