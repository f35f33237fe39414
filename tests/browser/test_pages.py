"""The pages in a real browser: whole, quiet, and usable with and without script."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.browser.conftest import Visiting

pytestmark = pytest.mark.browser


def kinds(site: Path) -> list[Path]:
    """Every page that there is one of, and a part and a session."""
    return [
        *sorted(site.glob("*.html")),
        site / "parts" / "chain-guard.html",
        site / "parts" / "wheel.html",
        next(iter(sorted((site / "sessions").glob("2025-09-13*.html")))),
    ]


@pytest.mark.parametrize("edition", ["owner", "public"])
def test_no_page_complains_or_asks_another_host(site: Path, visiting: Visiting, edition: str) -> None:
    pages = kinds(site / edition)
    assert len(pages) > 10
    with visiting(pages[0]) as seen:
        for path in pages:
            seen.page.goto(path.as_uri())
            assert seen.complaints == [], path.name
            assert all(url.startswith(("file:", "data:")) for url in seen.asked), path.name
            assert seen.page.locator("h1").count() == 1, path.name


@pytest.mark.parametrize("width", [320, 390, 768, 1280])
def test_no_page_is_wider_than_the_screen(site: Path, visiting: Visiting, width: int) -> None:
    with visiting(site / "owner" / "index.html", width=width) as seen:
        for path in kinds(site / "owner"):
            seen.page.goto(path.as_uri())
            assert seen.page.evaluate("document.documentElement.scrollWidth") <= width, path.name


def test_every_picture_on_a_part_page_is_shown(site: Path, visiting: Visiting) -> None:
    with visiting(site / "public" / "parts" / "chain-guard.html") as seen:
        for picture in seen.page.locator("main img").all():
            picture.scroll_into_view_if_needed()
            assert picture.evaluate("async image => { await image.decode(); return image.naturalWidth }") > 0
    assert any(url.endswith(".avif") for url in seen.asked)


def test_pages_read_without_script(site: Path, visiting: Visiting) -> None:
    with visiting(site / "public" / "pairs.html", script=False) as seen:
        both = seen.page.locator(".pair-view").first.locator("img")
        boxes = [image.bounding_box() for image in both.all()]
        assert len(boxes) == 2
        assert boxes[0] is not None
        assert boxes[1] is not None
        assert boxes[0]["x"] + boxes[0]["width"] <= boxes[1]["x"] + 1  # side by side, neither covers the other


def test_following_the_contents_from_the_index_reaches_every_page(site: Path, visiting: Visiting) -> None:
    with visiting(site / "owner" / "index.html") as seen:
        links = [link.get_attribute("href") or "" for link in seen.page.locator("nav.contents a").all()]
        assert len(links) >= 9
        for link in links:
            seen.page.goto((site / "owner" / link).as_uri())
            assert seen.page.locator("nav.contents a[aria-current]").count() == 1, link
