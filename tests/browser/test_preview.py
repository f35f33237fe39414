"""A person who writes with the preview open beside the editor."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, expect

from tests.journals import write_journal
from tests.pictures.samples import corners
from tests.preview.running import Preview, running

pytestmark = pytest.mark.browser
expect.set_options(timeout=60_000)  # milliseconds, on a machine that has much else to do

LONG = "\n\n".join(f"Paragraph {n}: the lever was cleaned again, since it was not yet clean." for n in range(80))
ENTRY = f"---\ntitle: Etched the lever\nhours: 1\nparts: lever\n---\n{LONG}\n\nThe last line.\n"
NAME = "entries/2024-03-09-etch.md"
PAGE = "sessions/2024-03-09-etched-the-lever.html"


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    return write_journal(tmp_path / "trolley", {NAME: ENTRY, "register/parts.yaml": "lever: {}\n"})


@pytest.fixture
def shown(journal: Path) -> Iterator[Preview]:
    with running(journal) as preview:
        preview.wait_for(f"/{PAGE}", "The last line.")
        yield preview


@pytest.fixture
def page(browser: Browser, shown: Preview) -> Iterator[Page]:
    complaints: list[str] = []

    def complain(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            complaints.append(message.text)

    context = browser.new_context(viewport={"width": 1000, "height": 700})
    opened = context.new_page()
    opened.on("console", complain)
    opened.on("pageerror", lambda fault: complaints.append(str(fault)))
    opened.goto(f"http://127.0.0.1:{shown.port}/{PAGE}")
    yield opened
    context.close()
    assert complaints == []


def test_an_edit_appears_and_the_place_is_kept(page: Page, journal: Path) -> None:
    page.evaluate("window.scrollTo(0, 1500)")
    (journal / NAME).write_text(ENTRY.replace("The last line.", "Quite another last line."), encoding="utf-8")
    expect(page.get_by_text("Quite another last line.")).to_be_attached()
    page.wait_for_load_state("load")
    assert page.evaluate("window.scrollY") == 1500


def test_a_problem_lies_over_the_page_until_it_is_mended(page: Page, journal: Path) -> None:
    (journal / NAME).write_text(ENTRY.replace("hours: 1", "hours: many"), encoding="utf-8")
    panel = page.get_by_role("alert")
    expect(panel).to_contain_text("One problem keeps this page as it was")
    expect(panel).to_contain_text(f"{NAME}, line 3")
    expect(panel).to_contain_text("Write 2.5, 2:30, 2 h 30 min or 150 min.")
    expect(panel.locator("mark")).to_have_text("   3  hours: many")
    expect(page.get_by_text("The last line.")).to_be_attached()
    panel.get_by_role("button", name="Fold away").click()
    expect(panel.locator("mark")).to_be_hidden()
    (journal / NAME).write_text(ENTRY.replace("hours: 1", "hours: 3"), encoding="utf-8")
    expect(panel).to_have_count(0)
    expect(page.locator("main")).to_contain_text("3 h")


def test_a_problem_that_is_there_already_is_shown_when_a_page_is_opened(page: Page, journal: Path) -> None:
    (journal / NAME).write_text(ENTRY.replace("hours: 1", "hours: many"), encoding="utf-8")
    expect(page.get_by_role("alert")).to_be_visible()
    page.goto(page.url.replace(PAGE, "index.html"))
    expect(page.get_by_role("alert")).to_be_visible()


def test_what_a_file_says_is_shown_as_text(page: Page, journal: Path) -> None:
    bad = "<img src=x onerror=alert(1)></pre><script>alert(2)</script>"
    (journal / NAME).write_text(ENTRY.replace("hours: 1", f"hours: '{bad}'"), encoding="utf-8")
    expect(page.get_by_role("alert").locator("mark")).to_contain_text(bad)
    assert page.get_by_role("alert").locator("img, script").count() == 0


def test_photographs_come_without_a_hand_laid_on(page: Page, journal: Path) -> None:
    (journal / "photos").mkdir()
    corners(1200, 900).save(journal / "photos" / "lever.jpg")
    text = ENTRY.replace("parts: lever", "parts: lever\nphotos: [{file: lever.jpg, part: lever, caption: The lever}]")
    (journal / NAME).write_text(text, encoding="utf-8")
    picture = page.locator("main picture img").first
    expect(picture).to_be_attached()
    picture.scroll_into_view_if_needed()
    expect(picture).to_have_js_property("complete", True)
    assert picture.evaluate("image => image.naturalWidth") > 0


def test_a_style_is_swapped_without_loading_the_page(browser: Browser, journal: Path) -> None:
    theme = journal / "themes" / "mine"
    theme.mkdir(parents=True)
    house = Path(__file__).parents[2] / "themes" / "enamel"
    (theme / "theme.toml").write_text('parent = "enamel"\n', encoding="utf-8")
    (theme / "enamel.css").write_bytes((house / "enamel.css").read_bytes())
    with running(journal, "--theme", str(theme)) as shown:
        shown.wait_for(f"/{PAGE}", "The last line.")
        context = browser.new_context()
        page = context.new_page()
        page.goto(f"http://127.0.0.1:{shown.port}/{PAGE}")
        page.evaluate("window.stayed = true")
        with (theme / "enamel.css").open("a", encoding="utf-8") as style:
            style.write("\nmain { border-left: 7px solid rgb(1, 2, 3) }\n")
        expect(page.locator("main")).to_have_css("border-left-width", "7px")
        assert page.evaluate("window.stayed") is True
        assert page.locator("link[rel=stylesheet]").count() == 1
        context.close()


def test_a_theme_without_script_is_followed_too(browser: Browser, journal: Path) -> None:
    with running(journal, "--theme", "plain") as shown:
        shown.wait_for(f"/{PAGE}", "The last line.")
        context = browser.new_context()
        page = context.new_page()
        page.goto(f"http://127.0.0.1:{shown.port}/{PAGE}")
        (journal / NAME).write_text(ENTRY.replace("The last line.", "Another last line."), encoding="utf-8")
        expect(page.get_by_text("Another last line.")).to_be_attached()
        context.close()
