"""Themes: how one is found, what it has from its parents, and what is refused."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from journalgen.house import themes_folder
from journalgen.site.pages import render_pages
from journalgen.site.themes import PICTURES, ThemeFault, UnknownTheme, find_theme, known_themes
from tests.site.samples import edition


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    (tmp_path / "journal" / "themes").mkdir(parents=True)
    return tmp_path / "journal"


def lay(journal: Path, name: str, declared: str = 'parent = "enamel"\n', **files: str) -> Path:
    """A theme in the journal's own folder of themes; `base_html` stands for base.html."""
    folder = journal / "themes" / name
    folder.mkdir()
    (folder / "theme.toml").write_text(declared, encoding="utf-8")
    for file, text in files.items():
        (folder / file.replace("_", ".")).write_text(text, encoding="utf-8")
    return folder


def fault_of(journal: Path, name: str) -> ThemeFault:
    with pytest.raises(ThemeFault) as caught:
        find_theme(name, journal)
    return caught.value


def render(journal: Path, name: str) -> dict[str, bytes]:
    return dict(render_pages(edition(), find_theme(name, journal)))


def render_fault(journal: Path, name: str) -> ThemeFault:
    with pytest.raises(ThemeFault) as caught:
        render(journal, name)
    return caught.value


def test_the_journals_own_theme_comes_before_the_programs(journal: Path) -> None:
    assert find_theme("enamel", journal).folder == themes_folder().resolve() / "enamel"
    own = lay(journal, "enamel")
    theme = find_theme("enamel", journal)
    assert theme.folders == (own.resolve(), themes_folder().resolve() / "enamel")  # its parent is the other enamel


def test_a_theme_is_found_by_path_from_where_it_is_asked_for(journal: Path, tmp_path: Path) -> None:
    elsewhere = lay(journal, "elsewhere").rename(tmp_path / "elsewhere")
    assert find_theme(str(elsewhere), journal).folder == elsewhere.resolve()
    assert find_theme("../elsewhere", journal, beside=journal).folder == elsewhere.resolve()
    with pytest.raises(UnknownTheme):
        find_theme("../elsewhere", journal, beside=tmp_path)


def test_a_parent_may_be_a_path_from_the_themes_own_folder(journal: Path) -> None:
    lay(journal, "grey")
    lay(journal, "greyer", 'parent = "../grey"\n')
    assert [folder.name for folder in find_theme("greyer", journal).folders] == ["greyer", "grey", "enamel"]


def test_an_unknown_theme_names_those_there_are(journal: Path) -> None:
    lay(journal, "grey")
    assert set(known_themes(journal)) >= {"enamel", "grey"}
    with pytest.raises(UnknownTheme, match=r"no theme neon\. Known: enamel, grey"):
        find_theme("neon", journal)


def test_a_folder_of_templates_without_its_declaration_is_told_what_it_lacks(journal: Path) -> None:
    (lay(journal, "grey", base_html="x") / "theme.toml").unlink()
    fault = fault_of(journal, "grey")
    assert Path(fault.file).name == "theme.toml"
    assert 'parent = "enamel"' in fault.remedy


def test_one_changed_stylesheet_over_a_parent_is_a_theme(journal: Path) -> None:
    lay(journal, "grey", enamel_css="body { color: grey }")
    made, first = render(journal, "grey"), render(journal, "enamel")
    assert made["enamel.css"] == b"body { color: grey }"
    assert {name for name in first if made[name] != first[name]} == {"enamel.css"}
    assert set(made) == set(first)


def test_a_list_of_files_stands_in_place_of_the_parents(journal: Path) -> None:
    lay(journal, "grey", 'parent = "enamel"\nfiles = ["enamel.css", "letters/own.woff2"]\n')
    (journal / "themes" / "grey" / "letters").mkdir()
    (journal / "themes" / "grey" / "letters" / "own.woff2").write_bytes(b"letters")
    files = dict(find_theme("grey", journal).copied())
    assert set(files) == {"enamel.css", "letters/own.woff2"}
    assert files["enamel.css"] == (themes_folder() / "enamel" / "enamel.css").read_bytes()


def test_what_a_theme_does_not_say_is_as_in_the_nearest_parent_that_does(journal: Path) -> None:
    lay(journal, "grey", 'parent = "enamel"\npictures = ["jpeg"]\n')
    lay(journal, "greyer", 'parent = "grey"\ndrawings = false\n')
    theme = find_theme("greyer", journal)
    assert (theme.pictures, theme.drawings) == (("jpeg",), False)
    lay(journal, "colourful", 'parent = "greyer"\npictures = ["jpeg", "avif"]\ndrawings = true\n')
    theme = find_theme("colourful", journal)
    assert (theme.pictures, theme.drawings) == (PICTURES, True)


