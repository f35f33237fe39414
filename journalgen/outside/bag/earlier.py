"""The bag that a new one builds on: what was kept by then, and where."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from msgspec import Struct

from journalgen.outside.bag.checking import check_bag
from journalgen.outside.bag.model import PAYLOAD, Held, Verdict
from journalgen.outside.bag.targets import CannotPreserve

EDITION: Final = "Journal-Edition"
IDENTIFIER: Final = "External-Identifier"
GROUP: Final = "Bag-Group-Identifier"
COUNT: Final = "Bag-Count"
UNKNOWN: Final = -1
"""The length of a file of which an earlier bag tells the digest alone."""

_COUNT: Final = re.compile(r"(\d+)\s+of\s+(\d+|\?)")
_SHA512: Final = "sha512"


class Earlier(Struct, frozen=True):
    """An earlier bag, and all that it and those before it hold of the journal as it then was."""

    name: str
    group: str
    number: int  # which of its group it is
    held: dict[str, Held]  # by the path in the bag


def read_earlier(path: Path, edition: str) -> Earlier:
    """What an earlier bag tells of itself; its payload must be there, and is not read. Raises CannotPreserve."""
    verdict = check_bag(path, payload=False)
    if verdict.findings:
        first = verdict.findings[0]
        raise CannotPreserve(
            f"{path} is not whole ({first.path or path.name}: {first.message}) Nothing was made. "
            f"See: journalgen preserve --check {path}"
        )
    if _SHA512 not in verdict.payload:
        raise CannotPreserve(
            f"{path} has no SHA-512 manifest, so what is new cannot be told by it. Name the day with --since instead."
        )
    other = verdict.told(EDITION)
    if other is not None and other != edition:
        raise CannotPreserve(
            f"{path} is of the {other}'s edition, this bag would be of the {edition}'s. Use --edition."
        )
    return _earlier(verdict, name_of(verdict))


def _earlier(verdict: Verdict, name: str) -> Earlier:
    rows = verdict.held or tuple(
        Held(path, digest, UNKNOWN, "-", name) for path, digest in verdict.payload[_SHA512].items()
    )
    count = _COUNT.fullmatch(verdict.told(COUNT) or "")
    return Earlier(
        name=name,
        group=verdict.told(GROUP) or name,
        number=int(count[1]) if count else 1,
        held={row.path: row for row in rows if row.path.startswith(PAYLOAD)},
    )


def name_of(verdict: Verdict) -> str:
    """What a bag is called in other bags: its own word for itself, whatever its folder is called now."""
    return verdict.told(IDENTIFIER) or verdict.bag.resolve().stem
