"""Bodies to HTML: references become links, placed elements and photographs come from the page that asks.

The tokens of the one parser are changed to what the page shows and then written out by it, so that
every text and every attribute is escaped in one place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from html import escape
from typing import Final
from urllib.parse import unquote

from markdown_it.token import Token
from msgspec import Struct, field
from msgspec.structs import replace

from journalgen.markup import (
    WEB_SCHEMES,
    fence_kind,
    href_of,
    own_target,
    parser,
    photo_file,
    says_anything,
    scheme_of,
    text_of,
)
from journalgen.records import Block, Session

_LEVELS_ABOVE: Final = 2
"""The page's title and its field stand above the headings of a body."""

_LOWEST: Final = 6
_CELLS: Final = {"th_open", "td_open"}

LinkTo = Callable[[str, str], str | None]
Placed = Callable[[Block], str | None]
PictureOf = Callable[[str], str | None]


class _Wishes(Struct, frozen=True):
    """What a body asks of whoever shows it."""

    link: LinkTo
    block: Placed
    picture: PictureOf
    relative: bool  # whether a relative address leads anywhere from where the body is shown
    before_table: str = ""
    after_table: str = ""


def render_body(
    session: Session, link: LinkTo, block: Placed, picture: PictureOf, *, table_label: str = "Table"
) -> str:
    """The HTML of a session's body.

    `link` gives the address for a kind (part or session) and target, or None for the text alone.
    `block` gives the HTML of a placed element, empty to leave it out, or None for its fence as code.
    `picture` gives the HTML of a photograph, by its file below photos/, or None for the alternative
    text. Pictures stand below the paragraph that asks for them, so they may be figures.
    `table_label` names the group in which a wide table scrolls.
    """
    before = f'<div class="scroll" role="group" aria-label="{escape(table_label)}" tabindex="0">\n'
    return _render(session, _Wishes(link, block, picture, True, before, "</div>\n"))


def _nothing_placed(block: Block) -> str:
    return ""


def _no_picture(file: str) -> None:
    return None


def render_for_feed(
    session: Session, absolute: LinkTo, block: Placed = _nothing_placed, picture: PictureOf = _no_picture
) -> str:
    """The HTML of a session's body for a reader outside the site.

    As `render_body`, but relative links are only their text, since they would lead nowhere; placed
    elements are left out and pictures told in words unless HTML for them is handed in.
    """
    return _render(session, _Wishes(absolute, block, picture, False))


class _Asking(Struct):
    """Passes on what a body asks for, and notes it."""

    wishes: _Wishes
    addresses: list[tuple[str, str, str | None]] = field(default_factory=list)
    for_more: bool = False  # for pictures or elements, of which whoever shows them takes note

    def link(self, kind: str, target: str) -> str | None:
        found = self.wishes.link(kind, target)
        self.addresses.append((kind, target, found))
        return found

    def block(self, block: Block) -> str | None:
        self.for_more = True
        return self.wishes.block(block)

    def picture(self, file: str) -> str | None:
        self.for_more = True
        return self.wishes.picture(file)


class _Shown(Struct, frozen=True):
    """A body that asked for nothing but addresses, as HTML."""

    addresses: Sequence[tuple[str, str, str | None]]  # kind and target, with the answer
    html: str


_REMEMBERED: Final = 4096  # bodies
_SHOWN: Final[dict[tuple[str, int, bool, str], _Shown]] = {}
"""The second edition most often shows a body as the first did."""


def _render(session: Session, wishes: _Wishes) -> str:
    key = (session.body, len(session.blocks), wishes.relative, wishes.before_table)
    shown = _SHOWN.get(key)
    if shown and all(wishes.link(kind, target) == answer for kind, target, answer in shown.addresses):
        return shown.html
    markdown, asking = parser(), _Asking(wishes)
    asked = replace(wishes, link=asking.link, block=asking.block, picture=asking.picture)
    tokens = list(_settle(markdown.parse(session.body), asked, iter(session.blocks)))
    html = str(markdown.renderer.render(tokens, markdown.options, {}))
    if not asking.for_more:
        if len(_SHOWN) >= _REMEMBERED:
            _SHOWN.clear()
        _SHOWN[key] = _Shown(asking.addresses, html)
    return html


