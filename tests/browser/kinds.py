"""Which pages stand for others: for all of their kind, or for all that look like them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from urllib.parse import urlsplit

from lxml import html
from lxml.html import HtmlElement

from journalgen.house import themes_folder

THEMES = sorted(file.parent.name for file in themes_folder().glob("*/theme.toml"))


def every_page(edition: Path) -> list[Path]:
    return sorted(edition.rglob("*.html"))


def one_of_each(edition: Path) -> list[Path]:
    """Every page that there is one of, and the largest of each kind that there are several of."""
    folders = sorted({page.parent for page in every_page(edition)} - {edition})
    return [
        *sorted(edition.glob("*.html")),
        *(max(folder.glob("*.html"), key=lambda page: page.stat().st_size) for folder in folders),
    ]


@cache
def all_looks(edition: Path) -> frozenset[Path]:
    """Pages that between them show whatever the style sheets can tell apart: no other page shows a look of its own."""
    sheets = "".join(sheet.read_text(encoding="utf-8") for sheet in edition.glob("*.css"))
    asked = {"class", *re.findall(r"\[([a-z-]+)", sheets)}
    bodies = {page: html.parse(page).getroot().body for page in every_page(edition)}
    looks = {page: set(_looks(body, asked, _name(body, asked))) for page, body in bodies.items()}
    chosen, wanted = set(), set().union(*looks.values())
    while wanted:
        best = max(looks, key=lambda page: len(looks[page] & wanted))
        chosen.add(best)
        wanted -= looks[best]
    return frozenset(chosen)


def _looks(around: HtmlElement, asked: set[str], path: str) -> Iterator[str]:
    """Each element as a selector sees it: what it is, what is around it and before it, whether it is first or last."""
    elements: Sequence[HtmlElement] = [child for child in around if isinstance(child.tag, str)]
    names = [_name(element, asked) for element in elements]
    for n, (element, name) in enumerate(zip(elements, names, strict=True)):
        place = names[n - 1] if n else "first", "last" if element is elements[-1] else ""
        yield f"{path} > {name} {place}"
        yield from _looks(element, asked, f"{path} > {name}")


def _name(element: HtmlElement, asked: set[str]) -> str:
    told = {name: urlsplit(value).scheme if name == "href" else value for name, value in element.items()}
    return f"{element.tag} {[(name, told[name]) for name in sorted(asked & told.keys())]}"
