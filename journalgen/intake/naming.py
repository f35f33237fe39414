"""What a photograph is called in the journal: when it was taken, of what, and what it shows.

`2024/2024-03-09/2024-03-09-191502-front-wheel-before.jpg`: the folder is the session's day, the name tells the
moment, so that names are in order of time even past midnight. Several of one second are told apart by `_02`, `_03`.
Only letters, figures and signs that every file system takes as they are.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import PurePosixPath
from typing import Final

from journalgen.intake.present import Present
from journalgen.slugs import LONGEST, slug

_ENDINGS: Final = {
    "JPEG": ("jpg", "jpeg"), "MPO": ("jpg", "jpeg"), "PNG": ("png",), "TIFF": ("tif", "tiff"), "WEBP": ("webp",),
    "AVIF": ("avif",), "HEIF": ("heic", "heif", "hif"),
}  # fmt: skip


def words_of(parts: Sequence[str], shows: str | None) -> str:
    """The parts and what is shown, as a piece of a name; empty where nothing is known."""
    named = "-".join(re.sub("[^a-z0-9-]", "", slug(part)).strip("-") for part in parts)[:LONGEST]
    return "-".join(word for word in (re.sub("-+", "-", named).strip("-"), shows) if word)


def ending_of(path: PurePosixPath, made_as: str | None) -> str:
    """The ending of a file, in lower case; if it is not that of what the picture was made as, the one that is."""
    own = path.suffix.lower().lstrip(".")
    known = _ENDINGS.get(made_as or "", (own,))
    return own if own in known else known[0]


def name_photograph(at: datetime, day: date, words: str, ending: str, present: Present) -> str:
    """A free name below photos/, which is taken with that: no other of its folder has it, whatever its ending."""
    moment, rest = f"{day:%Y}/{day}/{at:%Y-%m-%d-%H%M%S}", f"-{words}" if words else ""
    return present.take_free(
        lambda n: f"{moment}{_counted(n)}{rest}.{ending}", lambda file: present.has_stem(file)
    )  # fmt: skip


def name_beside(leader: str, ending: str, present: Present) -> str:
    """A free name for what belongs to a photograph, which is taken with that: the same but for its ending."""
    base = str(PurePosixPath(leader).with_suffix(""))
    return present.take_free(lambda n: f"{base}{_counted(n)}.{ending}", lambda file: present.has_name(file))


def _counted(n: int) -> str:
    return "" if n == 1 else f"_{n:02}"