def _settle(tokens: Sequence[Token], wishes: _Wishes, blocks: Iterator[Block]) -> Iterator[Token]:
    """The tokens as the page shows them."""
    held: list[Token] = []  # pictures, until the paragraph or heading that asked for them is closed
    for i, token in enumerate(tokens):
        if token.type == "inline":
            held = _settle_inline(token, wishes)
            if not says_anything(token.children or ()):
                token.children = []
                _hide_frame(tokens[i - 1], tokens[i + 1])
            yield token
            if tokens[i - 1].type not in _CELLS:
                continue
        else:
            yield from _settle_block(token, wishes, blocks)
        yield from held
        held = []


def _settle_block(token: Token, wishes: _Wishes, blocks: Iterator[Block]) -> Iterator[Token]:
    if token.type in ("heading_open", "heading_close"):
        token.tag = f"h{min(int(token.tag[1:]) + _LEVELS_ABOVE, _LOWEST)}"
    elif token.type in _CELLS:
        _settle_cell(token)
    elif token.type == "table_open" and wishes.before_table:
        yield _html(wishes.before_table)
    elif token.type == "fence":
        token = _settle_fence(token, wishes, blocks)
    yield token
    if token.type == "table_close" and wishes.after_table:
        yield _html(wishes.after_table)


def _settle_cell(token: Token) -> None:
    """Columns of figures keep their side; a style in the page itself would need leave of its security policy."""
    right = token.attrs.pop("style", None) == "text-align:right"
    if token.type == "th_open":
        token.attrs["scope"] = "col"
    if right:
        token.attrs["class"] = "n"


def _settle_fence(token: Token, wishes: _Wishes, blocks: Iterator[Block]) -> Token:
    """The placed element; else the fence as it is, without the name of its language."""
    block = next(blocks, None) if fence_kind(token) else None
    shown = wishes.block(block) if block else None
    token.info = ""
    return token if shown is None else _html(f"{shown}\n")


def _settle_inline(inline: Token, wishes: _Wishes) -> list[Token]:
    """Settles links and takes the pictures out of inline text; gives the pictures."""
    pictures: list[Token] = []
    kept: list[Token] = []
    for token in inline.children or ():
        if token.type != "image":
            kept.append(token)
            continue
        file = photo_file(unquote(href_of(token)))
        shown = wishes.picture(file) if file else None
        if shown is not None:
            pictures.append(_html(f"{shown}\n"))
        elif alt := text_of(token.children or ()).strip():
            kept.append(_html(f'<span class="no-picture">{escape(alt)}</span>'))
    inline.children = list(_settle_links(kept, wishes))
    return pictures


def _settle_links(tokens: Sequence[Token], wishes: _Wishes) -> Iterator[Token]:
    """The tokens without the links that lead nowhere or hold nothing; what they say stays."""
    shown: list[bool] = []
    for i, token in enumerate(tokens):
        if token.type == "link_open":
            shown.append(tokens[i + 1].type != "link_close" and _settle_link(token, wishes))
            if not shown[-1]:
                continue
        elif token.type == "link_close" and not shown.pop():
            continue
        yield token


def _settle_link(token: Token, wishes: _Wishes) -> bool:
    """Whether the link leads anywhere; gives it its address."""
    written = href_of(token)
    own = own_target(written)
    scheme = scheme_of(written)
    address = wishes.link(*own) if own else written if scheme or wishes.relative else None
    if address is None:
        return False
    token.attrs["href"] = address
    if own:  # what paper shows beside the words, since nothing can be followed there
        token.attrs["data-leads"] = address.removeprefix("../")
    if scheme in WEB_SCHEMES:
        token.attrs["rel"] = "noopener noreferrer"
    return True


def _hide_frame(opening: Token, closing: Token) -> None:
    """A paragraph of nothing but pictures is no paragraph, and a heading without words is none. A cell stays."""
    if opening.type not in _CELLS:
        opening.hidden = closing.hidden = True


def _html(text: str) -> Token:
    return Token("html_block", "", 0, content=text, block=True)
