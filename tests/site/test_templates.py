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


def rendered(theme: Path, page: str) -> str:
    made = dict(render_pages(edition(), find_theme(str(theme), theme)))
    return made[page].decode()


def test_a_file_of_macros_that_knows_its_page_may_count(theme: Path) -> None:
    """What a file of macros writes is remembered only where it can depend on nothing but what it is given."""
    macro = "{% macro next(of) %}{% set at.n = at.n + 1 %}[{{ of }}{{ at.n }}]{% endmacro %}"
    (theme / "own.html").write_text("{% set at = namespace(n=0) %}" + macro, encoding="utf-8")
    spoil(theme, "about.html", 4, '{% import "own.html" as own with context %}{{ own.next("a") }}{{ own.next("a") }}')
    spoil(theme, "hours.html", 4, "{% macro twice(of) %}({{ of }}{{ page.title }}){% endmacro %}{{ twice(1) }}")
    spoil(theme, "parts.html", 4, "{% macro twice(of) %}({{ of }}{{ page.title }}){% endmacro %}{{ twice(1) }}")
    about = rendered(theme, "about.html")
    assert about.count("[a1][a2]") == 1
    assert "(1Hours)" in rendered(theme, "hours.html")
    assert "(1Parts)" in rendered(theme, "parts.html")


def test_values_that_are_equal_and_not_alike_are_written_each_as_it_is(theme: Path) -> None:
    (theme / "own.html").write_text("{% macro say(of) %}<{{ of }}>{% endmacro %}", encoding="utf-8")
    asked = '{% import "own.html" as own %}{{ own.say(1) }}{{ own.say(true) }}{{ own.say(1.0) }}{{ own.say("1") }}'
    spoil(theme, "about.html", 4, f"{asked}{{{{ own.say('<b>') }}}}{{{{ own.say(1) }}}}")
    assert "<1><True><1.0><1><&lt;b&gt;><1>" in rendered(theme, "about.html")


def test_what_is_not_escaped_is_not_taken_for_what_is(theme: Path) -> None:
    asked = "{{ _('Hours & more') }}|{% autoescape false %}{{ _('Hours & more') }}{% endautoescape %}"
    (theme / "own.html").write_text("{% macro say(of) %}<{{ of }}>{% endmacro %}", encoding="utf-8")
    own = "{% import 'own.html' as own %}{{ own.say('&') }}{% autoescape false %}{{ own.say('&') }}{% endautoescape %}"
    spoil(theme, "about.html", 4, f"{asked}|{own}")
    about = rendered(theme, "about.html")
    line = next(line for line in about.splitlines() if "Hours & more" in line)
    assert line.strip().startswith("Hours & more|Hours & more|<&amp;><")
