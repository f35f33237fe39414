"""Links of a site's pages that lead to no file of it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from posixpath import dirname, join, normpath
from urllib.parse import unquote


def find_broken(page: str, links: Iterable[str], site: Collection[str]) -> Iterator[str]:
    """Those of a page's links, as they are written, that lead nowhere."""
    for link in sorted(links):
        aim = resolve(page, link)
        if aim not in site and (f"{aim}/index.html" if aim != "." else "index.html") not in site:
            yield link


def resolve(page: str, link: str) -> str:
    """The file that a link on a page leads to, by its name in the site; beginning with `..` where it leads out."""
    path = unquote(link)
    return normpath(path.lstrip("/") or ".") if path.startswith("/") else normpath(join(dirname(page), path))
