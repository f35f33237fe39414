"""A hostile journal in a real browser whose content policy is switched off: nothing runs, and nothing is asked for."""

from __future__ import annotations

import re
import shutil
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.hostile.making import faulty_journal, hostile_journal
from tests.hostile.strings import MARKUP
from tests.journals import write_journal
from tests.preview.running import running

_COUNT_HITS = "window.hits = []; window.hit = what => window.hits.push(what);"
_ODD = r"""
() => {
  const odd = [], keep = e => odd.push(e.outerHTML.slice(0, 200));
  const runs = /^[\s\x00-\x1f]*(javascript|vbscript|data(?!:image\/svg\+xml,%3Csvg)|blob)\s*:/i;
  for (const e of document.querySelectorAll("*")) {
    for (const a of e.attributes) {
      if (a.name.startsWith("on") || ["srcdoc", "formaction", "ping"].includes(a.name)) keep(e);
      if (["href", "src", "action", "xlink:href"].includes(a.name) && runs.test(a.value)) odd.push(a.value);
      if (a.name === "style" && /url\(|@import|expression/i.test(a.value)) odd.push(a.value);
    }
    const name = e.localName;
    if (["iframe", "object", "embed", "base", "math", "template", "animate"].includes(name)) keep(e);
    if (name === "script" &&
        e.type !== "application/ld+json" && !/\/(enamel|preview|search(-\w+)*)\.js$/.test(e.src)) keep(e);
    if (name === "form" && e.hasAttribute("action")) keep(e);
    if (name === "meta" && e.httpEquiv === "refresh") odd.push(e.outerHTML);
  }
  return odd;
}
"""


class Seen:
    def __init__(self, context: BrowserContext) -> None:
        self.asked: list[str] = []
        self.dialogs: list[str] = []
        context.on("request", lambda request: self.asked.append(request.url))
        context.add_init_script(_COUNT_HITS)
        self.page = context.new_page()
        self.page.on("dialog", lambda dialog: (self.dialogs.append(dialog.message), dialog.dismiss()))

    def elsewhere(self) -> list[str]:
        return [url for url in self.asked if not re.match(r"file:|data:image/|about:blank|http://127\.0\.0\.1:", url)]

    def is_quiet(self, page: Page) -> bool:
        hits, odd = page.evaluate("window.hits"), page.evaluate(_ODD)
        assert not hits, (page.url, hits)
        assert not odd, (page.url, odd)
        assert not self.dialogs
        assert not self.elsewhere(), page.url
        return True


@pytest.fixture
def seen(browser: Browser) -> Iterator[Seen]:
    context = browser.new_context(bypass_csp=True)
    yield Seen(context)
    context.close()


@pytest.fixture(scope="session")
def web(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return hostile_journal(tmp_path_factory) / "journal" / "web"


def test_the_check_sees_what_it_is_there_for(seen: Seen, tmp_path: Path) -> None:
    for text in ("<script>hit(1)</script>", "<img src=x onerror=hit(1)>", "<a href=' javascript:hit(1)'>x</a>"):
        (tmp_path / "x.html").write_text(f"<!doctype html><p>{text}")
        seen.page.goto((tmp_path / "x.html").as_uri())
        with pytest.raises(AssertionError):
            seen.is_quiet(seen.page)
    seen.page.set_content("<img src=https://outside.example/x.png>")
    with pytest.raises(AssertionError):
        seen.is_quiet(seen.page)


@pytest.mark.parametrize("half", [0, 1])
def test_no_page_runs_or_asks_for_anything(seen: Seen, web: Path, half: int) -> None:
    """Of each text the session, and every page of the whole; the others are read in tests/hostile."""
    folder = web / "owner"
    pages = [*folder.glob("*.html"), *folder.glob("sessions/*.html"), *sorted(folder.glob("parts/*-part*.html"))[::4]]
    pages += [
        *folder.glob("steps/*label?.html"),
        *folder.glob("materials/*material?.html"),
        *(web / "public").glob("*.html"),
    ]
    assert len(pages) > 140
    for page in sorted(pages)[half::2]:
        seen.page.goto(page.as_uri(), wait_until="load")
        assert seen.is_quiet(seen.page)


def test_what_is_found_by_a_search_runs_nothing(seen: Seen, web: Path) -> None:
    for n, text in enumerate(["hit", "outside", *MARKUP[:6]]):
        address = (web / "owner" / "search.html").as_uri()
        seen.page.goto(address)
        seen.page.goto(f"{address}?q={text.replace('&', '%26').replace('#', '%23').replace('<', '%3C')}")
        seen.page.wait_for_timeout(150)
        assert seen.is_quiet(seen.page)
        if n == 0:
            assert "hit(1)" in seen.page.inner_text("main")


def test_a_feed_reader_that_trusts_the_feed_runs_nothing(seen: Seen, web: Path) -> None:
    root = ET.fromstring((web / "owner" / "feed.atom").read_bytes())  # noqa: S314 - our own
    for node in root.iter("{http://www.w3.org/2005/Atom}content"):
        seen.page.set_content(node.text or "")
        assert seen.is_quiet(seen.page)


def test_problems_over_a_preview_run_nothing(
    seen: Seen, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    entries = {f"entries/{file.name}": file for file in (faulty_journal(tmp_path_factory) / "entries").iterdir()}
    journal = write_journal(tmp_path / "journal", {"entries/2024-01-01-sound.md": "---\nhours: 1\n---\n"})
    with running(journal) as preview:
        seen.page.goto(f"http://127.0.0.1:{preview.port}/")
        for name, file in entries.items():
            shutil.copy(file, journal / name)
        expect(seen.page.get_by_role("alert")).to_contain_text("hit(1)")
        assert seen.is_quiet(seen.page)
