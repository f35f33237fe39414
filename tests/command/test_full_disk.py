"""A disk that takes no more, whichever file does not fit: said in words, nothing lost, and it goes on later."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from functools import partial
from pathlib import Path

import pytest

from tests.intake.camera import photograph
from tests.journals import SETTINGS, write_journal
from tests.kills.scenes import COMMAND, FILES, HOUSE, TARGET, tree

resource = pytest.importorskip("resource", reason="limits on files are a matter of POSIX")

ON = ("--on", "2024-06-01")
WORDS = {
    "begin": ("new", "--yes"),
    "begin --example": ("new", "--example"),
    "session": ("journal", "--title", "More", "--text", "Much. " * 15_000, "--no-questions"),
    "intake": ("card", "--journal", "journal"),
    "assemble": ("journal", *ON),
    "totals": ("journal", "--csv", "tables", *ON),
    "calendar": ("journal", "--to", "waits.ics", "--on", "2024-03-10"),
    "preserve": ("journal", "--to", "bag", *ON),
    "publish": ("stick", "journal", "--yes", *ON),
}


@pytest.fixture(scope="module")
def model(tmp_path_factory: pytest.TempPathFactory) -> Path:
    room = tmp_path_factory.mktemp("room")
    write_journal(room / "journal", FILES, SETTINGS + TARGET)
    for n, name in enumerate(("one.jpg", "two.jpg")):
        photograph(room / "journal" / "photos" / name, "2024:03:09 19:15:00", seed=n, size=300)
    photograph(room / "card" / "new.jpg", "2024:03:09 19:16:00", seed=9, size=300)
    done = run(room, "assemble", "journal", "--on", "2024-05-01")
    assert done.returncode == 0, done.stderr
    return room


def run(room: Path, *words: str, most: int | None = None) -> subprocess.CompletedProcess[str]:
    """The command, in which no file may become longer than `most` bytes."""
    limit = None if most is None else partial(resource.setrlimit, resource.RLIMIT_FSIZE, (most, most))
    return subprocess.run(
        [*COMMAND, *words], cwd=room, env={**os.environ, "PYTHONPATH": str(HOUSE)}, capture_output=True, text=True,
        preexec_fn=limit,
    )  # fmt: skip


def own(room: Path) -> dict[str, str]:
    """What is a person's, and the sites."""
    return {name: held for name, held in tree(room).items() if "/.journalgen/" not in name}


@pytest.mark.parametrize("most", [0, 700, 20_000])
@pytest.mark.parametrize("verb", WORDS)
def test_what_does_not_fit_is_told_and_loses_nothing(model: Path, tmp_path: Path, verb: str, most: int) -> None:
    room = shutil.copytree(model, tmp_path / "room")
    before = own(room)
    words = (verb.split()[0], *WORDS[verb])
    full = run(room, *words, most=most)
    assert "Traceback" not in full.stderr
    assert "Errno" not in full.stderr
    if full.returncode == 0:  # all of it fitted
        assert most > 0
        return
    assert full.returncode == 1, full.stderr
    assert "File too large" in full.stderr
    now = own(room)
    if verb == "publish":  # the site here is renewed before it is sent
        before = {name: held for name, held in before.items() if "/web/" not in name}
    assert before.items() <= now.items()
    if (room / "bag").exists():  # with all but what did not fit, which is said
        shutil.rmtree(room / "bag")
    later = run(room, *words)
    assert later.returncode == 0, later.stderr
    assert before.keys() <= own(room).keys()


def test_the_limit_is_felt(tmp_path: Path) -> None:
    code = "with open('x', 'w') as out: out.write('12345678')"
    limit = partial(resource.setrlimit, resource.RLIMIT_FSIZE, (5, 5))
    felt = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, preexec_fn=limit, capture_output=True, text=True)
    assert "File too large" in felt.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only Linux has a device that is always full")
@pytest.mark.parametrize(
    "words", [("totals",), ("totals", "--json"), ("inspect",), ("ready",), ("calendar",), ("assemble",)]
)
def test_results_that_cannot_be_written_are_told_of(model: Path, words: tuple[str, ...]) -> None:
    """As where they are sent to a file on a full disk; also where nothing has changed and they are said again."""
    if words == ("assemble",):
        time.sleep(0.1)
        assert run(model, "assemble", "journal", *ON).returncode == 0
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [*COMMAND, words[0], "journal", *words[1:], *ON], cwd=model, env={**os.environ, "PYTHONPATH": str(HOUSE)},
            stdout=full, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
    assert done.returncode == 1
    assert "Exception ignored" not in done.stderr
    told = done.stderr.splitlines()[-1]
    assert told.startswith("The results could not be written: ")
    assert "Traceback" not in done.stderr
