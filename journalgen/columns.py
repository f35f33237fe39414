"""How wide a text stands on a terminal, which is not how many letters it has: padded, cut and wrapped by columns.

A Chinese letter takes two columns, an accent that is written by itself takes none. What is counted
here has no control characters any more; `terminal.safe` takes them out.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Final

ELLIPSIS: Final = "\u2026"
_NARROW: Final = re.compile("[ -\u00ac\u00ae-\u02ff\u2010-\u2027\u20ac]*")
"""Letters and signs of Europe, each of one column: what most texts are made of."""


def width(text: str) -> int:
    """The columns that a text takes."""
    if text.isascii() or _NARROW.fullmatch(text):
        return len(text)
    import wcwidth  # only who writes beyond these pays for it

    return max(int(wcwidth.wcswidth(text)), 0)


def letters(text: str) -> Iterator[str]:
    """The letters as a reader sees them, each with the accents that stand on it."""
    if _NARROW.fullmatch(text):
        yield from text
        return
    import wcwidth

    yield from wcwidth.iter_graphemes(text)


def left(text: str, columns: int) -> str:
    """The text at the left of so many columns."""
    return text + " " * (columns - width(text))


def right(text: str, columns: int) -> str:
    """The text at the right of so many columns."""
    return " " * (columns - width(text)) + text


def fitting(text: str, columns: int) -> str:
    """As many letters from the beginning as fit."""
    return "".join(_fitting(letters(text), columns))


def fitting_end(text: str, columns: int) -> str:
    """As many letters from the end as fit."""
    return "".join(reversed(list(_fitting(reversed(list(letters(text))), columns))))


def _fitting(letters: Iterable[str], columns: int) -> Iterator[str]:
    at = 0
    for letter in letters:
        at += width(letter)
        if at > columns:
            return
        yield letter


def cut(text: str, columns: int) -> str:
    """The text, or its beginning with an ellipsis where it is too wide."""
    return text if width(text) <= columns else fitting(text, columns - 1) + ELLIPSIS


def wrap(text: str, columns: int, first: str = "", rest: str | None = None) -> list[str]:
    """The words on lines of at most so many columns, `first` before the first line and `rest` before the others.

    A word that is wider than a line is broken.
    """
    following = first if rest is None else rest
    lines, line, at, before = [], "", 0, first
    room = columns - width(before)
    for word in text.split():
        taken = width(word)
        if line and at + 1 + taken <= room:
            line, at = f"{line} {word}", at + 1 + taken
            continue
        if line:
            lines.append(before + line)
            before, room = following, columns - width(following)
        while taken > room:
            piece = fitting(word, room) or next(letters(word))
            lines.append(before + piece)
            word, before, room = word[len(piece) :], following, columns - width(following)
            taken = width(word)
        line, at = word, taken
    return [*lines, before + line] if line else lines
