"""The manifest that is kept at a target: which files there are the program's, and what each of them holds.

It is always true of the target, also while a site is being sent, and wherever that broke off. A file stands under
`files` only while it is known to be whole there, with its digest. From before it is touched until after it stands
under `changing`, if it is there in any case and pages may lead to it, or under `unlinked`, if it is about to come
or to go, and no page that can be reached leads to it. All these are what the program may replace or remove.
"""

from __future__ import annotations

from collections.abc import Iterable
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
    changing: frozenset[str] = frozenset()
    unlinked: frozenset[str] = frozenset()

    @property
    def names(self) -> frozenset[str]:
        """Every file that is the program's."""
        return self.changing | self.unlinked | self.files.keys()

    @property
    def linked(self) -> frozenset[str]:
        """Every file that is there, and that pages there may lead to."""
        return self.changing | self.files.keys()


class _Spelt(Struct, forbid_unknown_fields=True):
    format: str
    files: dict[str, str]
    changing: list[str] = []
    unlinked: list[str] = []

    def every(self) -> Iterable[str]:
        return (*self.files, *self.changing, *self.unlinked)


def spell(manifest: Manifest) -> bytes:
    """The manifest as it is kept, equal for equal manifests."""
    files = dict(sorted(manifest.files.items()))
    spelt = _Spelt(FORMAT, files, sorted(manifest.changing), sorted(manifest.unlinked))
    return msgspec.json.format(msgspec.json.encode(spelt), indent=1) + b"\n"


def parse(data: bytes) -> Manifest:
    """What `spell` made bytes of. Raises Damaged for anything else, also for names that lead out of the target."""
    try:
        spelt = msgspec.json.decode(data, type=_Spelt)
    except (msgspec.MsgspecError, UnicodeDecodeError):
        raise Damaged from None
    if spelt.format != FORMAT or not all(map(_is_within, spelt.every())):
        raise Damaged
    return Manifest(spelt.files, frozenset(spelt.changing), frozenset(spelt.unlinked))


def _is_within(name: str) -> bool:
    return "\\" not in name and all(piece not in ("", ".", "..") for piece in name.split("/"))
