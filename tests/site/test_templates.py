"""Faults of a theme are told with their place and what to do."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from journalgen.site.pages import render_pages
from journalgen.site.themes import ThemeFault, find_theme
from tests.site.samples import THEME, edition


@pytest.fixture
def theme(tmp_path: Path) -> Path:
    """A copy of the theme, to be spoilt."""
    return Path(shutil.copytree(THEME.folder, tmp_path / "own"))


def spoil(theme: Path, file: str, line: int, text: str) -> None:
    lines = (theme / file).read_text(encoding="utf-8").splitlines()
    lines.insert(line - 1, text)
    (theme / file).chmod(0o644)
    (theme / file).write_text("\n".join(lines), encoding="utf-8")


def fault_of(theme: Path) -> ThemeFault:
    with pytest.raises(ThemeFault) as caught:
        list(render_pages(edition(), find_theme(str(theme), theme)))
    return caught.value


def test_a_template_that_cannot_be_read_is_told_with_its_line(theme: Path) -> None:
    spoil(theme, "parts.html", 4, "{% if %}")
    fault = fault_of(theme)
    assert (fault.file, fault.line) == (str(theme / "parts.html"), 4)
    assert "cannot be read" in fault.message
    assert fault.remedy.startswith("Mend the line")


@pytest.mark.parametrize("file", ["about.html", "base.html", "marks/basics.html"])
def test_a_name_that_the_page_does_not_have_is_told_with_its_line(theme: Path, file: str) -> None:
    texts = (theme / file).read_text(encoding="utf-8").splitlines()
    where = {
        "about.html": "{% block record %}", "base.html": "<main id=\"record\">",
        "marks/basics.html": "{% macro when(day) -%}",
    }[file]  # fmt: skip
    line = texts.index(where) + 2
    spoil(theme, file, line, "{{ wheelbarrow.load }}")
    fault = fault_of(theme)
    assert (fault.file, fault.line) == (str(theme / file), line)
    assert "'wheelbarrow' is undefined" in fault.message


def test_a_template_that_is_not_there_is_named(theme: Path) -> None:
    (theme / "tables.html").unlink()
    fault = fault_of(theme)
    assert (fault.file, fault.line) == (str(theme / "index.html"), 2)  # the first to ask for it
    assert "lacks the template tables.html" in fault.message


def test_a_template_that_was_mended_is_read_again(theme: Path) -> None:
    spoil(theme, "about.html", 4, "{{ wheelbarrow }}")
    fault_of(theme)
    shutil.copy(THEME.folder / "about.html", theme / "about.html")
    assert dict(render_pages(edition(), find_theme(str(theme), theme)))["about.html"]


def test_a_fault_reads_as_place_fault_and_remedy() -> None:
    assert str(ThemeFault("base.html", 3, "It is bent.", "Straighten it.")) == "base.html:3: It is bent. Straighten it."