def test_a_template_may_extend_the_one_it_replaces(journal: Path) -> None:
    lay(
        journal, "grey", base_html='{% extends "enamel/base.html" %}{% block after %}<p id="own">Ours</p>{% endblock %}'
    )
    page = render(journal, "grey")["hours.html"].decode()
    assert '<p id="own">Ours</p>' in page
    assert "<h1>Hours</h1>" in page


def test_one_file_of_marks_can_be_replaced_by_itself(journal: Path) -> None:
    folder = lay(journal, "grey")
    (folder / "marks").mkdir()
    (folder / "marks" / "tray.html").write_text(
        "{% macro tray(of, tall=false) %}<b>{{ of.label }}</b>{% endmacro %}{% macro tray_legend(of) %}{% endmacro %}"
    )
    index = render(journal, "grey")["index.html"].decode()
    assert "<b>" in index
    assert 'class="tray"' not in index
    assert 'class="stamp"' in render(journal, "grey")["parts.html"].decode()


@pytest.mark.parametrize(
    ("parent", "shown"), [("enamel", "<noscript><p>A list</p></noscript>"), ("plain", "<p>A list</p>")]
)
def test_what_stands_in_the_place_of_script_is_shown_as_it_is_where_there_is_none(
    journal: Path, parent: str, shown: str
) -> None:
    text = "{% call marks.without_script() %}<p>A list</p>{% endcall %}"
    page = '{% extends "base.html" %}{% block record %}<b>' + text + "</b>{% endblock %}"
    lay(journal, "grey", f'parent = "{parent}"', hours_html=page)
    assert f"<b>{shown}</b>" in render(journal, "grey")["hours.html"].decode()


def test_with_jpeg_alone_no_page_offers_another_format(journal: Path) -> None:
    lay(journal, "grey", 'parent = "enamel"\npictures = ["jpeg"]\n')
    pages = b"".join(render(journal, "grey").values())
    assert b"<img" in pages
    assert b"avif" not in pages
    assert b"<source" not in pages
    assert b".avif" in b"".join(render(journal, "enamel").values())


def test_without_drawings_no_page_has_one_and_every_table_stands_open(journal: Path) -> None:
    lay(journal, "grey", 'parent = "enamel"\ndrawings = false\n')
    pages = {name: page.decode() for name, page in render(journal, "grey").items() if name.endswith(".html")}
    assert not [name for name, page in pages.items() if "<svg" in page or 'class="bar"' in page]
    assert "By month" in pages["costs.html"]
    assert "The same as a table" not in pages["costs.html"]
    with_drawings = render(journal, "enamel")
    for name in pages:  # the same tables, whatever was drawn above them
        assert pages[name].count("<tbody>") == with_drawings[name].count(b"<tbody>"), name
    assert b"<svg" in with_drawings["costs.html"]


def test_drawings_come_onto_pages_through_their_macros_alone() -> None:
    """So that a theme without drawings has none, whatever page is added."""
    templates = themes_folder().rglob("*.html")
    unescaped = {file.relative_to(themes_folder()).as_posix() for file in templates if "|safe" in file.read_text()}
    assert unescaped == {"enamel/marks/drawing.html"}


def test_what_a_theme_may_leave_out_has_one_place_each() -> None:
    """A page template that drew a bar, folded a list or told of script by itself would do so in every theme."""
    folder = themes_folder() / "enamel"
    for file in (*folder.glob("*.html"), *(folder / "marks").glob("*.html")):
        text = file.read_text(encoding="utf-8")
        home = file.parent.name == "marks"
        assert home or "style=" not in text, file
        assert home or 'class="bar"' not in text, file
        assert home or "<details" not in text, file
        assert home or 'class="js-only' not in text, file


@pytest.mark.parametrize(
    ("declared", "line", "said", "remedy"),
    [
        ('parent = "enamel\n', 1, "not TOML", "quotes"),
        ('\nparents = "enamel"\n', 2, "parents is not a key", "Did you mean parent?"),
        ("\n\nwheels = 4\n", 3, "wheels is not a key", "parent, files, pictures, drawings"),
        ('parent = "neon"\n', 1, "no theme neon to be the parent", "Known: enamel"),
        ("parent = 3\n", 1, "should be the name", 'parent = "enamel"'),
        ('\npictures = ["avif"]\n', 2, "with jpeg among them", '["jpeg"]'),
        ('pictures = "jpeg"\n', 1, "a list of formats", '["jpeg"]'),
        ('pictures = ["jpeg", "tiff"]\n', 1, "a list of formats", '["jpeg"]'),
        ('\n"drawings" = "no"\n', 2, "true or false", "drawings = false"),
        ("files = [1]\n", 1, "a list of file names", "own.css"),
        ('files = "own.css"\n', 1, "a list of file names", "own.css"),
        ('# Ours.\nfiles = ["own.css"]\n', 2, "no file own.css", "Put it there"),
        ('files = ["../journal.toml"]\n', 1, "not name a file inside", "own.css"),
        ('files = ["/etc/hosts"]\n', 1, "not name a file inside", "own.css"),
        ('files = [""]\n', 1, "not name a file inside", "own.css"),
        ('files = ["a\\\\b.css"]\n', 1, "not name a file inside", "own.css"),
        ('files = ["index.html"]\n', 1, "where a page may be", "Take it out"),
        ('files = ["Index.HTML"]\n', 1, "where a page may be", "Take it out"),
        ('files = ["data/journal.json"]\n', 1, "would overwrite", "another name"),
        ('files = ["pictures/x.jpg"]\n', 1, "would overwrite", "another name"),
        ('files = ["Feed.atom"]\n', 1, "would overwrite", "another name"),
    ],
)
def test_what_is_wrong_in_a_declaration_is_told_with_line_and_remedy(
    journal: Path, declared: str, line: int, said: str, remedy: str
) -> None:
    folder = lay(journal, "grey", declared)
    fault = fault_of(journal, "grey")
    assert (fault.file, fault.line) == (str(folder.resolve() / "theme.toml"), line)
    assert said in fault.message
    assert remedy in fault.remedy


