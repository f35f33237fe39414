"""A first look at an original: whether it can be found and begins as a picture does."""

from __future__ import annotations

from pathlib import Path

from journalgen.pictures.model import Fault, Refused
from journalgen.pictures.originals import find_original, opened


def look_at(file: Path) -> Fault | None:
    """The fault of an original as far as its header tells, without decoding it; None if there is none."""
    from journalgen.pictures.opening import open_original

    try:
        find_original(file)
        with opened(file) as stream:
            open_original(stream).close()
    except Refused as refused:
        return refused.fault
    return None
