"""What a session says in Markdown, as blocks: every text plain, every mark a style."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

from markdown_it.token import Token
from markdown_it.tree import SyntaxTreeNode

from journalgen.markup import fence_kind, parser, text_of
from journalgen.outside.dossier.model import Block, Code, Items, Paragraph, Quote, Run, Table
from journalgen.records import Session

Style = Literal["", "strong", "emphasis", "code"]


def tell_body(session: Session, photos: frozenset[str]) -> tuple[Block, ...]:
    """The blocks of a body.

    Headings become strong paragraphs, since the dossier has its own. Of photographs that are not among `photos`
    not even the words are told; where a link leads is left out, as it is in plain text. What a fence places
    stands elsewhere in the dossier.
    """
    return tuple(_blocks(SyntaxTreeNode(parser().parse(session.body)).children, photos))


def _blocks(nodes: Iterable[SyntaxTreeNode], photos: frozenset[str]) -> Iterator[Block]:
    for node in nodes:
        found = _block(node, photos)
        if found is not None:
            yield found


def _block(node: SyntaxTreeNode, photos: frozenset[str]) -> Block | None:
    if node.type == "paragraph":
        return _paragraph(_runs(node, photos))
    if node.type == "heading":
        return _paragraph(tuple(Run(run.text, "strong") for run in _runs(node, photos)))
    if node.type in ("fence", "code_block"):
        return _code(node)
    if node.type == "blockquote":
        return Quote(tuple(_blocks(node.children, photos)))
    if node.type in ("bullet_list", "ordered_list"):
        start = int(node.attrs.get("start", 1)) if node.type == "ordered_list" else None
        return Items(tuple(tuple(_blocks(item.children, photos)) for item in node.children), start)
    return _table(node, photos) if node.type == "table" else None


def _paragraph(runs: Sequence[Run]) -> Paragraph | None:
    return Paragraph(tuple(runs)) if any(run.text.strip() for run in runs) else None


def _code(node: SyntaxTreeNode) -> Code | None:
    token = node.token
    return None if token is None or fence_kind(token) else Code(node.content.rstrip("\n"))


def _table(node: SyntaxTreeNode, photos: frozenset[str]) -> Table | None:
    rows = [
        tuple("".join(run.text for run in _runs(cell, photos)) for cell in row.children)
        for part in node.children
        for row in part.children
    ]
    if not rows:
        return None
    return Table(rows[0], tuple(rows[1:]), (1.0,) * len(rows[0]))


def _runs(node: SyntaxTreeNode, photos: frozenset[str]) -> tuple[Run, ...]:
    """The running text of a paragraph, heading or cell."""
    tokens = [token for inline in node.children if inline.type == "inline" for token in inline.to_tokens()]
    return tuple(_styled([child for token in tokens for child in token.children or ()], photos))


def _styled(tokens: Iterable[Token], photos: frozenset[str]) -> Iterator[Run]:
    strong = emphasis = 0
    for token in tokens:
        strong += token.nesting if token.type.startswith("strong_") else 0
        emphasis += token.nesting if token.type.startswith("em_") else 0
        style: Style = "code" if token.type == "code_inline" else "strong" if strong else "emphasis" if emphasis else ""
        text = text_of((token,), photos)
        if text:
            yield Run(text, style)