def test_a_ring_of_parents_is_shown(journal: Path) -> None:
    lay(journal, "grey", 'parent = "blue"\n')
    lay(journal, "blue", '\nparent = "green"\n')
    lay(journal, "green", '\n\nparent = "blue"\n')
    fault = fault_of(journal, "grey")
    assert "grey -> blue -> green -> blue" in fault.message
    assert (Path(fault.file).parent.name, fault.line) == ("green", 3)
    lay(journal, "alone", 'parent = "alone"\n')
    assert "alone -> alone" in fault_of(journal, "alone").message


@pytest.mark.skipif(os.name == "nt", reason="links ask for rights there")
def test_a_file_that_leads_out_of_the_theme_is_refused(journal: Path) -> None:
    secret = journal / "secret.css"
    secret.write_text("secret")
    (lay(journal, "grey", 'files = ["own.css"]\n') / "own.css").symlink_to(secret)
    assert "leads out" in fault_of(journal, "grey").message


def test_text_in_another_encoding_is_told_with_its_line(journal: Path) -> None:
    folder = lay(journal, "grey")
    (folder / "hours.html").write_bytes(b"{% extends 'base.html' %}\n\n\xe9\n")
    fault = render_fault(journal, "grey")
    assert (Path(fault.file).name, fault.line, "UTF-8" in fault.message) == ("hours.html", 3, True)
    (folder / "theme.toml").write_bytes(b"\n# caf\xe9\n")
    fault = fault_of(journal, "grey")
    assert (Path(fault.file).name, fault.line, "UTF-8" in fault.message) == ("theme.toml", 2, True)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("{{ 1 // 0 }}", "ZeroDivisionError"),
        ("{{ 'a' + 1 }}", "TypeError"),
        ("{{ none.count }}", "no attribute 'count'"),
        ("{{ 'never'|money }}", "AttributeError"),
        ("{{ wheelbarrow }}", "'wheelbarrow' is undefined"),
        ("{{ 3|wheelbarrow }}", "No filter named 'wheelbarrow'"),
        ("{% for %}", "cannot be read"),
        ("{% include 'nowhere.html' %}", "lacks the template nowhere.html"),
        ("{% include '../../outside.html' %}", "lacks the template"),
        ("{{ ''.__class__.__mro__ }}", "unsafe"),
        ("{{ range(10 ** 9)|length }}", "OverflowError"),
        ("{% macro again() %}{{ again() }}{% endmacro %}{{ again() }}", "without end"),
    ],
)
def test_whatever_goes_wrong_in_a_template_is_told_with_its_line(journal: Path, line: str, said: str) -> None:
    text = '{% extends "base.html" %}\n{% block record %}\n' + line + "\n{% endblock %}\n"
    folder = lay(journal, "grey", hours_html=text)
    fault = render_fault(journal, "grey")
    assert (fault.file, fault.line) == (str(folder.resolve() / "hours.html"), 3)
    assert said in f"{fault.message}"
    assert fault.remedy


def test_a_template_that_extends_itself_is_told_how_to_extend_the_one_it_replaces(journal: Path) -> None:
    folder = lay(journal, "grey", base_html='\n{% extends "base.html" %}\n')
    fault = render_fault(journal, "grey")
    assert (fault.file, "without end" in fault.message) == (str(folder.resolve() / "base.html"), True)
    assert '"enamel/base.html"' in fault.remedy


def test_a_theme_without_parent_is_told_to_take_one_for_what_it_lacks(journal: Path) -> None:
    lay(journal, "bare", "")
    fault = render_fault(journal, "bare")
    assert "lacks this template" in fault.message
    assert 'parent = "enamel"' in fault.remedy
