"""The one reading of Markdown: what a body may hold, and what in it points to something else.

CommonMark with tables. Raw HTML is text. A link leads to a web page, a mail address, a telephone
number, a place in the site, or by `part:` and `session:` to another page of the journal; whatever
names any other scheme is text as well.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache, lru_cache
from typing import Final
from urllib.parse import unquote

from markdown_it import MarkdownIt
from markdown_it.rules_inline import StateInline, autolink, image, link
from markdown_it.token import Token
from msgspec import Struct

from journalgen.records import Reference
from journalgen.values import Place

KINDS: Final = ("pair", "photos", "measure")
"""First words of the info string of a fence that places an element."""

OWN_SCHEMES: Final = ("part", "session")
WEB_SCHEMES: Final = frozenset({"http", "https"})
SCHEMES: Final = frozenset({*OWN_SCHEMES, *WEB_SCHEMES, "mailto", "tel"})

_LINE_ENDS: Final = re.compile(r"\r\n?|\n")
_SCHEME: Final = re.compile(r"([^/?#:]*):")
_OWN_AUTOLINK: Final = re.compile(rf"<(?:{'|'.join(OWN_SCHEMES)}):", re.IGNORECASE)
_PHOTOS: Final = re.compile(r"(?:\.{1,2}/)*photos/")
# Browsers drop control characters and spaces around and, some of them, within a scheme.
_UNSEEN: Final = re.compile(r"[\x00-\x20\x7f-\xa0\xad\u200b-\u200f\u2028-\u202f\u2060-\u2064\ufeff]+")
_REMEMBERED: Final = 4096  # bodies; the data and the search ask for the same ones again at every change
_BEGINS: Final = "begins"  # the key in a token's meta

Rule = Callable[[StateInline, bool], bool]


class Fence(Struct, frozen=True):
    """A fenced block that places an element."""

    kind: str  # pair, photos or measure
    content: str
    line: int  # of the file, of the opening fence


class ImageUse(Struct, frozen=True):
    """A picture that a body asks for."""

    target: str  # as written, percent-decoded
    alt: str  # plain text
    line: int  # of the file


class _Parser(MarkdownIt):
    def validateLink(self, url: str) -> bool:  # noqa: N802 - the library asks by this name
        return is_allowed(url)


@cache
def parser() -> MarkdownIt:
    """The Markdown parser of readers and pages alike; it keeps nothing between two bodies."""
    found = _Parser("commonmark", {"html": False}).enable("table")
    found.inline.ruler.at("link", _noting("link_open", link))
    found.inline.ruler.at("image", _noting("image", image))
    found.inline.ruler.at("autolink", _autolink)
    return found


def _noting(kind: str, rule: Rule) -> Rule:
    """The rule, which now also notes on its token at which letter of the inline text it begins."""

    def noting(state: StateInline, silent: bool) -> bool:
        begins, before = state.pos, len(state.tokens)
        found = rule(state, silent)
        if found and not silent:
            next(token for token in state.tokens[before:] if token.type == kind).meta[_BEGINS] = begins
        return found

    return noting


def _autolink(state: StateInline, silent: bool) -> bool:
    # `<part:front-wheel>` would show its target for a text, so references are written with one.
    return _OWN_AUTOLINK.match(state.src, state.pos) is None and autolink(state, silent)


def is_allowed(address: str) -> bool:
    """Whether a link or picture may name this address.

    It is judged as written and percent-decoded, without what browsers pass over. What stands before
    a colon ahead of any `/`, `?` or `#` can only be a scheme (RFC 3986, section 4.2). An address that
    begins with `//` takes its scheme from the page, which from a memory stick is that of files.
    """
    return all(_is_allowed_as_read(text) for text in (address, unquote(address)))


def _is_allowed_as_read(address: str) -> bool:
    seen = _UNSEEN.sub("", address).replace("\\", "/")
    if seen.startswith("//"):
        return False
    scheme = _SCHEME.match(seen)
    return scheme is None or scheme[1].lower() in SCHEMES


def scheme_of(address: str) -> str | None:
    """The scheme of an address that is allowed, in small letters; None where it is relative."""
    scheme = _SCHEME.match(address)
    return scheme[1].lower() if scheme else None


def own_target(address: str) -> tuple[str, str] | None:
    """The kind and the percent-decoded target of a `part:` or `session:` link; None for any other address."""
    scheme = scheme_of(address)
    if scheme not in OWN_SCHEMES:
        return None
    return scheme, unquote(address.partition(":")[2]).strip()


def href_of(token: Token) -> str:
    """Where a link or picture leads."""
    return str(token.attrGet("src" if token.type == "image" else "href") or "")


def photo_file(target: str) -> str | None:
    """The file below photos/ that a picture's percent-decoded target names; None where it leads elsewhere.

    `photos/x.jpg` and `../../photos/2024/x.jpg` are as other Markdown viewers need it, `x.jpg` is as
    the front matter has it.
    """
    written = target.strip().replace("\\", "/")
    if scheme_of(written) or written.startswith("/"):
        return None
    found = posixpath.normpath(_PHOTOS.sub("", written, count=1) if _PHOTOS.match(written) else written)
    return None if found == ".." or found.startswith(("../", "/")) or found == "." else found


def fence_kind(token: Token) -> str | None:
    """Which element a fence places: pair, photos or measure; None for a fence that is only text."""
    if token.type != "fence":
        return None
    first = token.info.split(maxsplit=1)[:1]
    kind = first[0].lower() if first else ""
    return kind if kind in KINDS else None


@lru_cache(maxsize=1)
def _parse(body: str) -> list[Token]:
    """The tokens of a body, to be looked at only: whoever reads an entry asks for them several times in a row."""
    return parser().parse(body)


def find_fences(body: str, first_line: int) -> tuple[Fence, ...]:
    """The fences that place an element, in order, those in lists and quotes too.

    `first_line` is the line of the file on which the body begins.
    """
    return tuple(
        Fence(kind, token.content, first_line + (token.map[0] if token.map else 0))
        for token in _parse(body)
        if (kind := fence_kind(token))
    )


def find_references(body: str, file: str, first_line: int) -> tuple[Reference, ...]:
    """The links to parts and sessions, in order, each with its place in the file.

    The column is 1 where it cannot be told, as in a table.
    """
    lines = _LINE_ENDS.split(body)
    found = []
    for inline, token in _inline_tokens(body, "link_open"):
        own = own_target(href_of(token))
        if own:
            line = _line_of(inline, token)
            column = _column_of(inline, token, lines[line] if line < len(lines) else "")
            found.append(Reference(Place(file, first_line + line, column), *own))
    return tuple(found)


def find_images(body: str, first_line: int) -> tuple[ImageUse, ...]:
    """The pictures that a body asks for, in order."""
    return tuple(
        ImageUse(unquote(href_of(token)), text_of(token.children or ()), first_line + _line_of(inline, token))
        for inline, token in _inline_tokens(body, "image")
    )


def _inline_tokens(body: str, kind: str) -> Iterator[tuple[Token, Token]]:
    """The tokens of one kind, each with the inline text that it stands in."""
    for inline in _parse(body):
        for token in inline.children or ():
            if token.type == kind:
                yield inline, token


def _line_of(inline: Token, token: Token) -> int:
    """The line of the body, from 0. Inline text keeps the line ends of its source."""
    before = inline.content[: token.meta.get(_BEGINS, 0)].count("\n")
    return (inline.map[0] if inline.map else 0) + before


def _column_of(inline: Token, token: Token, source: str) -> int:
    """The column of the file, from 1: where the inline text of that line stands once in the source."""
    begins = token.meta.get(_BEGINS, 0)
    start = inline.content.rfind("\n", 0, begins) + 1
    shown = inline.content[start:].partition("\n")[0]
    return source.index(shown) + begins - start + 1 if shown and source.count(shown) == 1 else 1


def text_of(children: Iterable[Token], photos: frozenset[str] | None = None) -> str:
    """Inline text without its marks: pictures by their alternative text, line ends as spaces.

    Where `photos` are given, files below photos/, any other photograph of the journal is not told of.
    """
    said = []
    for token in children:
        if token.type in ("text", "code_inline"):
            said.append(token.content)
        elif token.type == "image" and _is_told(token, photos):
            said.append(text_of(token.children or (), photos))
        elif token.type in ("softbreak", "hardbreak"):
            said.append(" ")
    return "".join(said)


def _is_told(image: Token, photos: frozenset[str] | None) -> bool:
    file = photo_file(unquote(href_of(image)))
    return photos is None or file is None or file in photos


def plain_text(body: str, photos: frozenset[str] | None = None) -> str:
    """What a body says, a line for each paragraph, item, cell or block of code.

    Targets of links and pictures are not in it, nor is what a fence places. Where `photos` are
    given, files below photos/, the words that describe any other photograph are not in it either.
    """
    return _plain_text(str(body), photos)  # of a text that has a kind of its own nothing would be remembered


@lru_cache(maxsize=_REMEMBERED)
def _plain_text(body: str, photos: frozenset[str] | None) -> str:
    said = (_said(token, photos) for token in _parse(body))
    return "\n".join(text for text in said if text)


def _said(token: Token, photos: frozenset[str] | None) -> str:
    if token.type == "inline":
        return text_of(token.children or (), photos).strip()
    if token.type in ("fence", "code_block") and not fence_kind(token):
        return token.content.rstrip("\n")
    return ""


def says_anything(children: Sequence[Token]) -> bool:
    """Whether inline text shows anything at all."""
    return any(token.content.strip() for token in children)
