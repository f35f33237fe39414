"""The pages in a browser, opened from a folder: the policy holds, the script helps, nothing overflows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from journalgen.site.pages import render_pages
from tests.site.samples import THEME, edition

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser
PAGES = (
    "index.html", "sessions.html", "parts.html", "pairs.html", "timeline.html", "hours.html", "costs.html",
    "materials.html", "about.html", "404.html", "parts/front-wheel.html", "sessions/2024-03-09-first-coat.html",
    "sessions/2024-04-20-primer.html", "steps.html", "steps/etch.html", "materials/rust-converter.html",
)  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The owner's edition on disk, without its pictures."""
    root = tmp_path_factory.mktemp("site")
    for name, contents in render_pages(edition(), THEME):
        (root / name).parent.mkdir(exist_ok=True)
        (root / name).write_bytes(contents)
    return root


def open_page(browser: Browser, file: Path, width: int = 1280) -> tuple[Page, list[str]]:
    """A tab with a file, to be closed by who asked, and what was said meanwhile."""
    page, said = _new_tab(browser, width)
    page.goto(file.as_uri())
    return page, _counted(said)


def open_in_turn(browser: Browser, files: Iterable[Path], width: int) -> Iterator[tuple[Page, list[str]]]:
    """One tab with each file in turn, and what was said until then: a new tab costs more than a page."""
    page, said = _new_tab(browser, width)
    for file in files:
        page.goto(file.as_uri())
        yield page, _counted(said)
    page.close()


def _new_tab(browser: Browser, width: int) -> tuple[Page, list[str]]:
    page = browser.new_page(viewport={"width": width, "height": 900})
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    return page, said


def _counted(said: Iterable[str]) -> list[str]:
    """Without the pictures, which are not there."""
    return [text for text in said if "/pictures/" not in text and "ERR_FILE_NOT_FOUND" not in text]


@pytest.mark.parametrize("name", PAGES)
def test_every_page_works_from_a_folder_under_its_policy(browser: Browser, folder: Path, name: str) -> None:
    page, said = open_page(browser, folder / name)
    assert said == []
    scripted = name != "404.html"  # that one brings its style with it and fetches nothing
    assert page.evaluate("document.documentElement.classList.contains('js')") == scripted
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(238, 241, 238)"
    page.close()


@pytest.mark.parametrize("width", [320, 390, 768, 1280, 1680])
def test_no_page_is_wider_than_the_window(browser: Browser, folder: Path, width: int) -> None:
    for page, _ in open_in_turn(browser, (folder / name for name in PAGES), width):
        assert page.evaluate("document.documentElement.scrollWidth") <= width, page.url


def test_a_script_in_the_page_would_be_refused(browser: Browser, folder: Path) -> None:
    spoilt = folder / "spoilt.html"
    text = (folder / "about.html").read_text(encoding="utf-8")
    spoilt.write_text(text.replace("</main>", "<script>document.title = 'got in'</script></main>"), encoding="utf-8")
    page, said = open_page(browser, spoilt)
    assert page.title() != "got in"
    assert any("Content Security Policy" in text for text in said)
    page.close()


def test_a_ledger_can_be_sorted_by_its_figures(browser: Browser, folder: Path) -> None:
    page, _ = open_page(browser, folder / "materials.html")
    table = page.locator("table.ledger")
    table.get_by_role("button", name="Cost bought").click()
    assert table.locator("tbody th").all_inner_texts() == ["rust converter", "zinc primer", "320 grit paper"]
    table.get_by_role("button", name="Cost bought").click()
    assert table.locator("tbody th").all_inner_texts() == ["zinc primer", "rust converter", "320 grit paper"]
    page.close()


def test_a_pair_is_wiped_from_the_keyboard(browser: Browser, folder: Path) -> None:
    page, _ = open_page(browser, folder / "pairs.html")
    slider = page.get_by_role("slider", name="Wipe, front wheel: share of the before picture")
    slider.focus()
    page.keyboard.press("End")
    assert slider.get_attribute("aria-valuetext") == "100 %"
    page.close()


def test_a_photograph_opens_over_the_page_and_gives_the_focus_back(browser: Browser, folder: Path) -> None:
    page, _ = open_page(browser, folder / "sessions/2024-03-09-first-coat.html")
    link = page.locator("a[data-view]")
    link.click()
    assert page.locator("dialog figcaption").inner_text() == "as it came off, 9 March 2024"
    page.keyboard.press("Escape")
    assert page.locator("dialog").is_hidden()
    assert page.evaluate("document.activeElement.hasAttribute('data-view')")
    page.close()


def test_lists_are_open_on_paper_and_closed_again_after_it(browser: Browser, folder: Path) -> None:
    page, _ = open_page(browser, folder / "parts/front-wheel.html")
    assert page.locator("main details[open]").count() == 0
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    assert page.locator("main details[open]").count() == 1
    page.evaluate("window.dispatchEvent(new Event('afterprint'))")
    assert page.locator("main details[open]").count() == 0
    page.close()
