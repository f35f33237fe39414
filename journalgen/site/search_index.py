"""The search index: how a text becomes words, and how the words of all entries are written small for the script.

The theme's script folds and splits what is typed by the same rules, with the same table, and reads
back what `encode` wrote; `tests/browser/test_search.py` holds both against each other.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Final

from msgspec import Struct

LETTERS: Final = {
    "ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ħ": "h", "ŧ": "t", "ŋ": "n",
    "ı": "i", "ĸ": "k", "ς": "σ",
}  # fmt: skip
"""Small letters that do not come apart into a letter and its mark, and what people type for them."""

_WORD: Final = re.compile(r"[^\W_]+")
_SIGNS: Final = "".join(chr(n) for n in range(32, 127) if chr(n) not in "'\\")
"""What a string in single quotes holds as it is, a byte each."""

_BITS: Final = 13
"""Bits that two signs hold: 93 times 93 is a little over 2 to the 13th."""

_LONGEST_SHARED: Final = 25


def fold(text: str) -> str:
    """The text without what a person may type either way: case, accents, soft hyphens, letters with two spellings.

    >>> fold("Größe, Łódź, ŒUVRE")
    'grosse, lodz, oeuvre'
    """
    bare = _without_marks(unicodedata.normalize("NFKD", text)).lower()
    return "".join(LETTERS.get(letter, letter) for letter in _without_marks(bare))


def _without_marks(text: str) -> str:
    """Without combining marks, and without what only steers how a text is set."""
    return "".join(c for c in text if unicodedata.category(c) not in ("Mn", "Mc", "Me", "Cf"))


def split(text: str) -> list[str]:
    """The folded words of a text, in order: runs of letters and figures."""
    return [word for run in text.split() for word in _split_run(run)]


@lru_cache(maxsize=65536)  # an entry says the same words again and again
def _split_run(text: str) -> tuple[str, ...]:
    return tuple(_WORD.findall(text.lower() if text.isascii() else fold(text)))


class Encoded(Struct, frozen=True):
    """An index as the script reads it."""

    words: str
    entries: str
    count: int  # of entries


def index_texts(texts: Iterable[Iterable[str]]) -> dict[str, list[int]]:
    """For each word the entries it stands in, ascending; both in order. `texts` are those of each entry."""
    found: dict[str, list[int]] = {}
    for number, of_entry in enumerate(texts):
        for word in {word for text in of_entry for word in split(text)}:
            found.setdefault(word, []).append(number)
    return dict(sorted(found.items()))


def encode(index: Mapping[str, Sequence[int]], count: int) -> Encoded:
    """Writes an index of so many entries small. Its words must be folded, and each must stand somewhere."""
    bits: list[str] = []
    for word in sorted(index):
        _add_list(bits, index[word], count)
    return Encoded(_front_code(sorted(index)), _as_signs("".join(bits)), count)


def decode(encoded: Encoded) -> dict[str, list[int]]:
    """The index again, as the script reads it."""
    bits = _Bits(_from_signs(encoded.entries))
    return {word: _read_list(bits, encoded.count) for word in _words(encoded.words)}


def script(encoded: Encoded) -> str:
    """The file that hands the index to the theme's script, with the table by which it folds."""
    letters = json.dumps(LETTERS, ensure_ascii=False, separators=(",", ":"))
    return (
        f"journalIndex({{letters:{letters},count:{encoded.count},\n"
        f"words:'{encoded.words}',\nentries:'{encoded.entries}'}});\n"
    )


def _front_code(words: Iterable[str]) -> str:
    """Each word as a capital, for how many letters it shares with the one before it, and the rest.

    A folded word has no capitals, so nothing need stand between two words.
    """
    written, before = [], ""
    for word in words:
        shared = 0
        while shared < min(len(word), len(before), _LONGEST_SHARED) and word[shared] == before[shared]:
            shared += 1
        written.append(chr(ord("A") + shared) + word[shared:])
        before = word
    return "".join(written)


def _words(written: str) -> list[str]:
    words, before = [], ""
    for piece in re.findall("[A-Z][^A-Z]*", written):
        before = before[: ord(piece[0]) - ord("A")] + piece[1:]
        words.append(before)
    return words


# A list of entries is its length (Elias' gamma code), then its entries by binary interpolation: the
# middle one as a place between the lowest and the highest it can be, then those before it and those
# after it in the same way. A word that stands in all of them costs nothing but its length.


def _add_list(bits: list[str], numbers: Sequence[int], count: int) -> None:
    length = f"{len(numbers):b}"
    bits.append("0" * (len(length) - 1) + length)
    _add_interpolated(bits, numbers, (0, len(numbers)), 0, count - 1)


def _add_interpolated(
    bits: list[str], numbers: Sequence[int], part: tuple[int, int], lowest: int, highest: int
) -> None:
    """Adds a part of the numbers, which lie between the lowest and the highest there can be."""
    start, end = part
    middle = (start + end) // 2
    number = numbers[middle]
    first = lowest + middle - start
    bits.append(_placed(number - first, highest - (end - 1 - middle) - first + 1))
    if start < middle:
        _add_interpolated(bits, numbers, (start, middle), lowest, number - 1)
    if middle + 1 < end:
        _add_interpolated(bits, numbers, (middle + 1, end), number + 1, highest)


def _placed(value: int, places: int) -> str:
    """One of so many places, in as few bits as will do: the first ones take one bit less than the others."""
    width = (places - 1).bit_length()
    short = (1 << width) - places
    if value < short:
        return f"{value:0{width - 1}b}" if width > 1 else ""
    return f"{value + short:0{width}b}" if width else ""


class _Bits(Struct):
    """Reads bits off a row of them."""

    row: str
    at: int = 0

    def take(self, width: int) -> int:
        self.at += width
        return int(self.row[self.at - width : self.at] or "0", 2)


def _read_list(bits: _Bits, count: int) -> list[int]:
    width = 1
    while not bits.take(1):
        width += 1
    length = (1 << (width - 1)) + bits.take(width - 1)
    return _read_interpolated(bits, length, 0, count - 1)


def _read_interpolated(bits: _Bits, length: int, lowest: int, highest: int) -> list[int]:
    if not length:
        return []
    middle = length // 2
    first = lowest + middle
    number = first + _read_place(bits, highest - (length - 1 - middle) - first + 1)
    before = _read_interpolated(bits, middle, lowest, number - 1)
    return [*before, number, *_read_interpolated(bits, length - 1 - middle, number + 1, highest)]


def _read_place(bits: _Bits, places: int) -> int:
    width = (places - 1).bit_length()
    if not width:
        return 0
    short = (1 << width) - places
    value = bits.take(width - 1)
    return value if value < short else value * 2 + bits.take(1) - short


def _as_signs(bits: str) -> str:
    """Two signs for every 13 bits; noughts fill up the last."""
    values = (int(bits[i : i + _BITS].ljust(_BITS, "0"), 2) for i in range(0, len(bits), _BITS))
    return "".join(_SIGNS[value // len(_SIGNS)] + _SIGNS[value % len(_SIGNS)] for value in values)


def _from_signs(written: str) -> str:
    values = [_SIGNS.index(sign) for sign in written]
    pairs = zip(values[::2], values[1::2], strict=True)
    return "".join(f"{high * len(_SIGNS) + low:0{_BITS}b}" for high, low in pairs)
