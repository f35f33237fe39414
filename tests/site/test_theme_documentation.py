"""themes/README.md tells makers of themes what there is: no more and no less than the program gives."""

from __future__ import annotations

import importlib
import pkgutil
import re
from gettext import NullTranslations
from typing import Final

import pytest
from msgspec import Struct
from msgspec.structs import fields

import journalgen.site.marks
from journalgen.house import themes_folder
from journalgen.site.desk import Desk, Link
from journalgen.site.formats import Formats
from journalgen.site.index import Index
from journalgen.site.pages import PAGES
from journalgen.site.pages.frame import Frame
from journalgen.site.templates import Templates, _filters
from journalgen.site.themes import _KEYS
from tests.site.samples import SETTINGS, THEME, edition
from tests.site.test_site_pages import EDITIONS

FILE: Final = themes_folder() / "README.md"
ENAMEL: Final = THEME.folder


def told(heading: str) -> dict[str, str]:
    """The table under a heading: what its lines are named for, and what they say."""
    text = FILE.read_text(encoding="utf-8")
    found = re.search(rf"^#+ {re.escape(heading)}\n(.*?)(?=^#|\Z)", text, re.MULTILINE | re.DOTALL)
    assert found, f"themes/README.md has no heading {heading}"
    lines = re.findall(r"^\| `([^`]+)` \| (.*) \|$", found.group(1), re.MULTILINE)
    assert len({name for name, _ in lines}) == len(lines)
    return dict(lines)


def names(text: str) -> list[str]:
    """The names set as code, but for those in the brackets that explain one."""
    return re.findall(r"`(\w+)`", re.sub(r"\([^()]*\)", "", text))


def given() -> dict[str, set[frozenset[str]]]:
    """The names that each page template is given, over every page of every sample."""
    found: dict[str, set[frozenset[str]]] = {}
    words = NullTranslations()
    for matter in (*EDITIONS.values(), edition()):
        formats = Formats(matter.journal.settings, words)
        desk = Desk(matter, words, formats, Index(matter), Templates(THEME, words, formats))
        for page in PAGES:
            for sheet in page.sheets(desk) if page.shown(desk) else ():
                found.setdefault(page.template, set()).add(
                    frozenset(sheet.fill(desk.below() if "/" in sheet.file else desk, *sheet.given).fields)
                )
    return found


GIVEN: Final = given()


@pytest.mark.parametrize("template", sorted({page.template for page in PAGES}))
def test_what_a_page_template_is_given_is_told(template: str) -> None:
    documented = frozenset(told(f"`{template}`"))
    assert GIVEN[template] == {documented}, "mend the table of this template in themes/README.md"


def test_every_page_told_is_a_page() -> None:
    headings = re.findall(r"^### `([\w.]+)`$", FILE.read_text(encoding="utf-8"), re.MULTILINE)
    assert set(headings) == {"page", *(page.template for page in PAGES)}


def test_the_frame_is_told() -> None:
    assert list(told("`page`")) == [field.name for field in fields(Frame)]


def test_the_keys_of_a_theme_are_told() -> None:
    assert tuple(told("theme.toml")) == _KEYS


def test_the_blocks_of_the_base_are_told() -> None:
    blocks = re.findall(r"{% block (\w+) %}", (ENAMEL / "base.html").read_text(encoding="utf-8"))
    assert list(told("Blocks of base.html")) == blocks


def test_the_filters_are_told() -> None:
    words = NullTranslations()
    assert list(told("Filters")) == list(_filters(Formats(SETTINGS, words), words))


def test_the_macros_are_told_file_by_file() -> None:
    files = [*sorted((ENAMEL / "marks").glob("*.html")), *(ENAMEL / f"{n}.html" for n in ("tables", "coats", "series"))]
    macros = {
        file.relative_to(ENAMEL).as_posix(): re.findall(r"{% macro (\w+)\(", file.read_text(encoding="utf-8"))
        for file in files
    }
    assert {file: set(names(text)) for file, text in told("Marks").items()} == {f: set(m) for f, m in macros.items()}


def test_a_theme_that_replaces_a_file_of_marks_has_all_its_macros() -> None:
    own = sorted((themes_folder() / "plain" / "marks").glob("*.html"))
    assert own
    for file in own:
        wanted = set(names(told("Marks")[f"marks/{file.name}"]))
        assert wanted <= set(re.findall(r"{% macro (\w+)\(", file.read_text(encoding="utf-8"))), file.name


def mark_values() -> dict[str, list[str]]:
    """What the marks' values hold, by the value's name."""
    modules = [
        importlib.import_module(f"journalgen.site.marks.{module.name}")
        for module in pkgutil.iter_modules(journalgen.site.marks.__path__)
    ]
    found = {
        name: [field.name for field in fields(value)]
        for module in modules
        for name, value in vars(module).items()
        if isinstance(value, type) and issubclass(value, Struct) and value.__module__ == module.__name__
    }
    return {**found, "Link": [field.name for field in fields(Link)]}


def test_what_the_marks_take_is_told() -> None:
    values = mark_values()
    documented = told("What the marks take")
    assert set(documented) <= set(values)
    assert {value: names(text) for value, text in documented.items()} == {v: values[v] for v in documented}
