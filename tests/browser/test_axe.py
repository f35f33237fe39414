"""What axe-core finds against WCAG 2.2 AA and its own list of good practice: nothing, on any page.

Source: the npm package `axe-core` 4.14.1, read where the environment variable JOURNALGEN_AXE says it lies.
A page is loaded once and looked at in both widths and both schemes. A scheme changes colours and nothing
else (the last test sees to it), so that on the many pages of a kind the dark one is held to the rules of colour.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.browser.kinds import THEMES, every_page, one_of_each

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Browser, Page

VARIABLE = "JOURNALGEN_AXE"
WIDTHS = (1280, 390)
ALL = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
OF_COLOUR = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
# Nothing is fetched for the check: the site's policy would refuse it, and no rule of ours needs it.
RUN = """async only => {
  const found = await axe.run(document, {runOnly: only, resultTypes: ["violations"], preload: false});
  return found.violations.flatMap(rule => rule.nodes.map(node => rule.id + ": " + node.target.join(" ") + ": "
    + node.failureSummary.replace(/\\s+/g, " ")));
}"""

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        VARIABLE not in os.environ,
        reason=f"Set {VARIABLE} to the folder of the npm package axe-core 4.14.1 (the one that holds axe.min.js).",
    ),
]


@pytest.fixture(scope="module")
def axe() -> str:
    return Path(os.environ[VARIABLE], "axe.min.js").read_text(encoding="utf-8")


def findings(browser: Browser, axe: str, pages: Iterable[Path], dark: Any = ALL) -> list[str]:
    """What is found on the pages, by the rules named for the dark scheme and by all in the light one."""
    page = browser.new_page(color_scheme="light")
    found = []
    for path in pages:
        page.goto(path.as_uri())
        page.evaluate(axe)
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            found += _look(page, ALL, f"{path.parent.name}/{path.name} at {width}, light")
            page.emulate_media(color_scheme="dark")
            found += _look(page, dark, f"{path.parent.name}/{path.name} at {width}, dark")
            page.emulate_media(color_scheme="light")
    page.close()
    return found


def _look(page: Page, rules: Any, where: str) -> list[str]:
    return [f"{where}: {finding}" for finding in page.evaluate(RUN, rules)]


def test_axe_finds_what_is_wrong(browser: Browser, axe: str, tmp_path: Path) -> None:
    bad = tmp_path / "bad.html"
    bad.write_text("<!DOCTYPE html><title>x</title><p style='color: #aaa'>Pale<img src='x.jpg'>", encoding="utf-8")
    rules = {finding.split(": ")[1] for finding in findings(browser, axe, [bad])}
    assert {"color-contrast", "image-alt", "html-has-lang", "landmark-one-main"} <= rules


def test_axe_finds_nothing_on_any_page_of_the_owners_edition(browser: Browser, axe: str, site: Path) -> None:
    pages = every_page(site / "owner")
    assert len(pages) > 100
    assert findings(browser, axe, pages, dark=OF_COLOUR) == []


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("edition", ["owner", "public"])
def test_axe_finds_nothing_on_one_page_of_each_kind(
    browser: Browser, axe: str, themed: Callable[[str], Path], theme: str, edition: str
) -> None:
    pages = one_of_each(themed(theme) / edition)
    assert len(pages) > 10
    assert findings(browser, axe, pages) == []


def test_a_scheme_changes_nothing_but_colours(browser: Browser, site: Path) -> None:
    shape = """() => [...document.querySelectorAll("body, body *")].map(element => {
      const style = getComputedStyle(element), box = element.getBoundingClientRect();
      return [box.x, box.y, box.width, box.height, style.display, style.visibility, style.opacity, style.font].join();
    })"""
    page = browser.new_page()
    for path in one_of_each(site / "owner"):
        page.goto(path.as_uri())
        page.emulate_media(color_scheme="light")
        light = page.evaluate(shape)
        page.emulate_media(color_scheme="dark")
        assert page.evaluate(shape) == light, path.name
    page.close()
