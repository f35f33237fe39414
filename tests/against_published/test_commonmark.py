"""Our parser against the examples of the CommonMark specification.

Source: CommonMark Spec, version 0.31.2 (28 January 2024), `spec.txt`, as published in the npm package
`commonmark-spec` 0.31.2. The text is under CC-BY-SA 4.0 and not part of this project: it is read where
the environment variable JOURNALGEN_COMMONMARK says the package lies.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from markdown_it.token import Token

from journalgen.markup import href_of, is_allowed, parser
from tests.html_reader import tags_of, words_of

VARIABLE = "JOURNALGEN_COMMONMARK"
VERSION = "version: '0.31.2'"
EXAMPLES, RAW_HTML, REFUSED = 652, 72, 5
AS_PUBLISHED = EXAMPLES - RAW_HTML - REFUSED

_EXAMPLE = re.compile(r"^`{32} example\n(.*?)^\.\n(.*?)^`{32}$", re.MULTILINE | re.DOTALL)
_OF_MARKDOWN = {
    "p", "em", "strong", "a", "img", "code", "pre", "h1", "h2", "h3", "h4", "h5", "h6", "ul", "ol", "li", "blockquote",
    "hr", "br",
}  # fmt: skip
_ATTRIBUTES = {"href", "title", "src", "alt", "class", "start"}

pytestmark = pytest.mark.skipif(
    VARIABLE not in os.environ,
    reason=f"Set {VARIABLE} to the folder of the npm package commonmark-spec 0.31.2 (the one that holds spec.txt).",
)


@dataclass(frozen=True)
class Example:
    number: int
    markdown: str
    html: str
    raw: tuple[str, ...]  # the pieces of raw HTML in it
    refused: tuple[str, ...]  # the addresses in it that we refuse


@cache
def examples() -> tuple[Example, ...]:
    text = (Path(os.environ[VARIABLE]) / "spec.txt").read_text(encoding="utf-8")
    assert VERSION in text
    pairs = _EXAMPLE.findall(text.partition("<!-- END TESTS -->")[0].replace("→", "\t"))
    return tuple(_example(number, *pair) for number, pair in enumerate(pairs, 1))


def _example(number: int, markdown: str, html: str) -> Example:
    tokens = list(_deep(_unrestricted().parse(markdown)))
    raw = tuple(token.content for token in tokens if token.type in ("html_inline", "html_block"))
    links = (href_of(token) for token in tokens if token.type in ("link_open", "image"))
    return Example(number, markdown, html, raw, tuple(link for link in links if not is_allowed(link)))


class _Unrestricted(MarkdownIt):
    def validateLink(self, url: str) -> bool:  # noqa: N802 - the library asks by this name
        return True


@cache
def _unrestricted() -> MarkdownIt:
    """CommonMark with nothing refused: tells which examples are about what we refuse."""
    return _Unrestricted("commonmark")


def _deep(tokens: Iterable[Token]) -> Iterator[Token]:
    for token in tokens:
        yield token
        yield from _deep(token.children or ())


def _settled(html: str) -> str:
    """White space in an empty quotation says nothing; the specification's own comparison passes over it too."""
    return html.replace("<blockquote></blockquote>", "<blockquote>\n</blockquote>")


def test_every_example_without_raw_html_and_odd_schemes_comes_out_as_published() -> None:
    plain = [example for example in examples() if not example.raw and not example.refused]
    wrong = {e.number: parser().render(e.markdown) for e in plain if _settled(parser().render(e.markdown)) != e.html}
    assert wrong == {}
    assert len(plain) == AS_PUBLISHED
    assert len(examples()) == EXAMPLES


def test_every_piece_of_raw_html_comes_out_as_text() -> None:
    raw = [example for example in examples() if example.raw]
    assert len(raw) == RAW_HTML
    for example in raw:
        html = parser().render(example.markdown)
        tags = tags_of(html)
        assert {tag for tag, _ in tags} <= _OF_MARKDOWN, example.number
        assert {name for _, attributes in tags for name in attributes} <= _ATTRIBUTES, example.number
        brackets = sum(piece.count("<") for piece in example.raw)
        assert words_of(html).count("<") >= brackets, example.number
        assert all(is_allowed(attributes.get("href", "")) for _, attributes in tags), example.number


def test_every_address_that_is_refused_comes_out_as_text() -> None:
    refused = [example for example in examples() if example.refused]
    assert [example.number for example in refused] == [500, 596, 598, 599, 601]
    assert len(refused) == REFUSED
    for example in refused:
        html = parser().render(example.markdown)
        assert [tag for tag, _ in tags_of(html)] == ["p"], example.number
        assert all(link in words_of(html) for link in example.refused), example.number
