"""The list of pages for search engines, and what a page's full address is."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from datetime import date

import pytest

from journalgen.site.sitemap import page_address, render_sitemap

MAP = "{http://www.sitemaps.org/schemas/sitemap/0.9}"


def locations(data: bytes | None) -> list[str]:
    assert data is not None
    return [loc.text or "" for loc in ET.fromstring(data).iter(f"{MAP}loc")]  # noqa: S314 - our own


def test_the_list_of_pages_has_full_addresses_of_pages_only() -> None:
    names = [
        "index.html",
        "sessions/2024-03-09-a-day.html",
        "parts/räder.html",
        "404.html",
        "feed.atom",
        "data/hours.csv",
    ]
    data = render_sitemap(names, "https://bench.example/trolley", {"index.html": date(2025, 9, 30)})
    assert locations(data) == [
        "https://bench.example/trolley/index.html",
        "https://bench.example/trolley/sessions/2024-03-09-a-day.html",
        "https://bench.example/trolley/parts/r%C3%A4der.html",
    ]
    assert [e.text for e in ET.fromstring(data or b"").iter(f"{MAP}lastmod")] == ["2025-09-30"]  # noqa: S314 - our own


def test_there_is_no_list_without_an_address_or_without_pages() -> None:
    assert render_sitemap(["index.html"], None) is None
    assert render_sitemap(["feed.atom", "404.html"], "https://bench.example") is None


def test_the_list_ends_where_the_protocol_says() -> None:
    assert len(locations(render_sitemap((f"{n}.html" for n in range(50_010)), "https://bench.example"))) == 50_000


@pytest.mark.parametrize(
    ("address", "name", "full"),
    [
        ("https://bench.example", "a.html", "https://bench.example/a.html"),
        ("https://bench.example/", "a b/c&d.html", "https://bench.example/a%20b/c%26d.html"),
        ("http://Bücher.example:81/ö", "a.html", "http://xn--bcher-kva.example:81/%C3%B6/a.html"),
        ("http://bench.example/a%20b", "a.html", "http://bench.example/a%20b/a.html"),
    ],
)
def test_a_full_address_is_written_with_the_letters_of_urls(address: str, name: str, full: str) -> None:
    assert page_address(address, name) == full
