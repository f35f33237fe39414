"""Every page and style sheet against the Nu HTML checker.

Source: the npm package `vnu-jar` 26.9.27, read where the environment variable JOURNALGEN_VNU says it lies.
It runs on Java, once for all pages.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from lxml import html

from tests.browser.kinds import THEMES, every_page

VARIABLE = "JOURNALGEN_VNU"
# A file has no origin for the checker, so that to it 'self' is nowhere. That the policy holds is seen in the browser.
ONLY_FROM_FILES = "Resource violates Content Security Policy"
# The checker takes a block of data for a script. A browser runs none, so refuses none; the last test looks for others.
DATA_BLOCK = "Inline script violates Content Security Policy"

pytestmark = [
    pytest.mark.skipif(
        VARIABLE not in os.environ,
        reason=f"Set {VARIABLE} to the folder of the npm package vnu-jar 26.9.27 (the one that holds vnu-jar.js).",
    ),
    pytest.mark.skipif(shutil.which("java") is None, reason="The Nu HTML checker runs on Java, and there is none."),
]


def complaints(files: Sequence[Path], *options: str) -> list[str]:
    """Errors and warnings, each with its file and line."""
    checker = Path(os.environ[VARIABLE], "build", "dist", "vnu.jar")
    command = ["java", "-jar", str(checker), "--format", "json", "--stdout", *options, *map(str, files)]
    ran = subprocess.run(command, capture_output=True, check=False)
    return [
        f"{message['url']}:{message.get('lastLine')}: {message['message']}"
        for message in json.loads(ran.stdout)["messages"]
        if not message["message"].startswith((ONLY_FROM_FILES, DATA_BLOCK))
    ]


def test_the_checker_finds_what_is_wrong(tmp_path: Path) -> None:
    (tmp_path / "bad.html").write_text("<!DOCTYPE html><html lang=en><title>x</title><b><p></b>", encoding="utf-8")
    (tmp_path / "bad.css").write_text("p { colour: red }", encoding="utf-8")
    assert complaints([tmp_path / "bad.html"])
    assert complaints([tmp_path / "bad.css"], "--css")


@pytest.mark.parametrize("theme", THEMES)
def test_every_page_of_both_editions_is_valid(themed: Callable[[str], Path], theme: str) -> None:
    pages = every_page(themed(theme))
    assert len(pages) > 200
    assert complaints(pages) == []


@pytest.mark.parametrize("theme", THEMES)
def test_every_style_sheet_is_valid(themed: Callable[[str], Path], theme: str) -> None:
    sheets = sorted(themed(theme).glob("owner/*.css"))
    assert sheets
    assert complaints(sheets, "--css") == []


@pytest.mark.parametrize("theme", THEMES)
def test_no_page_has_a_script_of_its_own(themed: Callable[[str], Path], theme: str) -> None:
    for page in every_page(themed(theme)):
        for script in html.parse(page).getroot().iter("script"):
            assert script.get("src") or script.get("type") == "application/ld+json", page
