"""What an intake still owes: kept in photos/ while it runs, so that one that is killed is completed by the next.

It is no cache: without it nothing would tell a photograph whose line is still to be written from one whose line
its owner took out.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Final

import msgspec

from journalgen.intake.model import Row
from journalgen.whole import write_whole

_NAME: Final = ".intake-unfinished.json"


def load_unfinished(photos: Path) -> list[Row]:
    """The rows that the last intake left; none where it finished, or what it left cannot be read."""
    try:
        return msgspec.json.decode((photos / _NAME).read_bytes(), type=list[Row])
    except (OSError, msgspec.MsgspecError, ValueError):
        return []


def save_unfinished(photos: Path, rows: Iterable[Row]) -> None:
    """Keeps the rows for the next intake; with none of them the file is removed. Raises OSError."""
    kept = list(rows)
    if kept:
        photos.mkdir(parents=True, exist_ok=True)
        write_whole(photos / _NAME, msgspec.json.encode(kept))
    else:
        (photos / _NAME).unlink(missing_ok=True)
