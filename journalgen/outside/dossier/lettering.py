"""Which letters the fonts at hand can show, and what stands in place of those that they cannot.

A document that is to last must not hold a letter without a sign: it would be a gap that nobody can read. So every
letter of the dossier is tried beforehand.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Collection, Mapping
from typing import Final, TypeVar

import msgspec

from journalgen.outside.dossier.model import Document

_UNSEEN: Final = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2060-\u2064\u2066-\u206f\ufeff\ufff9-\ufffb\U000e0000-\U000e0fff]"
)
"""What drives a screen or turns the order of letters, and says nothing."""

_KEPT: Final = frozenset("\n\t ")

T = TypeVar("T")
Try = Callable[[Collection[str]], frozenset[str]]
"""Gives those of some letters that cannot be shown."""


def without_unseen(text: str) -> str:
    """The text without what cannot be seen and could make it read otherwise; what is no letter is made visible."""
    seen = _UNSEEN.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
    return seen.encode("utf-8", "replace").decode("utf-8")


def letters_of(texts: str) -> frozenset[str]:
    """Every letter that asks for a sign."""
    return frozenset(texts) - _KEPT


def substitute(letter: str) -> str:
    """What stands in place of a letter: `[U+8ECA]`."""
    return f"[U+{ord(letter):04X}]"


def name_letters(missing: Collection[str]) -> tuple[tuple[str, str], ...]:
    """Each letter with what stands for it and its name, for people."""
    rows = []
    for letter in sorted(missing):
        name = unicodedata.name(letter, "")
        rows.append((letter, f"U+{ord(letter):04X}{f' {name}' if name else ''}"))
    return tuple(rows)


def change_texts(document: Document, change: Callable[[str], str]) -> Document:
    """The document with every text changed; keys and the names of files stay."""
    return msgspec.convert(_changed(msgspec.to_builtins(document), change), Document)


_FIXED: Final = frozenset({"type", "key", "file", "style", "mark", "paper", "language", "region", "colour"})


def _changed(value: object, change: Callable[[str], str]) -> object:
    if isinstance(value, str):
        return change(value)
    if isinstance(value, dict):
        return {name: row if name in _FIXED else _changed(row, change) for name, row in value.items()}
    if isinstance(value, (list, tuple)):
        return [_changed(row, change) for row in value]
    return value


def replace_letters(missing: Collection[str]) -> Callable[[str], str]:
    """Puts their numbers in place of letters."""
    table: Mapping[int, str] = {ord(letter): substitute(letter) for letter in missing}
    return lambda text: text.translate(table)
