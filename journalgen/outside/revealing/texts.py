"""The words that a file of a site holds for whoever reads it, and the links of its pages."""

from __future__ import annotations

import html
import re
from typing import Final

_MARKED: Final = (".html", ".htm", ".xml", ".atom", ".svg")
_PLAIN: Final = (".json", ".csv", ".js", ".txt", ".ics", ".md", ".webmanifest")
_OMIT: Final = re.compile(r"<style\b.*?</style>|<script\b(?![^>]*ld\+json)[^>]*>.*?</script>|<!--.*?-->", re.S | re.I)
_TAG: Final = re.compile(r"<[!/]?[a-zA-Z?][^<>]*>")
_INLINE: Final = re.compile(
    r"</?(?:a|abbr|b|bdi|code|del|em|i|ins|kbd|mark|q|s|small|span|strong|sub|sup|time|u)(?:\s[^<>]*)?>", re.I
)
_SAYING: Final = re.compile(r"""\b(?:alt|title|content|aria-label|placeholder)\s*=\s*(?:"([^"]*)"|'([^']*)')""", re.I)
_CONTACT: Final = re.compile(r"""\bhref\s*=\s*["'](?:mailto|tel|geo):([^"']*)["']""", re.I)
_SAID: Final = re.compile(r'"(?:[^"\\\n]|\\.)*? (?:[^"\\\n]|\\.)*"')  # what has a space is said to somebody
_LINK: Final = re.compile(r"""<[a-zA-Z][^<>]*?\s(?:href|src|poster)\s*=\s*(?:"([^"]*)"|'([^']*)')""", re.I)
_SET: Final = re.compile(r"""\ssrcset\s*=\s*(?:"([^"]*)"|'([^']*)')""", re.I)


def holds_words(name: str) -> bool:
    """Whether a file is one that words can be read out of."""
    return name.lower().endswith((*_MARKED, *_PLAIN))


def is_page(name: str) -> bool:
    """Whether a file is a page."""
    return name.lower().endswith((".html", ".htm"))


def read_words(name: str, data: bytes) -> str:
    """The words of a file; a line for every piece of text that stands by itself."""
    text = data.decode("utf-8", "replace")
    if name.lower().endswith(".js"):
        text = "\n".join(_SAID.findall(text))
    if not name.lower().endswith(_MARKED):
        return text.replace("\\n", "\n").replace('\\"', '"')
    words = _strip(text)
    return _strip(words) if name.lower().endswith(".atom") else words  # whose pages are wrapped up once more


def _strip(text: str) -> str:
    """The words between tags, then those that tags themselves say; a tag inside a sentence is nothing."""
    text = _OMIT.sub("\n", text)
    said = [one or other for one, other in _SAYING.findall(text)] + _CONTACT.findall(text)
    return html.unescape("\n".join((_TAG.sub("\n", _INLINE.sub("", text)), *dict.fromkeys(said))))


def read_links(data: bytes) -> frozenset[str]:
    """Every link of a page within its site, as it is written, without what leads to a place on a page."""
    text = _OMIT.sub("", data.decode("utf-8", "replace")) if b"<script" not in data else _without_code(data)
    found = [one or other for one, other in _LINK.findall(text)]
    for one, other in _SET.findall(text):
        found += [piece.split()[0] for piece in (one or other).split(",") if piece.split()]
    links = (html.unescape(link).partition("#")[0].partition("?")[0] for link in found)
    return frozenset(link for link in links if link and not re.match(r"[a-zA-Z][a-zA-Z0-9+.-]*:|//", link))


def _without_code(data: bytes) -> str:
    """The page with its scripts' tags, whose code is no markup."""
    return re.sub(r"(<script\b[^>]*>).*?</script>", r"\1", data.decode("utf-8", "replace"), flags=re.S | re.I)
