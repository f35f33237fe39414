"""The example journal's site in a real browser, opened from its folder as by a double-click."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

_NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
# What a browser asks of other computers on its own account would hide what a page asks for.
_QUIET = ["--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run"]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    found = next((path for name in _NAMES if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip("no Chromium is installed")
    root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=found, args=[*_QUIET, *root])
        yield running
        running.close()


@dataclass
class Visit:
    """A page with everything it complained of and asked for."""

    page: Page
    complaints: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)


Visiting = Callable[..., AbstractContextManager[Visit]]


@pytest.fixture
def visiting(browser: Browser) -> Visiting:
    @contextmanager
    def visit(path: Path, *, width: int = 1280, scheme: str = "light", script: bool = True) -> Iterator[Visit]:
        context = browser.new_context(
            viewport={"width": width, "height": 900},
            color_scheme="dark" if scheme == "dark" else "light",
            java_script_enabled=script,
        )
        seen = Visit(context.new_page())
        seen.page.on("console", lambda m: seen.complaints.append(m.text) if m.type in ("error", "warning") else None)
        seen.page.on("pageerror", lambda fault: seen.complaints.append(str(fault)))
        seen.page.on("request", lambda request: seen.asked.append(request.url))
        seen.page.goto(path.as_uri())
        yield seen
        context.close()

    return visit
