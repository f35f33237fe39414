"""The list of pages for search engines, and what a page's full address is."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterable, Mapping
from datetime import date
from itertools import islice
from types import MappingProxyType
from typing import Final
from urllib.parse import quote, urlsplit, urlunsplit

_SCHEMA: Final = "http://www.sitemaps.org/schemas/sitemap/0.9"
"""A name that the protocol gives; nothing is asked of that place."""

_MOST: Final = 50_000
"""Pages of one list, by the protocol."""

_NOT_FOUND: Final = "404.html"
_UNRESERVED: Final = "-._~!$&'()*+,;=:@/%"
_NO_DAYS: Final[Mapping[str, date]] = MappingProxyType({})


def page_address(address: str, name: str) -> str:
    """The full address of a file of the site in the letters that URLs are written with (RFC 3986).

    `address` is where the edition lives, `name` the file from the site's root with forward slashes.
    """
    place = urlsplit(address)
    folder = quote(place.path.rstrip("/"), safe=_UNRESERVED)
    return urlunsplit((place.scheme, ascii_host(place.netloc), f"{folder}/{quote(name)}", "", ""))


def ascii_host(host: str) -> str:
    """The host as names are looked up: `xn--...` for letters beyond ASCII; as written where it has no such form."""
    if host.isascii():
        return host.lower()
    try:
        return host.encode("idna").decode("ascii").lower()
    except UnicodeError:
        return quote(host, safe=_UNRESERVED)


def render_sitemap(names: Iterable[str], address: str | None, lastmod: Mapping[str, date] = _NO_DAYS) -> bytes | None:
    """`sitemap.xml` after the protocol of sitemaps.org, version 0.9; None where it would not be valid.

    `names` are files from the site's root, of which only pages are listed; `lastmod` says of some on
    which day they last changed. The protocol asks for full addresses and at least one page, so
    without an address, or without pages, there is no list.
    """
    pages = islice((name for name in names if name.endswith(".html") and name != _NOT_FOUND), _MOST)
    root = ET.Element("urlset", {"xmlns": _SCHEMA})
    for name in pages if address else ():
        row = ET.SubElement(root, "url")
        ET.SubElement(row, "loc").text = page_address(address or "", name)
        if name in lastmod:
            ET.SubElement(row, "lastmod").text = lastmod[name].isoformat()
    if not len(root):
        return None
    return as_document(root)


def as_document(root: ET.Element) -> bytes:
    """An XML document of one root, in UTF-8, indented."""
    ET.indent(root)
    text: bytes = ET.tostring(root, encoding="utf-8", xml_declaration=True)
    return text + b"\n"
