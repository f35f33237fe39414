"""The theme plain in a browser: its policy holds, it allows no script at all, and nothing overflows."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from journalgen.site.pages import render_pages
from journalgen.site.themes import find_theme
from tests.browser.test_rendered import PAGES, open_in_turn, open_page
from tests.site.samples import edition

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("plain")
    for name, contents in render_pages(edition(), find_theme("plain", root)):
        (root / name).parent.mkdir(exist_ok=True)
        (root / name).write_bytes(contents)
    return root


@pytest.mark.parametrize("width", [320, 1280])
def test_every_page_is_laid_out_by_its_sheet_and_fits(browser: Browser, folder: Path, width: int) -> None:
    pages = open_in_turn(browser, (folder / name for name in PAGES), width)
    for name, (page, said) in zip(PAGES, pages, strict=True):
        assert said == [], name
        own = name == "404.html"  # shown at any address, so it fetches nothing and brings its style
        colour = page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert colour == ("rgb(238, 241, 238)" if own else "rgb(253, 252, 248)"), name
        assert page.evaluate("document.documentElement.scrollWidth") <= width, name


def test_even_a_script_of_the_sites_own_would_be_refused(browser: Browser, folder: Path) -> None:
    (folder / "own.js").write_text("document.title = 'got in'")
    text = (folder / "about.html").read_text(encoding="utf-8")
    (folder / "spoilt.html").write_text(text.replace("</main>", '<script src="own.js"></script></main>'))
    page, said = open_page(browser, folder / "spoilt.html")
    assert page.title() != "got in"
    assert any("Content Security Policy" in text for text in said)
    page.close()
