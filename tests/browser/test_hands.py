"""Every function by keyboard, and the enlarged view by finger."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.browser.conftest import Visiting
from tests.browser.kinds import one_of_each

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

FOCUS = """() => {
  const at = document.activeElement;
  const met = window.met ??= new Set();
  // Past the last the Tab key leads out of the page or, where there is no window about it, to the first again.
  if (at === document.body || met.has(at)) return null;
  met.add(at);
  const drawn = ({outlineStyle: line, outlineWidth: width}) =>
    line === "auto" || (line !== "none" && parseFloat(width) >= 2);
  const next = at.nextElementSibling;
  const shown = drawn(getComputedStyle(at)) || drawn(getComputedStyle(at, "::after"))
    || (next !== null && drawn(getComputedStyle(next, "::after")));
  const box = at.getBoundingClientRect();
  return {what: at.outerHTML.slice(0, 120), shown, seen: box.bottom > 0 && box.top < innerHeight};
}"""
# What the mouse can do here, each of it once; of a group of choices the Tab key reaches the chosen, arrows the others.
REACHED = """() => [...document.querySelectorAll(
    "a[href], button, input:not([type=radio]:not(:checked)), select, summary")]
  .filter(element => element.checkVisibility() && !element.closest("dialog")).length"""


def part_with_photographs(site: Path) -> Path:
    return site / "owner" / "parts" / "wheel.html"


def test_the_tab_key_reaches_everything_and_shows_where_it_is(site: Path, visiting: Visiting) -> None:
    pages = one_of_each(site / "owner")
    with visiting(pages[0]) as seen:
        page = seen.page
        for path in pages:
            page.goto(path.as_uri())
            wanted, reached = page.evaluate(REACHED), 0
            for _ in range(wanted + 60):  # ledgers that scroll take a stop of their own
                page.keyboard.press("Tab")
                focus = page.evaluate(FOCUS)
                if focus is None:
                    break
                assert focus["shown"], f"{path.name}: no outline on {focus['what']}"
                assert focus["seen"], f"{path.name}: out of sight: {focus['what']}"
                reached += not focus["what"].startswith("<div")
            assert reached == wanted, path.name


def test_the_skip_link_leads_past_the_contents(site: Path, visiting: Visiting) -> None:
    with visiting(site / "owner" / "costs.html") as seen:
        seen.page.keyboard.press("Tab")
        box = seen.page.locator(".skip").bounding_box()
        assert box is not None
        assert box["y"] >= 0  # it shows once it has the focus
        seen.page.keyboard.press("Enter")
        seen.page.keyboard.press("Tab")
        assert seen.page.evaluate("document.activeElement.closest('main') !== null")


def test_a_pair_is_wiped_by_arrows_home_and_end(site: Path, visiting: Visiting) -> None:
    with visiting(site / "owner" / "pairs.html") as seen:
        slider = seen.page.get_by_role("slider").first
        after = seen.page.locator(".pair-side").nth(1)
        slider.focus()
        for key, said, cut in (
            ("ArrowRight", "51 %", 0.51),
            ("ArrowLeft", "50 %", 0.5),
            ("End", "100 %", 1),
            ("Home", "0 %", 0),
        ):
            seen.page.keyboard.press(key)
            assert slider.get_attribute("aria-valuetext") == said
            width = after.evaluate("element => element.getBoundingClientRect().width")
            inset = after.evaluate("element => getComputedStyle(element).clipPath")
            assert after.evaluate("element => getComputedStyle(element).getPropertyValue('--v')").strip() == f"{cut:g}"
            assert width > 0
            assert inset.startswith("inset(")


def test_a_ledger_is_sorted_by_enter(site: Path, visiting: Visiting) -> None:
    with visiting(part_with_photographs(site)) as seen:
        table = seen.page.locator("table[data-sort]").filter(has=seen.page.get_by_role("button", name="Cost"))
        read = "table => [...table.tBodies[0].rows].map(row => Number(row.cells[3].dataset.v))"
        before = table.evaluate(read)
        table.get_by_role("button", name="Cost").focus()
        seen.page.keyboard.press("Enter")
        assert table.evaluate(read) == sorted(before) != before
        seen.page.keyboard.press("Enter")
        assert table.evaluate(read) == sorted(before, reverse=True)
        assert table.locator("[aria-sort]").count() == 1


def test_the_chosen_colours_are_kept(site: Path, visiting: Visiting) -> None:
    with visiting(site / "owner" / "index.html") as seen:
        page = seen.page
        paper = "getComputedStyle(document.body).backgroundColor"
        light = page.evaluate(paper)
        page.locator("[data-colours]").focus()
        page.keyboard.press("End")  # the last of the three
        dark = page.evaluate(paper)
        assert dark != light
        for reload in (page.reload, lambda: page.goto(part_with_photographs(site).as_uri())):
            reload()
            assert page.evaluate(paper) == dark
            assert page.locator("[data-colours]").input_value() == "dark"
        page.locator("[data-colours]").focus()
        page.keyboard.press("Home")  # as the device asks
        assert page.evaluate(paper) == light
        assert seen.complaints == []


def test_a_photograph_is_opened_turned_and_closed_by_keys(site: Path, visiting: Visiting) -> None:
    with visiting(part_with_photographs(site)) as seen:
        page, links = seen.page, seen.page.locator("a[data-view]")
        assert links.count() > 2
        links.nth(1).focus()
        page.keyboard.press("Enter")
        assert shown(page) == 1
        page.keyboard.press("ArrowRight")
        assert shown(page) == 2
        page.keyboard.press("ArrowLeft")
        page.keyboard.press("ArrowLeft")
        assert shown(page) == 0
        page.keyboard.press("Escape")
        assert page.locator("dialog").is_hidden()
        # A dialog tells that it was closed by a task of its own, after it is hidden: the focus follows that.
        page.wait_for_function("document.activeElement === document.querySelector('a[data-view]')", timeout=10_000)


def shown(page: Page) -> int:
    """Which of the page's photographs the enlarged view holds; its words must be of the same."""
    at: int = page.evaluate(
        """() => [...document.querySelectorAll("a[data-view]")].findIndex(
          link => link.href === document.querySelector("dialog[open] img").src)"""
    )
    said = page.locator("dialog figcaption").inner_text()
    assert said == page.locator("a[data-view]").nth(at).get_attribute("data-view")
    return at


