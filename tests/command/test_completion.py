"""What a shell is told when someone presses the key for completion: names and words, at once, and never a fault."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.journals import SETTINGS, write_journal

HOUSE = Path(__file__).parents[2]
FILES = {
    "register/parts.yaml": """
        # what each part is
        front wheel: {also called: [wheel]}
        "front: guard":
        axle:
          needs: [front wheel]
        車輪:
        O'Ring:
        """,
    "register/materials.yaml": "zinc primer:\n  kind: coating\nzinc spray: {}\ndegreaser:\n",
    "themes/mine/theme.toml": 'parent = "plain"\n',
}


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    targets = '[targets.stick]\nurl = "../a"\n[ targets . store ]\nurl = "s3://b"\n[targets.web]\nurl = "../c"\n'
    return write_journal(tmp_path / "trolley", FILES, SETTINGS + targets)


def complete(folder: Path, line: str, shell: str = "bash") -> subprocess.CompletedProcess[str]:
    """What the program answers for a line whose last word is being typed."""
    words = line.split(" ")
    where = words[-1] if shell == "fish" else str(len(words) - 1)
    return subprocess.run(
        [sys.executable, "-m", "journalgen"], cwd=folder, capture_output=True, text=True, check=False, encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(HOUSE), "_JOURNALGEN_COMPLETE": f"{shell}_complete",
             "COMP_WORDS": line, "COMP_CWORD": where},
    )  # fmt: skip


def offered(folder: Path, line: str) -> list[str]:
    done = complete(folder, line)
    assert done.stderr == ""
    return [row.partition(",")[2] for row in done.stdout.splitlines() if row]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("journalgen se", ["session"]),
        ("journalgen totals --no-c", ["--no-colour"]),
        ("journalgen totals --part fro", ["front-wheel"]),
        ("journalgen totals --part FRONTW", ["front-wheel"]),
        ("journalgen totals --on yesterday --part ax", ["axle"]),
        ("journalgen totals --part 車", ["車輪"]),
        ("journalgen session --parts axle,fr", ["axle,front-wheel"]),
        ("journalgen session --materials zinc", ["zinc-primer", "zinc-spray"]),
        ("journalgen estimate zinc-p", ["zinc-primer"]),
        ("journalgen estimate degreaser --part ax", ["axle"]),
        ("journalgen assemble --theme ", ["enamel", "mine", "plain"]),
        ("journalgen assemble --edition o", ["owner"]),
        ("journalgen publish s", ["stick", "store"]),
        ("journalgen begin x --units im", ["imperial"]),
        ("journalgen begin x --language d", ["de"]),
        ("journalgen begin x --hide n", ["numbers", "none"]),
        ("journalgen totals --part nothing", []),
        ("journalgen frobnicate --part x", []),
    ],
)
def test_names_and_words_are_completed(journal: Path, line: str, words: list[str]) -> None:
    assert offered(journal, line) == words


def test_the_journal_may_be_named_before(journal: Path) -> None:
    assert offered(journal.parent, "journalgen totals trolley --part fro") == ["front-wheel"]


@pytest.mark.parametrize("contents", [b"\xff\xfe\0", b"{[", b"- a\n- b\n", b":\n", b"a" * 3_000_000, None])
def test_a_register_that_cannot_be_read_offers_nothing_and_says_nothing(journal: Path, contents: bytes | None) -> None:
    path = journal / "register" / "parts.yaml"
    path.unlink()
    path.mkdir() if contents is None else path.write_bytes(contents)
    assert offered(journal, "journalgen totals --part fro") == []


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_no_fault_is_ever_printed(tmp_path: Path, shell: str) -> None:
    for line in (
        "journalgen", "journalgen ", "journalgen totals --part 'x", "journalgen totals --on",
        "journalgen session --hours",
        "journalgen --no-colour totals --part a,b", "journalgen estimate", "journalgen session nowhere --parts x,y",
        'journalgen session --parts "a', "journalgen begin --currency \\",
    ):  # fmt: skip
        done = complete(tmp_path, line, shell)
        assert "Traceback" not in done.stdout + done.stderr
        assert done.stderr == ""
    broken = complete(tmp_path, "journalgen x", "tcsh")
    assert (broken.stdout, broken.stderr) == ("", "")


def test_no_library_is_loaded_to_answer(journal: Path) -> None:
    code = (
        "import sys, atexit; sys.argv = ['journalgen']\n"
        "heavy = {'pint', 'PIL', 'jinja2', 'babel', 'yaml', 'markdown_it', 'rich', 'msgspec', 'prompt_toolkit'}\n"
        "atexit.register(lambda: print(sorted(heavy & set(sys.modules)), file=sys.stderr))\n"
        "from journalgen.start import main\n"
        "main()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=journal, capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONPATH": str(HOUSE), "_JOURNALGEN_COMPLETE": "bash_complete",
             "COMP_WORDS": "journalgen session --parts fr", "COMP_CWORD": "3"},
    )  # fmt: skip
    assert (done.stdout, done.stderr) == ("plain,front-wheel\n", "[]\n")


@pytest.mark.skipif(shutil.which("bash") is None or sys.platform == "win32", reason="there is no bash")
def test_bash_itself_completes_a_name(journal: Path, tmp_path: Path) -> None:
    command = tmp_path / "bin" / "journalgen"
    command.parent.mkdir()
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m journalgen "$@"\n')
    command.chmod(0o755)
    script = (
        'eval "$(_JOURNALGEN_COMPLETE=bash_source journalgen)"\n'
        "COMP_WORDS=(journalgen session --parts fro) COMP_CWORD=3\n"
        "_journalgen_completion journalgen\n"
        'printf "%s\\n" "${COMPREPLY[@]}"\n'
    )
    done = subprocess.run(
        ["bash", "--norc", "-c", script], cwd=journal, capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONPATH": str(HOUSE), "PATH": f"{command.parent}{os.pathsep}{os.environ['PATH']}"},
    )  # fmt: skip
    assert done.stdout == "front-wheel\n"
