"""The manifest that is kept at a target: which files there are the program's, and what each of them holds.

It is always true of the target, also while a site is being sent: a file stands under `files` with its digest
only while it is known to be whole there, and under `unsettled` from before it is touched until after. Both
together are all that the program may ever replace or remove.
"""

from __future__ import annotations

from typing import Final

import msgspec
from msgspec import Struct, field

NAME: Final = "journalgen-published.json"
FORMAT: Final = "journalgen-published/1"


class Damaged(Exception):
    """What the target holds under the manifest's name is no manifest."""


class Manifest(Struct, frozen=True):
    """What is known of a target."""

    files: dict[str, str] = field(default_factory=dict)  # SHA-256 of each by its name, lower-case hexadecimal
    unsettled: frozenset[str] = frozenset()  # names that may be there, in whatever state

    @property
    def names(self) -> frozenset[str]:
        """Every file that is the program's."""
        return self.unsettled | self.files.keys()


class _Spelt(Struct, forbid_unknown_fields=True):
    format: str
    files: dict[str, str]
    unsettled: list[str] = []


def spell(manifest: Manifest) -> bytes:
    """The manifest as it is kept, equal for equal manifests."""
    spelt = _Spelt(FORMAT, dict(sorted(manifest.files.items())), sorted(manifest.unsettled))
    return msgspec.json.format(msgspec.json.encode(spelt), indent=1) + b"\n"


def parse(data: bytes) -> Manifest:
    """What `spell` made bytes of. Raises Damaged for anything else, also for names that lead out of the target."""
    try:
        spelt = msgspec.json.decode(data, type=_Spelt)
    except (msgspec.MsgspecError, UnicodeDecodeError):
        raise Damaged from None
    if spelt.format != FORMAT or not all(map(_is_within, (*spelt.files, *spelt.unsettled))):
        raise Damaged
    return Manifest(spelt.files, frozenset(spelt.unsettled))


def _is_within(name: str) -> bool:
    return bool(name) and "\\" not in name and all(piece not in ("", ".", "..") for piece in name.split("/"))
