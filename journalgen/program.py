"""This very program as it is installed, told from others without importing any of it."""

from __future__ import annotations

import os
import sys
from functools import cache

from journalgen import __version__
from journalgen.stamps import describe, is_waste, list_tree

_LIBRARIES = ("site-packages", "dist-packages")


def program_folders() -> tuple[str, str]:
    """The package's folder, and that of the themes beside it, which is absent where they are inside."""
    here = os.path.dirname(os.path.abspath(__file__))
    return here, os.path.join(os.path.dirname(here), "themes")


@cache
def program_lines() -> str:
    """Another text for another version, a changed file of the program or of its themes, or other libraries.

    Of the libraries it is the folder's time of change that is looked at, which every installation touches.
    """
    seen = [__version__, sys.version]
    for folder in program_folders():
        files = list_tree(folder, is_waste)
        seen += sorted(describe(path, found) for path, found in files if not _is_folder(found))
    for entry in sorted(set(sys.path)):
        if entry.endswith(_LIBRARIES) and os.path.isdir(entry):
            seen.append(f"{entry} {os.stat(entry).st_mtime_ns}")
    return "\n".join(seen)


def _is_folder(found: os.stat_result) -> bool:
    return found.st_mode & 0o170000 == 0o040000  # the module that names these takes longer to load than to do without
