"""Large text, narrow screens, little motion, few colours: the pages still say all that they say."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.browser.kinds import THEMES, one_of_each

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

# Text that runs out of the window, or out of a box that hides what does not fit. What scrolls by itself, what is
# for screen readers alone, and drawings that are laid out in their own box, stand aside.
CUT = """() => {
  const aside = ".vh, .skip, .contents-of, pre, svg, dialog, [hidden]", cut = [];
  const words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let word = words.nextNode(); word; word = words.nextNode()) {
    const holder = word.parentElement;
    if (!word.data.trim() || holder.closest(aside) || !holder.checkVisibility()) continue;
    const range = document.createRange();
    range.selectNodeContents(word);
    const box = range.getBoundingClientRect();
    if (box.width === 0) continue;
    let scrolls = false;
    for (let around = holder; around !== document.body && !scrolls; around = around.parentElement) {
      const style = getComputedStyle(around), outer = around.getBoundingClientRect();
      scrolls = ["auto", "scroll"].includes(style.overflowX);
      const over = box.right > outer.right + 1 || box.bottom > outer.bottom + 1;
      if (over && ["hidden", "clip"].includes(style.overflowX)) cut.push("cut off: " + word.data.trim());
    }
    if (!scrolls && (box.right > innerWidth + 1 || box.left < -1)) cut.push("out of the window: " + word.data.trim());
  }
  return cut;
}"""


def ways_to_overflow(page: Page, path: Path) -> list[str]:
    page.goto(path.as_uri())
    wide, window = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    found = [f"{path.name}: {text}" for text in page.evaluate(CUT)]
    return [f"{path.name}: {wide} wide in {window}", *found] if wide > window else found


def test_the_check_sees_text_that_is_cut(browser: Browser, tmp_path: Path) -> None:
    bad = tmp_path / "cut.html"
    bad.write_text(
        "<!DOCTYPE html><p style='width: 900px'>far out<span style='float: right'>out here</span>"
        "<div style='height: 5px; overflow: hidden'>half</div>",
        encoding="utf-8",
    )
    page = browser.new_page(viewport={"width": 320, "height": 900})
    found = "\n".join(ways_to_overflow(page, bad))
    page.close()
    assert "wide in 320" in found
    assert "out of the window: out here" in found
    assert "cut off: half" in found


@pytest.mark.parametrize(("width", "text"), [(320, 1), (1280, 2), (390, 2)])
@pytest.mark.parametrize("theme", THEMES)
def test_nothing_is_cut_on_a_narrow_screen_or_in_large_text(
    browser: Browser, themed: Callable[[str], Path], theme: str, width: int, text: int
) -> None:
    page = browser.new_page(viewport={"width": width, "height": 900})
    devtools = page.context.new_cdp_session(page)
    devtools.send("Page.enable")
    devtools.send("Page.setFontSizes", {"fontSizes": {"standard": 16 * text, "fixed": 13 * text}})
    found = []
    for path in one_of_each(themed(theme) / "owner"):
        found += ways_to_overflow(page, path)
        assert page.evaluate("getComputedStyle(document.documentElement).fontSize") == f"{16 * text}px"
    page.close()
    assert found == []


STAMPED = """() => [...document.querySelectorAll(".tag")].flatMap(tag => {
  const stamp = tag.querySelector(".stamp")?.getBoundingClientRect();
  return [...tag.querySelectorAll(".tag-name, .tag-place, .tag-do > :not(.vh), .tag-no")].flatMap(element => {
    const range = document.createRange();
    range.selectNodeContents(element);
    return stamp && [...range.getClientRects()].some(box => box.width && box.left < stamp.right - 2
      && box.right > stamp.left + 2 && box.top < stamp.bottom - 2 && box.bottom > stamp.top + 2)
      ? [element.textContent.trim()] : [];
  });
})"""


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_no_stamp_lies_on_what_else_a_tag_says(browser: Browser, themed: Callable[[str], Path], width: int) -> None:
    page = browser.new_page(viewport={"width": width, "height": 900})
    site = themed("enamel") / "owner"
    stamps = 0
    for path in [site / "parts.html", site / "index.html", *sorted((site / "parts").glob("*.html"))]:
        page.goto(path.as_uri())
        assert page.evaluate(STAMPED) == [], path.name
        stamps += page.evaluate("document.querySelectorAll('.tag .stamp').length")
    page.close()
    assert stamps > 30


@pytest.mark.parametrize("theme", THEMES)
def test_nothing_moves_by_itself_where_little_motion_is_asked_for(
    browser: Browser, themed: Callable[[str], Path], theme: str
) -> None:
    moving = """() => document.getAnimations().length + [...document.querySelectorAll("*")].filter(element => {
      const style = getComputedStyle(element);
      return style.transitionDuration !== "0s" || style.animationName !== "none" || style.scrollBehavior !== "auto";
    }).length"""
    page = browser.new_page(reduced_motion="reduce")
    for path in one_of_each(themed(theme) / "owner"):
        page.goto(path.as_uri())
        assert page.evaluate("matchMedia('(prefers-reduced-motion: reduce)').matches")
        assert page.evaluate(moving) == 0, path.name
    page.close()
