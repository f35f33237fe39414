"""Which processes live: for tests of what is left when one has ended."""

from __future__ import annotations

import contextlib
import time
from pathlib import Path


def members(group: int) -> list[str]:
    """The living processes of a group."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            state, _, its_group = stat.read_text().rpartition(")")[2].split()[:3]
            if its_group == str(group) and state != "Z":
                found.append(stat.parent.name)
    return found


def left_over(group: int) -> list[str]:
    """Those that are still there after all had a while to end."""
    end = time.monotonic() + 10
    while members(group) and time.monotonic() < end:
        time.sleep(0.05)
    return members(group)
