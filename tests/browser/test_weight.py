"""How heavy a page is before its pictures out of view, and whether its layout stays where it was."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import unquote, urlsplit

import pytest

from tests.browser.kinds import THEMES, one_of_each

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser

MOST = 150_000  # bytes
STILL = 0.005  # of the view: while a long table arrives its columns still find their widths
IN_VIEW = """() => [...document.images].filter(image => {
  const box = image.getBoundingClientRect();
  return box.width > 0 && box.top < innerHeight && box.bottom > 0;
}).map(image => image.currentSrc)"""
SHIFTS = """async () => {
  const seen = [];
  const watch = new PerformanceObserver(list => seen.push(...list.getEntries()));
  watch.observe({type: "layout-shift", buffered: true});
  for (let y = 0; y < document.documentElement.scrollHeight; y += 800) {
    scrollTo(0, y);
    await new Promise(done => requestAnimationFrame(() => setTimeout(done, 20)));
  }
  await Promise.all([...document.images].filter(image => image.currentSrc).map(image => image.decode()));
  await new Promise(done => requestAnimationFrame(() => setTimeout(done, 50)));
  return [...seen, ...watch.takeRecords()].reduce((sum, entry) => sum + entry.value, 0);
}"""
DRAWN = "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done, 50))))"


def size_of(url: str) -> int:
    return Path(unquote(urlsplit(url).path)).stat().st_size


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("theme", THEMES)
def test_a_page_is_light_before_its_pictures_out_of_view(
    browser: Browser, themed: Callable[[str], Path], theme: str, width: int
) -> None:
    weights = {}
    for path in one_of_each(themed(theme) / "owner"):
        page = browser.new_page(viewport={"width": width, "height": 900})
        fetched: set[str] = set()
        pictures: set[str] = set()
        page.on("request", lambda r, to=fetched, of=pictures: (of if r.resource_type == "image" else to).add(r.url))
        page.goto(path.as_uri())
        in_view = set(page.evaluate(IN_VIEW))
        # A picture that Chromium fetched ahead of its place on the screen is one out of view; the icon is none.
        counted = fetched | {url for url in pictures if url in in_view}
        page.close()
        weights[path.name] = sum(size_of(url) for url in counted if url.startswith("file:"))
        assert path.as_uri() in counted
    assert max(weights.values()) < MOST, sorted(weights.items(), key=lambda row: row[1])


def test_the_layout_check_sees_a_shift(browser: Browser, tmp_path: Path) -> None:
    (tmp_path / "shifts.html").write_text("<!DOCTYPE html><p id=a>Down", encoding="utf-8")
    page = browser.new_page()
    page.goto((tmp_path / "shifts.html").as_uri())
    page.evaluate(DRAWN)  # what moves before it was ever drawn is no shift
    page.evaluate("() => { document.getElementById('a').style.marginTop = '200px'; }")
    page.evaluate(DRAWN)
    assert page.evaluate(SHIFTS) > STILL
    page.close()


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize("theme", THEMES)
def test_nothing_on_a_page_shifts_while_it_is_read(
    browser: Browser, themed: Callable[[str], Path], theme: str, width: int
) -> None:
    shifted = {}
    for path in one_of_each(themed(theme) / "owner"):
        page = browser.new_page(viewport={"width": width, "height": 900})
        page.goto(path.as_uri())
        shifted[path.name] = page.evaluate(SHIFTS)
        page.close()
    assert {name: shift for name, shift in shifted.items() if shift >= STILL} == {}
