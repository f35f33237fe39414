"""Choosing from a numbered list: `1 3`, `2-4`, `all`."""

from __future__ import annotations

import re
from typing import Final

from journalgen.reading.unreadable import Unreadable

_PIECE: Final = re.compile(r"([0-9]{1,6})(?:\s*(?:-|\.\.)\s*([0-9]{1,6}))?")
_BETWEEN: Final = re.compile(r"\s*[,;]\s*|\s+(?![-.])(?<![-.]\s)")
_ALL: Final = "all"


def read_choice(text: str, count: int) -> list[int]:
    """The places, from nought, of the chosen of `count` numbered things. Raises Unreadable for anything else."""
    text = text.strip().casefold()
    if text == _ALL:
        return list(range(count))
    chosen: dict[int, None] = {}
    for piece in filter(None, _BETWEEN.split(text)):
        found = _PIECE.fullmatch(piece)
        first = int(found.group(1)) if found else 0
        last = int(found.group(2) or first) if found else 0
        if not 1 <= first <= last <= count:
            most = "Write 1." if count == 1 else f"Write numbers from 1 to {count}, such as 1 2 or 1-{count}."
            raise Unreadable("choice", f'"{piece}" is not in the list.', f"{most} Enter alone for none.")
        chosen |= dict.fromkeys(range(first - 1, last))
    return list(chosen)
