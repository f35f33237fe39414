"""Reads HTML as a browser's parser would tokenise it, and tells what in it could act."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import Final

Tag = tuple[str, dict[str, str]]

ACTIVE: Final = frozenset({
    "script", "iframe", "frame", "object", "embed", "applet", "style", "link", "meta", "base", "form", "input",
    "button", "textarea", "select", "svg", "math", "video", "audio", "source", "template", "portal", "img", "noscript",
})  # fmt: skip
SCHEMES: Final = frozenset({"http", "https", "mailto", "tel"})


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[Tag] = []
        self.ends: list[str] = []
        self.other: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        self.ends.append(tag)

    def handle_data(self, data: str) -> None:
        self.text.append(data)

    def handle_comment(self, data: str) -> None:
        self.other.append(data)

    def handle_decl(self, decl: str) -> None:
        self.other.append(decl)

    def handle_pi(self, data: str) -> None:
        self.other.append(data)

    def unknown_decl(self, data: str) -> None:
        self.other.append(data)


def _read(html: str) -> _Reader:
    reader = _Reader()
    reader.feed(html)
    reader.close()
    return reader


def tags_of(html: str) -> list[Tag]:
    """Every start tag with its attributes, in order."""
    return _read(html).tags


def links_of(html: str) -> list[str]:
    return [attributes["href"] for tag, attributes in tags_of(html) if tag == "a"]


def words_of(html: str) -> str:
    """What is left for a person to read."""
    return "".join(_read(html).text)


def active(html: str) -> list[str]:
    """What could run, load or lead to an odd scheme: nothing, if the HTML is safe."""
    reader = _read(html)
    found = [f"<!{text}>" for text in reader.other]
    for tag, attributes in reader.tags:
        if tag in ACTIVE:
            found.append(f"<{tag}>")
        for name, value in attributes.items():
            if name.startswith("on") or name in ("style", "srcdoc", "formaction", "srcset", "src", "ping"):
                found.append(f"{tag} {name}")
            if name == "href" and _scheme(value) not in SCHEMES | {""}:
                found.append(value)
    return found


def _scheme(address: str) -> str:
    """As a browser finds it: control characters and spaces do not count, case neither."""
    seen = "".join(c for c in address if c > " ").replace("\\", "/")
    if seen.startswith("//"):
        return "(of the page)"
    before, colon, _ = seen.partition(":")
    return before.lower() if colon and not set("/?#") & set(before) else ""