def test_a_finger_turns_the_photographs_over(browser: Browser, site: Path) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 800}, has_touch=True, is_mobile=True)
    page = context.new_page()
    page.goto(part_with_photographs(site).as_uri())
    hand = context.new_cdp_session(page)

    def touch(kind: str, *fingers: tuple[float, float]) -> None:
        points = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(fingers)]
        hand.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def draw(*, to: tuple[float, float], start: tuple[float, float]) -> None:
        touch("touchStart", start)
        for step in (0.25, 0.5, 0.75, 1):
            touch("touchMove", tuple(a + (b - a) * step for a, b in zip(start, to, strict=True)))  # type: ignore[arg-type]
        touch("touchEnd")

    page.locator("a[data-view]").nth(1).tap()
    picture = page.locator("dialog[open] img")
    picture.evaluate("image => image.decode()")
    box = picture.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    draw(start=(x, y), to=(x - 120, y + 10))
    assert shown(page) == 2
    draw(start=(x, y), to=(x + 120, y - 10))
    assert shown(page) == 1
    draw(start=(x, y), to=(x - 20, y))  # too short
    draw(start=(x, y), to=(x - 50, y + 110))  # down rather than across
    touch("touchStart", (x, y), (x + 30, y))  # two fingers enlarge
    touch("touchMove", (x - 90, y), (x + 120, y))
    touch("touchEnd")
    assert shown(page) == 1
    context.close()
