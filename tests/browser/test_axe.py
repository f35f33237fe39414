"""What axe-core finds against WCAG 2.2 AA and its own list of good practice: nothing, on any page.

Source: the npm package `axe-core` 4.14.1, read where the environment variable JOURNALGEN_AXE says it lies.
Every page is looked at wide and in the light. Of many pages only those are looked at narrow, in the light and in the
dark, that between them show everything that a style sheet could tell apart, and one of each kind. A scheme changes
colours and nothing else, which is seen to on the way, so that the dark one is held to the rules of colour alone.
"""

from __future__ import annotations

import os
from collections.abc import Container, Iterable
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from journalgen.site.matter import OWNER, PUBLIC
from journalgen.site.themes import DEFAULT
from tests.browser.kinds import THEMES, all_looks, every_page, one_of_each

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Browser, Page

VARIABLE = "JOURNALGEN_AXE"
WIDTHS = (1280, 390)
SHARES = 8  # of the many pages, so that several processes can look at them
ALL = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
OF_COLOUR = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
# Nothing is fetched for the check: the site's policy would refuse it, and no rule of ours needs it.
RUN = """async only => {
  const found = await axe.run(document, {runOnly: only, resultTypes: ["violations"], preload: false});
  return found.violations.flatMap(rule => rule.nodes.map(node => rule.id + ": " + node.target.join(" ") + ": "
    + node.failureSummary.replace(/\\s+/g, " ")));
}"""
# What a scheme must leave as it is.
SHAPE = """() => [...document.querySelectorAll("body, body *")].map(element => {
  const style = getComputedStyle(element), box = element.getBoundingClientRect();
  return [box.x, box.y, box.width, box.height, style.display, style.visibility, style.opacity, style.font].join();
}).join("\\n")"""

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


def findings(browser: Browser, axe: str, pages: Iterable[Path], closely: Container[Path]) -> list[str]:
    """What is found on the pages; those to be looked at `closely` are seen narrow and in the dark, too."""
    page = browser.new_page(color_scheme="light")
    found = []
    for path in pages:
        page.goto(path.as_uri())
        page.evaluate(axe)
        for width in WIDTHS if path in closely else WIDTHS[:1]:
            where = f"{path.parent.name}/{path.name} at {width}"
            page.set_viewport_size({"width": width, "height": 900})
            found += _look(page, ALL, f"{where}, light")
            if path in closely and width == WIDTHS[-1]:
                light = page.evaluate(SHAPE)
                page.emulate_media(color_scheme="dark")
                found += _look(page, OF_COLOUR, f"{where}, dark")
                if page.evaluate(SHAPE) != light:
                    found.append(f"{where}, dark: shape: More than colours is changed.")
                page.emulate_media(color_scheme="light")
    page.close()
    return found


def _look(page: Page, rules: Any, where: str) -> list[str]:
    return [f"{where}: {finding}" for finding in page.evaluate(RUN, rules)]


def test_what_is_wrong_is_found(browser: Browser, axe: str, tmp_path: Path) -> None:
    bad = tmp_path / "bad.html"
    bad.write_text(
        "<!DOCTYPE html><title>x</title><p style='color: #aaa'>Pale<img src='x.jpg'></p><b>Bold</b>"
        "<style>@media (prefers-color-scheme: dark) { b { color: #ccc; font-weight: 400 } }</style>",
        encoding="utf-8",
    )
    found = findings(browser, axe, [bad], closely={bad})
    for width in WIDTHS:
        light, dark = (
            {tuple(finding.split(": ")[1:3]) for finding in found if f" at {width}, {scheme}: " in finding}
            for scheme in ("light", "dark")
        )
        assert {"color-contrast", "image-alt", "html-has-lang", "landmark-one-main"} <= {rule for rule, _ in light}
        if width == WIDTHS[-1]:
            assert ("color-contrast", "b") in dark - light
            assert {rule for rule, _ in dark} == {"color-contrast", "shape"}


@pytest.mark.parametrize("share", range(SHARES))
def test_axe_finds_nothing_on_any_page_of_the_owners_edition(
    browser: Browser, axe: str, site: Path, share: int
) -> None:
    pages = every_page(site / "owner")
    assert len(pages) > 100
    closely = {*all_looks(site / "owner"), *one_of_each(site / "owner")}
    assert findings(browser, axe, pages[share::SHARES], closely) == []


OTHERS = [pair for pair in product(THEMES, (OWNER, PUBLIC)) if pair != (DEFAULT, OWNER)]
"""The one left out is looked at above, page by page."""


@pytest.mark.parametrize(("theme", "edition"), OTHERS)
def test_axe_finds_nothing_on_one_page_of_each_kind(
    browser: Browser, axe: str, themed: Callable[[str], Path], theme: str, edition: str
) -> None:
    pages = one_of_each(themed(theme) / edition)
    assert len(pages) > 10
    assert findings(browser, axe, pages, closely=pages) == []
