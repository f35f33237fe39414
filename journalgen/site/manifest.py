"""The manifest of a site: which files in it the program wrote, so that no others are ever deleted."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Final

MANIFEST: Final = "manifest.json"
FORMAT: Final = "journalgen-manifest/1"


class OutputFault(Exception):
    """The site could not be written; the previous one stands. The text says what and what to do."""


def spell_manifest(names: Iterable[str]) -> bytes:
    """A manifest of these names."""
    return (json.dumps({"format": FORMAT, "files": sorted(names)}, indent=0) + "\n").encode()


def read_manifest(tree: Path) -> list[str]:
    """The names of the files that the program wrote into a tree. Raises OutputFault if the manifest is damaged."""
    try:
        data = json.loads((tree / MANIFEST).read_text(encoding="utf-8"))
        names = data["files"] if data["format"] == FORMAT else None
    except (ValueError, KeyError, TypeError):
        names = None
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        raise OutputFault(
            f"{tree / MANIFEST} is damaged, so it is not known which files are the program's. Move {tree} away."
        )
    return names
