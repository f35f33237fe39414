"""What the files of a site hold, each by its SHA-256; none is read twice that did not change."""

from __future__ import annotations

import os
import time
from pathlib import Path
from typing import Final

from msgspec import Struct, field

from journalgen import keeping
from journalgen.digests import digest_of
from journalgen.outside.publishing.plan import Local
from journalgen.stamps import list_tree, settled

KEPT: Final = "digests"
"""The file in the journal's cache."""

_WASTE: Final = ("thumbs.db", "desktop.ini", ".ds_store")
"""What file managers leave behind."""


class _Known(Struct):
    stamps: dict[str, tuple[int, int, int]] = field(default_factory=dict)  # size, time of change, number on the disk
    digests: dict[str, str] = field(default_factory=dict)


def read_site(folder: Path, cache: Path) -> dict[str, Local]:
    """Every file of a site by its name in it, with forward slashes, hidden ones too. Raises OSError."""
    kept = cache / KEPT
    before, now = keeping.load(kept, _Known) or _Known(), _Known()
    site: dict[str, Local] = {}
    for path, found in sorted(list_tree(str(folder), _is_waste)):
        if not os.path.isfile(path):
            continue
        name = os.path.relpath(path, folder).replace(os.sep, "/")
        stamp = (found.st_size, found.st_mtime_ns, found.st_ino)
        digest = before.digests[name] if before.stamps.get(name) == stamp else digest_of(Path(path))
        site[name] = Local(digest, found.st_size)
        if settled(found.st_mtime_ns, time.time_ns()):
            now.stamps[name], now.digests[name] = stamp, digest
    if now.digests != before.digests or now.stamps != before.stamps:
        keeping.save(kept, now)
    return site


def _is_waste(name: str) -> bool:
    return name.casefold() in _WASTE
