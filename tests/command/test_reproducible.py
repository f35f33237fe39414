"""The same journal on the same day gives the same bytes, wherever and by whatever process."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Final

import pytest

from tests.journals import write_journal

ROOT: Final = Path(__file__).parents[2]
ON: Final = "2025-09-30"
HERE: Final = {"PYTHONHASHSEED": "1", "LC_ALL": "C", "LANG": "C", "TZ": "UTC", "COLUMNS": "80"}
ELSEWHERE: Final = {"PYTHONHASHSEED": "2", "LC_ALL": "C.UTF-8", "LANG": "de_DE.UTF-8", "TZ": "Pacific/Auckland"}
MISTAKES: Final = {
    "entries/2024-03-11-a.md": """
        ---
        hours: 1
        parts: [wheal, levor, lever x]
        work:
          - {part: wheel, step: etsh, notes: none, matrial: primer}
          - {part: axle b, step: polsh}
        photos:
          - {file: wheel-3.jpg, part: wheel}
        ---
        See [it](session:2024-03-09), [that](session:2024-03-12x), [this](part:wheel 3).
        """,
    "entries/2024-03-19-b.md": "---\nhours: 1\nparts: [wheel 1, wheel 2]\nphotos: [wheel-1.jpg, wheel-2.jpg]\n---\n",
    "entries/2024-03-29-c.md": "---\nhours: 1\npats: wheel\nhour: 2\n---\n",
    "register/parts.yaml": """
        wheel: {assembly: running gear, rout: painted}
        wheal: {assembly: running geer, route: painted stel}
        lever a: {also called: [lever b, lever c]}
        axle a: {needs: [axle c, weel]}
        """,
}
SETTINGS: Final = """
title = "Slips"
home_curency = "GBP"
time_zone = "Europe/Londn"
langage = "en"
[editions.public]
hide = ["price", "hour", "storag"]
"""


def ran(words: list[str], environment: Mapping[str, str], folder: Path, cores: int = 2) -> tuple[int, str, str]:
    """Status and both streams of one command."""
    pin = (
        (lambda: os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[:cores])) if sys.platform == "linux" else None
    )
    done = subprocess.run(
        [sys.executable, "-m", "journalgen", *words],
        capture_output=True,
        encoding="utf-8",
        check=False,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
        preexec_fn=pin,
    )
    return done.returncode, done.stdout, done.stderr


def files_of(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.endswith(".lock")
    }


@pytest.fixture(scope="module")
def homes(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The example twice, under other names."""
    made = []
    for name in ("one", "another place"):
        folder = tmp_path_factory.mktemp("homes") / name / "journal"
        shutil.copytree(ROOT / "content_example", folder, ignore=shutil.ignore_patterns("web", ".journalgen"))
        made.append(folder)
    return made[0], made[1]


def test_sites_are_the_same_whatever_the_locale_the_zone_the_hash_seed_and_the_cores(homes: tuple[Path, Path]) -> None:
    one, other = homes
    assert ran(["assemble", "--on", ON], HERE, one, cores=1)[0] == 0
    assert ran(["assemble", "--on", ON], ELSEWHERE, other)[0] == 0
    here, there = files_of(one / "web"), files_of(other / "web")
    assert here.keys() == there.keys()
    assert [name for name in here if here[name] != there[name]] == []
    assert len(here) > 100


@pytest.mark.parametrize(
    "words",
    [
        ["inspect"],
        ["totals"],
        ["totals", "--json"],
        ["ready"],
        ["ready", "--json"],
        ["calendar"],
    ],
    ids=" ".join,
)
def test_answers_are_the_same_likewise(homes: tuple[Path, Path], words: list[str]) -> None:
    one, other = homes
    assert ran([*words, "--on", ON], HERE, one) == ran([*words, "--on", ON], {**ELSEWHERE, "COLUMNS": "80"}, other)


@pytest.mark.parametrize("verb", ["dossier", "preserve"])
def test_what_is_made_to_last_is_the_same_likewise(homes: tuple[Path, Path], tmp_path: Path, verb: str) -> None:
    found = []
    for n, (folder, environment) in enumerate(zip(homes, (HERE, ELSEWHERE), strict=True)):
        out = tmp_path / str(n) / "made"
        out.mkdir(parents=True)
        status, _, said = ran([verb, "--on", ON, "--to", str(out)], environment, folder, cores=n + 1)
        assert status == 0, said
        found.append(files_of(out))
    assert found[0].keys() == found[1].keys()
    assert [name for name in found[0] if found[0][name] != found[1][name]] == []


def test_mistakes_are_told_in_the_same_words(tmp_path: Path) -> None:
    """Of several names that are as near as each other it is always the same one that may have been meant."""
    folder = write_journal(tmp_path / "journal", MISTAKES, SETTINGS)
    told = {ran(["inspect", "--on", ON], {"PYTHONHASHSEED": str(seed)}, folder) for seed in range(8)}
    assert len(told) == 1
    [(status, said, _)] = told
    assert status == 1
    assert said.count("Did you mean") > 5
